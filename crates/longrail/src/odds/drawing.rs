//! Pictures of hits, with what they are for.

use longrail_physics::json::Problem;
use longrail_scene::goal_marks;
use longrail_stroke::{Goal, Hit};

use super::posed::Posed;
use super::say;
use crate::exit::Failure;
use crate::picture::{Drawn, Wanted};

/// The picture of `hit` played as intended, with what it is for; nothing where none is asked for.
pub(super) fn of_hit<'a>(wanted: &'a Wanted, posed: &Posed, hit: &Hit) -> Result<Drawn<'a>, Failure> {
    of_shot(wanted, &posed.problem, &posed.goal, hit)
}

/// The same for a shot that was posed elsewhere.
pub(crate) fn of_shot<'a>(
    wanted: &'a Wanted,
    problem: &Problem,
    goal: &Goal,
    hit: &Hit,
) -> Result<Drawn<'a>, Failure> {
    if !wanted.any() {
        return Ok(Drawn::default());
    }
    let problem = Problem { stroke: Some(*hit), ..problem.clone() };
    let played = problem.play()?;
    let (spec, balls) = (problem.world.table().spec(), problem.layout.balls());
    let marks = goal_marks(goal, spec, balls, |index| Some(played.engine.position(index)));
    let words = format!("Goal: {goal}. Intended: {}.", say::hit(hit, &problem.world, &problem.layout, false));
    wanted.draw(&problem, &played, marks, &words)
}
