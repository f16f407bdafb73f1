//! What the wishes of a goal look like on the table.

use longrail_math::Vec2;
use longrail_physics::table::{PocketId, Rail};
use longrail_physics::{Ball, TableSpec};
use longrail_stroke::Goal;
use longrail_stroke::goal::{Wish, Zone};

use crate::goal::Region;
use crate::marks::Mark;

/// The pockets that the goal names.
pub fn pockets_meant(goal: &Goal) -> Vec<PocketId> {
    let mut pockets: Vec<PocketId> = Vec::new();
    for wish in &goal.wishes {
        if let Wish::Pot { pocket: Some(pocket), .. } = wish
            && !pockets.contains(pocket)
        {
            pockets.push(*pocket);
        }
    }
    pockets
}

/// What of the goal can be shown on the table.
///
/// `ends` says where the shot leaves the ball of that index among `balls`; where it does not know, the ball stays.
pub fn goal_marks(
    goal: &Goal,
    spec: &TableSpec,
    balls: &[Ball],
    ends: impl Fn(usize) -> Option<Vec2>,
) -> Vec<Mark> {
    let find = |name: &str| balls.iter().enumerate().find(|(_, ball)| ball.id == name);
    let mut marks: Vec<Mark> =
        pockets_meant(goal).into_iter().map(|pocket| Mark::PocketMeant { pocket }).collect();
    for wish in &goal.wishes {
        match wish {
            Wish::Stop { zone } => marks.push(Mark::Zone { region: region(zone, spec), passing: false }),
            Wish::Pass { zone } => marks.push(Mark::Zone { region: region(zone, spec), passing: true }),
            Wish::Touch { rail } => marks.push(Mark::RailMeant { rail: *rail }),
            Wish::AvoidRail { rail } => marks.push(Mark::RailForbidden { rail: *rail }),
            // Near where the other ball ends, which is where the shot leaves it.
            Wish::StopNear { ball, diamonds } => marks.extend(find(ball).map(|(index, ball)| {
                let (at, radius_m) = (ends(index).unwrap_or(ball.position), diamonds * spec.diamond_m());
                Mark::Zone { region: Region::Circle { at, radius_m }, passing: false }
            })),
            Wish::Lag { ball, rail, diamonds } => marks.extend(find(ball).map(|(_, ball)| {
                let depth_m = diamonds * spec.diamond_m() + ball.radius_m;
                Mark::Zone { region: strip(*rail, depth_m, spec), passing: false }
            })),
            Wish::Pot { .. }
            | Wish::First { .. }
            | Wish::Full { .. }
            | Wish::Rails { .. }
            | Wish::AvoidBall { .. }
            | Wish::Hide { .. }
            | Wish::Break { .. } => {}
        }
    }
    marks
}

/// A zone in metres.
fn region(zone: &Zone, spec: &TableSpec) -> Region {
    let point = |along: f64, across: f64| {
        let (x, y) = spec.from_diamonds(along, across);
        Vec2::new(x, y)
    };
    match zone {
        Zone::Circle { along, across, radius } => {
            Region::Circle { at: point(*along, *across), radius_m: radius * spec.diamond_m() }
        }
        Zone::Polygon { corners } => Region::Polygon {
            corners: corners.iter().map(|[along, across]| point(*along, *across)).collect(),
        },
    }
}

/// The strip along a rail in which a ball's centre lies that is near enough to it.
fn strip(rail: Rail, depth_m: f64, spec: &TableSpec) -> Region {
    let (length, width) = (spec.length_m, spec.width_m);
    let (x0, x1) = match rail {
        Rail::Head => (0.0, depth_m.min(length)),
        Rail::Foot => ((length - depth_m).max(0.0), length),
        Rail::Right | Rail::Left => (0.0, length),
    };
    let (y0, y1) = match rail {
        Rail::Right => (0.0, depth_m.min(width)),
        Rail::Left => ((width - depth_m).max(0.0), width),
        Rail::Head | Rail::Foot => (0.0, width),
    };
    let corners = vec![Vec2::new(x0, y0), Vec2::new(x1, y0), Vec2::new(x1, y1), Vec2::new(x0, y1)];
    Region::Polygon { corners }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_another_ball_is_near_where_that_one_ends_or_lies() {
        let spec = TableSpec::default();
        let balls = [Ball::at_rest("cue", 0.5, 0.5), Ball::at_rest("1", 1.0, 0.5)];
        let goal = Goal::of(Wish::StopNear { ball: "1".to_owned(), diamonds: 0.5 });
        let circle = |at| Mark::Zone {
            region: Region::Circle { at, radius_m: 0.5 * spec.diamond_m() },
            passing: false,
        };
        let end = Vec2::new(2.0, 0.5);
        let ends = |index| (index == 1).then_some(end);
        assert_eq!(goal_marks(&goal, &spec, &balls, ends), [circle(end)]);
        assert_eq!(goal_marks(&goal, &spec, &balls, |_| None), [circle(balls[1].position)]);
    }

    #[test]
    fn a_zone_in_diamonds_is_drawn_in_metres() {
        // 9 ft: 2540 by 1270 mm, so a diamond is 317.5 mm.
        let spec = TableSpec::default();
        let circle = region(&Zone::Circle { along: 2.0, across: 1.0, radius: 0.5 }, &spec);
        let Region::Circle { at, radius_m } = circle else { unreachable!("a circle stays one") };
        assert!((at - Vec2::new(0.635, 0.3175)).norm() < 1e-12 && (radius_m - 0.158_75).abs() < 1e-12);
    }

    #[test]
    fn a_strip_lies_along_its_rail() {
        let spec = TableSpec::default();
        for (rail, corner) in [
            (Rail::Head, Vec2::new(0.1, 1.27)),
            (Rail::Foot, Vec2::new(2.54, 1.27)),
            (Rail::Right, Vec2::new(2.54, 0.1)),
            (Rail::Left, Vec2::new(2.54, 1.27)),
        ] {
            let Region::Polygon { corners } = strip(rail, 0.1, &spec) else { unreachable!("four corners") };
            assert!((corners[2] - corner).norm() < 1e-12, "{} {corners:?}", rail.name());
        }
    }
}
