//! Where tags go: near their balls, over no ball, and where it can be over no path and no other tag.
//!
//! Every tag has a ring of candidate places, each with a cost in pixels of annoyance. Tags are placed one
//! after the other and then moved, or exchanged, as long as the sum of costs falls. There are at most
//! sixteen, so this takes a few milliseconds and always ends the same way.

use longrail_math::{Vec2, order};

use crate::geometry::{Area, Segment};

/// A ball that wants a tag.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Wanted {
    /// Index of its own disc among the obstacles, if it has one there.
    pub(crate) disc: Option<usize>,
    pub(crate) at: Vec2,
    pub(crate) radius: f64,
}

/// What tags keep clear of, in picture units.
#[derive(Clone, Debug, Default)]
pub(crate) struct Obstacles {
    /// Balls: never covered.
    pub(crate) discs: Vec<(Vec2, f64)>,
    /// Circles where balls stop or meet: covered only if there is no other room.
    pub(crate) circles: Vec<(Vec2, f64)>,
    /// The courses of the balls, one list a ball, and the dimension lines.
    pub(crate) paths: Vec<Vec<Segment>>,
    /// Figures of dimensions: never covered.
    pub(crate) figures: Vec<Area>,
    /// The bed from nose to nose: its top left corner and its size.
    pub(crate) bed: (Vec2, Vec2),
}

/// Clear cloth round a tag.
pub(crate) const GAP: f64 = 2.0;
const ANGLES: u32 = 40;
/// What kind of thing is placed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Kind {
    /// Radius of the thing, in pixels.
    pub(crate) radius: f64,
    /// Lengths of leader lines to try, in radii.
    pub(crate) leaders: &'static [f64],
    /// Cost above which it is rather left out.
    pub(crate) limit: f64,
}

/// Tags may stand far away and are never left out.
pub(crate) const TAG_LEADERS: &[f64] = &[0.6, 0.9, 1.3, 1.8, 2.4, 3.1, 4.0, 5.0, 6.2, 7.6, 9.4, 12.0];
/// Numbers without a leader line stand close.
pub(crate) const CLOSE: &[f64] = &[0.1, 0.3, 0.5];
/// A cost that is paid only where nothing else is possible.
pub(crate) const FORBIDDEN: f64 = 10_000.0;
pub(crate) const SWEEPS: usize = 6;

/// Centres of the tags in the order of `wanted`; `None` for one that is left out.
pub(crate) fn place(wanted: &[Wanted], obstacles: &Obstacles, kind: &Kind) -> Vec<Option<Vec2>> {
    let tag = kind.radius;
    let options: Vec<Vec<(Vec2, f64)>> = wanted.iter().map(|one| candidates(one, obstacles, kind)).collect();
    let mut chosen: Vec<Option<Vec2>> = vec![None; wanted.len()];
    for index in by_crowding(wanted, obstacles) {
        chosen[index] = best(index, wanted, &options[index], &chosen, kind);
    }
    for _ in 0..SWEEPS {
        let before = chosen.clone();
        for index in 0..wanted.len() {
            chosen[index] = None;
            chosen[index] = best(index, wanted, &options[index], &chosen, kind);
        }
        exchange(wanted, obstacles, &mut chosen, tag);
        if chosen == before {
            break;
        }
    }
    chosen
}

/// The tags in the order of how hard they are to place: balls deep in a rack first.
fn by_crowding(wanted: &[Wanted], obstacles: &Obstacles) -> Vec<usize> {
    let crowd = |one: &Wanted| {
        let near = |disc: &&(Vec2, f64)| (disc.0 - one.at).norm() < 3.0 * one.radius;
        obstacles.discs.iter().filter(near).count()
    };
    order::of(wanted.len(), &mut |a, b| crowd(&wanted[b]).cmp(&crowd(&wanted[a])))
}

/// Places for a tag, the cheapest first.
fn candidates(one: &Wanted, obstacles: &Obstacles, kind: &Kind) -> Vec<(Vec2, f64)> {
    let tag = kind.radius;
    let mut all = Vec::with_capacity(kind.leaders.len() * ANGLES as usize);
    for leader in kind.leaders {
        for step in 0..ANGLES {
            let angle = std::f64::consts::TAU * f64::from(step) / f64::from(ANGLES);
            let at = one.at + Vec2::from_angle(angle) * (one.radius + leader * tag + tag);
            let cost = fixed_cost(one, at, obstacles, tag);
            if cost <= kind.limit {
                all.push((at, cost));
            }
        }
    }
    order::sort_by(&mut all, |a, b| a.1.total_cmp(&b.1));
    all
}

fn best(
    index: usize,
    wanted: &[Wanted],
    options: &[(Vec2, f64)],
    chosen: &[Option<Vec2>],
    kind: &Kind,
) -> Option<Vec2> {
    // A place at the limit is still good enough.
    let mut least = (kind.limit.next_up(), None);
    for (at, fixed) in options {
        // Costs are never negative, and from here on they only rise.
        if *fixed >= least.0 {
            break;
        }
        let cost = fixed + shared_cost(index, *at, wanted, chosen, kind.radius);
        if cost < least.0 {
            least = (cost, Some(*at));
        }
    }
    least.1
}

/// Lets two tags take each other's place where that is better for both together: crossed leaders uncross.
fn exchange(wanted: &[Wanted], obstacles: &Obstacles, chosen: &mut [Option<Vec2>], tag: f64) {
    for first in 0..wanted.len() {
        for second in first + 1..wanted.len() {
            let both = |chosen: &[Option<Vec2>]| {
                let cost = |index: usize| {
                    chosen[index].map_or(0.0, |at| {
                        fixed_cost(&wanted[index], at, obstacles, tag)
                            + shared_cost(index, at, wanted, chosen, tag)
                    })
                };
                cost(first) + cost(second)
            };
            let before = both(chosen);
            chosen.swap(first, second);
            if both(chosen) >= before {
                chosen.swap(first, second);
            }
        }
    }
}

/// The leader of a tag: from the edge of the ball to the edge of the tag.
pub(crate) fn leader(one: &Wanted, at: Vec2, tag: f64) -> Segment {
    let along = at - one.at;
    let length = along.norm();
    if length <= 0.0 {
        return Segment::new(one.at, one.at);
    }
    let direction = along / length;
    Segment::new(one.at + direction * one.radius, at - direction * tag)
}

/// The cost of a place as far as it does not depend on other tags.
fn fixed_cost(one: &Wanted, at: Vec2, obstacles: &Obstacles, tag: f64) -> f64 {
    let line = leader(one, at, tag);
    let mut cost = 0.5 * line.length() + outside(at, Vec2::new(tag + GAP, tag + GAP), obstacles.bed);
    for (index, (centre, radius)) in obstacles.discs.iter().enumerate() {
        cost += covered(at, *centre, tag + radius + GAP, FORBIDDEN, 100.0);
        if one.disc != Some(index) {
            let inside = line.length_inside(*centre, *radius + 0.5);
            if inside > 0.0 {
                cost += 60.0 + 12.0 * inside;
            }
        }
    }
    for figure in &obstacles.figures {
        let short = tag + GAP - figure.distance(at);
        if short > 1e-9 {
            cost += FORBIDDEN + 100.0 * short;
        }
        let inside = line.length_in(figure);
        if inside > 0.0 {
            cost += 60.0 + 12.0 * inside;
        }
    }
    // Most places near a rack end here, and need not be weighed any finer.
    if cost >= FORBIDDEN / 2.0 {
        return cost;
    }
    for (centre, radius) in &obstacles.circles {
        // The circle that it belongs to is where it stands by.
        if *centre == one.at {
            continue;
        }
        cost += covered(at, *centre, tag + radius + GAP, 250.0, 10.0);
        cost += 3.0 * line.length_inside(*centre, *radius);
    }
    for path in &obstacles.paths {
        let mut near = f64::INFINITY;
        let mut crossed = 0.0;
        for segment in path {
            near = near.min(segment.distance(at));
            if line.crossing(segment).is_some() {
                crossed += 16.0;
            }
        }
        // A leader that runs along a path would be taken for a part of it.
        let middle = (line.from + line.to) * 0.5;
        if path.iter().any(|segment| segment.distance(middle) < 2.5) {
            cost += 12.0;
        }
        cost += crossed;
        let overlap = tag + GAP - near;
        if overlap > 0.0 {
            cost += 60.0 + 8.0 * overlap;
        }
    }
    cost
}

/// The cost of a place with regard to the other tags.
fn shared_cost(index: usize, at: Vec2, wanted: &[Wanted], chosen: &[Option<Vec2>], tag: f64) -> f64 {
    let line = leader(&wanted[index], at, tag);
    let mut cost = 0.0;
    for (other, place) in chosen.iter().enumerate() {
        let Some(place) = place else { continue };
        if other == index {
            continue;
        }
        let their_line = leader(&wanted[other], *place, tag);
        cost += covered(at, *place, 2.0 * tag + GAP, FORBIDDEN, 100.0);
        let under = line.length_inside(*place, tag + 1.0) + their_line.length_inside(at, tag + 1.0);
        if under > 0.0 {
            cost += 600.0 + 20.0 * under;
        }
        if line.crossing(&their_line).is_some() {
            cost += 200.0;
        }
    }
    cost
}

/// The cost of coming nearer to `centre` than `least`: a fee and so much a pixel.
fn covered(at: Vec2, centre: Vec2, least: f64, fee: f64, per_pixel: f64) -> f64 {
    let short = least - (at - centre).norm();
    if short > 1e-9 { fee + per_pixel * short } else { 0.0 }
}

/// The cost of reaching over the nose: sights and pockets are there.
pub(crate) fn outside(at: Vec2, reach: Vec2, (corner, size): (Vec2, Vec2)) -> f64 {
    let over = (corner.x - (at.x - reach.x))
        .max(at.x + reach.x - corner.x - size.x)
        .max(corner.y - (at.y - reach.y))
        .max(at.y + reach.y - corner.y - size.y);
    if over > 1e-9 { FORBIDDEN / 2.0 + 100.0 * over } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TAG: f64 = 11.0;
    const KIND: Kind = Kind { radius: TAG, leaders: TAG_LEADERS, limit: f64::INFINITY };

    fn placed(wanted: &[Wanted], obstacles: &Obstacles) -> Vec<Vec2> {
        place(wanted, obstacles, &KIND).into_iter().flatten().collect()
    }

    fn on_a_bed(discs: Vec<(Vec2, f64)>) -> (Vec<Wanted>, Obstacles) {
        let wanted = discs
            .iter()
            .enumerate()
            .map(|(disc, (at, radius))| Wanted { disc: Some(disc), at: *at, radius: *radius })
            .collect();
        let bed = (Vec2::ZERO, Vec2::new(288.0, 144.0));
        (wanted, Obstacles { discs, bed, ..Obstacles::default() })
    }

    fn apart(places: &[Vec2], obstacles: &Obstacles) {
        for (index, place) in places.iter().enumerate() {
            for (centre, radius) in &obstacles.discs {
                assert!((*place - *centre).norm() >= TAG + radius, "tag {index} covers a ball");
            }
            for other in &places[..index] {
                assert!((*place - *other).norm() >= 2.0 * TAG, "tag {index} covers a tag");
            }
            let (corner, size) = obstacles.bed;
            assert!(place.x >= corner.x + TAG && place.x <= corner.x + size.x - TAG);
            assert!(place.y >= corner.y + TAG && place.y <= corner.y + size.y - TAG);
        }
    }

    #[test]
    fn a_full_rack_on_a_phone_has_room_for_fifteen_tags() {
        let radius = 3.2;
        let mut discs = Vec::new();
        for row in 0..5_u32 {
            for place in 0..=row {
                let x = 190.0 + f64::from(row) * radius * 3.0_f64.sqrt();
                let y = 72.0 + (2.0 * f64::from(place) - f64::from(row)) * radius;
                discs.push((Vec2::new(x, y), radius));
            }
        }
        let (wanted, obstacles) = on_a_bed(discs);
        let places = placed(&wanted, &obstacles);
        assert_eq!(places.len(), wanted.len());
        apart(&places, &obstacles);
    }

    #[test]
    fn a_ball_in_a_corner_has_its_tag_on_the_bed() {
        for corner in [(3.2, 3.2), (284.8, 3.2), (3.2, 140.8), (284.8, 140.8)] {
            let (wanted, obstacles) = on_a_bed(vec![(Vec2::new(corner.0, corner.1), 3.2)]);
            let places = placed(&wanted, &obstacles);
            assert_eq!(places.len(), wanted.len());
            apart(&places, &obstacles);
        }
    }

    #[test]
    fn a_number_that_would_cover_something_is_left_out() {
        let crowd: Vec<(Vec2, f64)> = (0..9_u32)
            .map(|i| (Vec2::new(f64::from(i % 3) * 12.0 + 60.0, f64::from(i / 3) * 12.0 + 60.0), 5.0))
            .collect();
        let middle = Wanted { disc: Some(4), at: crowd[4].0, radius: 5.0 };
        let (_, obstacles) = on_a_bed(crowd);
        let kind = Kind { radius: 7.5, leaders: CLOSE, limit: 40.0 };
        assert_eq!(place(&[middle], &obstacles, &kind), vec![None]);
    }

    #[test]
    fn a_tag_keeps_clear_of_a_figure() {
        let (wanted, mut obstacles) = on_a_bed(vec![(Vec2::new(100.0, 70.0), 3.2)]);
        let free = placed(&wanted, &obstacles)[0];
        let figure = Area { centre: free, half: Vec2::new(9.0, 6.0) };
        obstacles.figures.push(figure);
        assert!(figure.distance(placed(&wanted, &obstacles)[0]) > TAG);
    }

    #[test]
    fn a_tag_keeps_clear_of_a_path() {
        let (wanted, mut obstacles) = on_a_bed(vec![(Vec2::new(100.0, 70.0), 3.2)]);
        let path = Segment::new(Vec2::new(100.0, 70.0), Vec2::new(250.0, 80.0));
        obstacles.paths.push(vec![path]);
        let places = placed(&wanted, &obstacles);
        assert!(path.distance(places[0]) > TAG);
    }
}
