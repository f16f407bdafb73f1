//! The picture of a layout to be set up: where the balls lie, what is to be done, and the shot as intended.

use std::fmt::Write as _;

use longrail_physics::table::Table;
use longrail_physics::{Ball, Engine, Layout, Log, TableSpec};
use longrail_practice::measure::{FromRails, Way, diamonds, from_rails};
use longrail_stroke::Goal;

use crate::frame::Style;
use crate::marks::Mark;
use crate::played::played_picture;
use crate::shot::{PictureBall, ShotPicture, shot_svg};
use crate::wishes::goal_marks;

/// The dimensions of every ball: from the nearest short and the nearest long rail, in diamonds; none to a rail that it
/// touches.
pub fn dimensions(spec: &TableSpec, balls: &[Ball]) -> Vec<Mark> {
    let mut marks = Vec::with_capacity(2 * balls.len());
    for ball in balls {
        let FromRails { short, long } = from_rails(spec, ball);
        for way in [short, long].into_iter().filter(|way| !way.frozen) {
            let label = diamonds(way.diamonds);
            marks.push(Mark::Dimension { at: ball.position, rail: way.rail, label });
        }
    }
    marks
}

/// The picture of a layout to be set up: balls, dimensions, what of the goal can be shown, and the courses of the shot as
/// intended, if it was `played` from this layout.
pub fn setup_picture<'a>(
    table: &'a Table,
    layout: &Layout,
    goal: &Goal,
    played: Option<(&Engine, &Log)>,
) -> ShotPicture<'a> {
    let (spec, balls) = (table.spec(), layout.balls());
    let mut picture = match played {
        Some((engine, log)) => played_picture(table, layout, engine, log),
        None => ShotPicture {
            balls: balls
                .iter()
                .map(|ball| PictureBall::resting(&ball.id, ball.radius_m, ball.position))
                .collect(),
            ..ShotPicture::of(table)
        },
    };
    // A ball drawn in a pocket would look like one to be put there.
    picture.marks.retain(|mark| !matches!(mark, Mark::Pocketed { .. } | Mark::LeftTable { .. }));
    let ends = |index| played.map(|(engine, _)| engine.position(index));
    picture.marks.splice(0..0, goal_marks(goal, spec, balls, ends));
    picture.marks.extend(dimensions(spec, balls));
    "The layout, seen from above".clone_into(&mut picture.title);
    picture.description = format!("{} Goal: {goal}.", places(spec, balls));
    picture
}

/// [`setup_picture`] as SVG text.
pub fn setup_svg(
    table: &Table,
    layout: &Layout,
    goal: &Goal,
    played: Option<(&Engine, &Log)>,
    style: &Style,
) -> String {
    shot_svg(&setup_picture(table, layout, goal, played), style)
}

/// "In diamonds from the noses to the balls' centres. Cue ball: 3¼ from the foot rail, ¾ from the right rail."
fn places(spec: &TableSpec, balls: &[Ball]) -> String {
    let part = |way: &Way| {
        let rail = way.rail.name();
        if way.frozen {
            format!("on the {rail} rail")
        } else {
            format!("{} from the {rail} rail", diamonds(way.diamonds))
        }
    };
    let mut text = "In diamonds from the noses to the balls' centres.".to_owned();
    for ball in balls {
        let place = from_rails(spec, ball);
        let name = if ball.id == "cue" { "Cue ball".to_owned() } else { format!("Ball {}", ball.id) };
        let _ = write!(text, " {name}: {}, {}.", part(&place.short), part(&place.long));
    }
    text
}

#[cfg(test)]
mod tests {
    use longrail_physics::table::{PocketId, Rail};
    use longrail_physics::{Cue, Stroke, World};

    use super::*;

    fn layout(world: &World) -> Layout {
        let spec = world.table().spec();
        let ball = |id: &str, along, across| {
            let (x, y) = spec.from_diamonds(along, across);
            Ball::at_rest(id, x, y)
        };
        let mut balls = [ball("cue", 4.75, 0.75), ball("1", 7.0, 3.0), ball("9", 2.5, 1.0)];
        balls[2].position.y = balls[2].radius_m;
        Layout::new(world, &balls).expect("they lie apart")
    }

    #[test]
    fn every_ball_has_two_dimensions_but_for_a_rail_that_it_touches() {
        let world = World::default();
        let marks = dimensions(world.table().spec(), layout(&world).balls());
        let said: Vec<(Rail, &str)> = marks
            .iter()
            .filter_map(|mark| match mark {
                Mark::Dimension { rail, label, .. } => Some((*rail, label.as_str())),
                _ => None,
            })
            .collect();
        // In the layout's own order, by where balls lie along the table.
        let expected = [
            (Rail::Head, "2½"),
            (Rail::Foot, "3¼"),
            (Rail::Right, "¾"),
            (Rail::Foot, "1"),
            (Rail::Left, "1"),
        ];
        assert_eq!(said, expected);
    }

    #[test]
    fn whoever_hears_the_picture_is_told_where_the_balls_lie_and_what_for() {
        let world = World::default();
        let goal = Goal::pot("1", PocketId::FootLeft);
        let picture = setup_picture(world.table(), &layout(&world), &goal, None);
        assert_eq!(
            picture.description,
            "In diamonds from the noses to the balls' centres. \
             Ball 9: 2½ from the head rail, on the right rail. \
             Cue ball: 3¼ from the foot rail, ¾ from the right rail. \
             Ball 1: 1 from the foot rail, 1 from the left rail. \
             Goal: pot the 1 in the left foot corner."
        );
        assert!(picture.paths.is_empty());
    }

    #[test]
    fn a_shot_as_intended_adds_courses_and_the_ghost_ball_but_no_ball_in_a_pocket() {
        let world = World::default();
        let layout = layout(&world);
        let (mut engine, mut log) = (Engine::new(), Log::default());
        // Both balls and the corner lie on one line.
        let stroke = Stroke::plain(2.0, 45.0);
        engine.play(&world, &layout, Some(&stroke), &Cue::default(), &mut log).expect("it is played");
        let goal = Goal::pot("1", PocketId::FootLeft);
        let picture = setup_picture(world.table(), &layout, &goal, Some((&engine, &log)));
        assert!(picture.paths.len() > 1);
        assert!(picture.marks.iter().any(|mark| matches!(mark, Mark::Ghost { .. })));
        assert!(!picture.marks.iter().any(|mark| matches!(mark, Mark::Pocketed { .. })));
        assert_eq!(picture.marks[0], Mark::PocketMeant { pocket: PocketId::FootLeft });
        assert_eq!(picture.balls[2].rest, None, "it drops");
        let style = Style::default();
        let text = setup_svg(world.table(), &layout, &goal, Some((&engine, &log)), &style);
        assert_eq!(text, shot_svg(&picture, &style));
    }
}
