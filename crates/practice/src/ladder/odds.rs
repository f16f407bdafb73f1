//! The chances on a ladder, from the shot's physics.

use longrail_physics::World;
use longrail_stats::StatsError;
use longrail_stroke::curve::{self, along};
use longrail_stroke::{Nodes, Player, StrokeError};
use thiserror::Error;

use super::{Belief, candidates};
use crate::drill::Rung;

/// Why a newcomer's ladder cannot be worked out.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum StartError {
    /// The shot.
    #[error(transparent)]
    Stroke(#[from] StrokeError),
    /// The ladder has no rungs.
    #[error(transparent)]
    Stats(#[from] StatsError),
}

/// The chance of `player` on each of the rungs of one ladder on `world`, easiest first; 0 where no hit makes the goal.
///
/// # Errors
/// What is wrong with the player or the goal.
pub fn chances(
    world: &World,
    ladder: &[Rung],
    player: &Player,
    nodes: &Nodes,
) -> Result<Vec<f64>, StrokeError> {
    Ok(solved(world, ladder, player, nodes)?.iter().map(curve::Rung::made).collect())
}

/// The same with what to intend on each rung.
///
/// # Errors
/// What is wrong with the player or the goal.
pub fn solved(
    world: &World,
    ladder: &[Rung],
    player: &Player,
    nodes: &Nodes,
) -> Result<Vec<curve::Rung>, StrokeError> {
    // All rungs of a ladder have the same goal.
    let Some(first) = ladder.first() else { return Ok(Vec::new()) };
    let layouts: Vec<_> = ladder.iter().map(|rung| rung.layout.clone()).collect();
    along(world, player, &first.goal, &layouts, nodes)
}

/// What is believed of a newcomer on a ladder before the first attempt: all [`candidates`], within the limits of `player`. It
/// takes some ten seconds for a dozen rungs, and is the same for all players of these limits on this table.
///
/// # Errors
/// What is wrong with the player, the goal or the ladder.
pub fn newcomer(
    world: &World,
    ladder: &[Rung],
    player: &Player,
    nodes: &Nodes,
) -> Result<Belief, StartError> {
    let (mut weights, mut rows) = (Vec::new(), Vec::new());
    for (stroke, weight) in candidates() {
        weights.push(weight);
        rows.push(chances(world, ladder, &Player { stroke, ..*player }, nodes)?);
    }
    Ok(Belief::new(&weights, rows)?)
}
