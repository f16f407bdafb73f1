//! Odds along a row of layouts: a ladder from easy to hard.

use longrail_physics::{Engine, Layout, World};
use serde::Serialize;

use crate::Hit;
use crate::error::StrokeError;
use crate::goal::Goal;
use crate::nodes::Nodes;
use crate::odds::{Odds, Setting};
use crate::player::Player;
use crate::solve::{Intent, eased};

/// One rung.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rung {
    /// What to intend, and its odds; `None` where no hit makes the goal.
    pub best: Option<(Hit, Odds)>,
}

impl Rung {
    /// The chance; 0 where no hit makes the goal.
    pub fn made(&self) -> f64 {
        self.best.map_or(0.0, |(_, odds)| odds.made)
    }
}

/// The odds on each of `layouts`, with the hit solved on each. The hit grows from rung to rung, outwards and then back
/// again, and each rung keeps the better one, so that a curve does not jump where a search ended elsewhere.
///
/// # Errors
/// What is wrong with the player or the goal.
pub fn along(
    world: &World,
    player: &Player,
    goal: &Goal,
    layouts: &[Layout],
    nodes: &Nodes,
) -> Result<Vec<Rung>, StrokeError> {
    player.check()?;
    let (mut engine, rough) = (Engine::new(), eased(world)?);
    let mut rungs = vec![Rung { best: None }; layouts.len()];
    let mut carried: Vec<Intent> = Vec::new();
    let there = 0..layouts.len();
    for (pass, index) in there.clone().map(|index| (0, index)).chain(there.rev().map(|index| (1, index))) {
        let layout = &layouts[index];
        let plan = goal.plan(world, layout)?;
        let setting = Setting { world, layout, player, plan: &plan };
        let search = Setting { world: &rough, ..setting };
        carried = match pass {
            0 => search.quick_hits(&mut engine, &carried)?,
            _ => search.followed(&mut engine, &carried)?,
        };
        if let Some(intent) = carried.first().filter(|intent| intent.makes_it()) {
            let odds = setting.odds(&mut engine, intent.hit(), nodes)?;
            if odds.made > rungs[index].made() {
                rungs[index].best = Some((*intent.hit(), odds));
            }
        }
    }
    Ok(rungs)
}

/// Where a curve passes a target.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Crossing {
    /// Already the first rung is below it.
    Before,
    /// At this rung, counted from 0; a fraction lies between two rungs.
    At(f64),
    /// Even the last rung is above it.
    Beyond,
}

/// Where `made` last falls through `target`, in a straight line between rungs.
///
/// ```
/// use longrail_stroke::curve::{Crossing, crossing};
/// assert_eq!(crossing(&[0.9, 0.6, 0.4, 0.2], 0.5), Crossing::At(1.5));
/// assert_eq!(crossing(&[0.4, 0.3], 0.5), Crossing::Before);
/// assert_eq!(crossing(&[0.9, 0.8], 0.5), Crossing::Beyond);
/// ```
pub fn crossing(made: &[f64], target: f64) -> Crossing {
    let Some(last) = made.iter().rposition(|&chance| chance >= target) else { return Crossing::Before };
    let Some(&next) = made.get(last + 1) else { return Crossing::Beyond };
    // Small whole numbers.
    #[allow(clippy::cast_precision_loss)]
    Crossing::At(last as f64 + (made[last] - target) / (made[last] - next))
}
