//! The line where a field of chances passes a level: marching squares, straight between neighbouring positions.
//!
//! Lorensen and Cline, *Marching cubes*, 1987, in the plane. A square with two opposite corners above the level is
//! decided by the saddle of the bilinear surface through its corners (Nielson and Hamann, *The asymptotic
//! decider*, 1991).

use std::collections::BTreeMap;

use longrail_math::Vec2;
use longrail_physics::TableSpec;

use super::field::OddsField;

/// A side of the lattice: from a position to the next one along, or to the next one across.
type Side = (usize, usize, bool);

/// Where the field passes `level`, as lines in metres; a closed one ends where it begins. A line ends at the rim and
/// where a position has no room for the ball.
pub(crate) fn contour(field: &OddsField, spec: &TableSpec, level: f64) -> Vec<Vec<Vec2>> {
    let mut pieces: Vec<(Side, Side)> = Vec::new();
    for across in 0..field.across.saturating_sub(1) {
        for along in 0..field.along.saturating_sub(1) {
            square(field, along, across, level, &mut pieces);
        }
    }
    let point = |side: &Side| crossing(field, spec, *side, level);
    chained(&pieces).iter().map(|chain| chain.iter().filter_map(point).collect()).collect()
}

/// Adds the pieces in the square whose corner nearest to the head rail and the right rail is given.
fn square(field: &OddsField, along: usize, across: usize, level: f64, pieces: &mut Vec<(Side, Side)>) {
    let chance = |i: usize, j: usize| field.place(along + i, across + j).chance();
    let (Some(a), Some(b), Some(c), Some(d)) = (chance(0, 0), chance(1, 0), chance(1, 1), chance(0, 1))
    else {
        return;
    };
    let [near, right, far, left] = [
        (along, across, true),
        (along + 1, across, false),
        (along, across + 1, true),
        (along, across, false),
    ];
    let above = [a, b, c, d].map(|chance| chance >= level);
    let crossed: Vec<Side> = [
        (near, above[0] != above[1]),
        (right, above[1] != above[2]),
        (far, above[2] != above[3]),
        (left, above[3] != above[0]),
    ]
    .into_iter()
    .filter_map(|(side, crossed)| crossed.then_some(side))
    .collect();
    match crossed[..] {
        [one, other] => pieces.push((one, other)),
        [_, _, _, _] => {
            // Opposite corners lie on one side of the level, so the divisor cannot vanish.
            let saddle = (a * c - b * d) / (a + c - b - d);
            if (saddle >= level) == above[0] {
                pieces.extend([(near, right), (far, left)]);
            } else {
                pieces.extend([(left, near), (right, far)]);
            }
        }
        _ => {}
    }
}

/// The point of a side at which the level is passed.
fn crossing(field: &OddsField, spec: &TableSpec, (along, across, to_foot): Side, level: f64) -> Option<Vec2> {
    let next = if to_foot { (along + 1, across) } else { (along, across + 1) };
    let (from, to) = (field.place(along, across).chance()?, field.place(next.0, next.1).chance()?);
    let (p, q) = (field.position(spec, along, across), field.position(spec, next.0, next.1));
    Some(p + (q - p) * ((level - from) / (to - from)))
}

/// Joins pieces that share a side. A side belongs to two squares, so at most two pieces meet there.
fn chained(pieces: &[(Side, Side)]) -> Vec<Vec<Side>> {
    let mut at: BTreeMap<Side, Vec<usize>> = BTreeMap::new();
    for (index, (from, to)) in pieces.iter().enumerate() {
        at.entry(*from).or_default().push(index);
        at.entry(*to).or_default().push(index);
    }
    let mut used = vec![false; pieces.len()];
    let mut chains = Vec::new();
    // Open lines from their ends, then what is left: closed ones.
    let ends = at.iter().filter(|(_, meeting)| meeting.len() == 1);
    for start in ends.chain(at.iter()).map(|(side, _)| *side) {
        let mut chain = vec![start];
        let mut here = start;
        while let Some(&piece) = at.get(&here).and_then(|meeting| meeting.iter().find(|&&k| !used[k])) {
            used[piece] = true;
            let (from, to) = pieces[piece];
            here = if from == here { to } else { from };
            chain.push(here);
        }
        if chain.len() > 1 {
            chains.push(chain);
        }
    }
    chains
}

#[cfg(test)]
mod tests {
    use super::super::field::Place;
    use super::*;

    /// A field of a function of the position in metres, on a bed 8 by 4 with positions right up to the noses.
    fn field(along: usize, across: usize, chance: impl Fn(Vec2) -> f64) -> (OddsField, TableSpec) {
        let spec = TableSpec { length_m: 8.0, width_m: 4.0, ..TableSpec::default() };
        let mut field = OddsField { along, across, places: Vec::new(), reach_m: 0.0 };
        for j in 0..across {
            for i in 0..along {
                field.places.push(Place::Chance(chance(field.position(&spec, i, j))));
            }
        }
        (field, spec)
    }

    #[test]
    fn a_plane_passes_the_level_in_one_straight_line() {
        // x / 10 + y / 20 = 0.5 is the line x = 5 − y / 2.
        let (field, spec) = field(33, 17, |p| p.x / 10.0 + p.y / 20.0);
        let lines = contour(&field, &spec, 0.5);
        assert_eq!(lines.len(), 1);
        assert!(lines[0].iter().all(|p| (p.x - (5.0 - p.y / 2.0)).abs() < 1e-12), "{lines:?}");
        let ends = [lines[0][0].y, lines[0][lines[0].len() - 1].y];
        assert!((ends[0] - ends[1]).abs() == 4.0, "{ends:?}");
    }

    #[test]
    fn a_cone_passes_it_in_a_circle() {
        // 1 − r / 2 = 0.4 is a circle of radius 1.2 round the top. Along a side of length h = 0.25 the second
        // derivative of r is at most 1 / r, so a straight line errs by at most h² / 8r, with r above 0.95: 0.0083.
        let top = Vec2::new(4.0, 2.0);
        let (field, spec) = field(33, 17, |p| 1.0 - (p - top).norm() / 2.0);
        let lines = contour(&field, &spec, 0.4);
        assert_eq!(lines.len(), 1);
        assert_eq!(lines[0].first(), lines[0].last());
        assert!(lines[0].iter().all(|p| ((*p - top).norm() - 1.2).abs() < 0.0083), "{lines:?}");
    }

    #[test]
    fn a_saddle_is_decided_by_its_middle() {
        // Corners 1, 0, 1, 0: the saddle is at 0.5. A level below joins the two high corners, one above parts them.
        let (field, spec) = field(2, 2, |p| if (p.x > 4.0) == (p.y > 2.0) { 1.0 } else { 0.0 });
        for (level, parts_high) in [(0.25, false), (0.75, true)] {
            let lines = contour(&field, &spec, level);
            assert_eq!(lines.len(), 2);
            // Each line cuts off the corner that is nearest to it.
            let corner = Vec2::new(0.0, 0.0);
            let middle = |line: &Vec<Vec2>| (line[0] + line[1]) * 0.5;
            let near = lines.iter().any(|line| (middle(line) - corner).norm() < 2.0);
            assert_eq!(near, parts_high, "{level}: {lines:?}");
        }
    }

    #[test]
    fn a_line_ends_where_there_is_no_room() {
        let (mut field, spec) = field(33, 17, |p| p.x / 10.0);
        field.places[8 * 33 + 20] = Place::NoRoom;
        let lines = contour(&field, &spec, 0.51);
        assert_eq!(lines.len(), 2);
        assert!(lines.iter().flatten().all(|p| p.y <= 1.75 || p.y >= 2.25), "{lines:?}");
    }

    #[test]
    fn a_level_field_has_no_line() {
        let (field, spec) = field(9, 5, |_| 0.5);
        assert!(contour(&field, &spec, 0.5).is_empty() && contour(&field, &spec, 0.6).is_empty());
    }
}
