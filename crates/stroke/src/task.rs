//! What is to be done, by whom and where: balls on a table, a goal, a player.

use longrail_physics::{Ball, Engine, Layout, World};

use crate::error::StrokeError;
use crate::goal::Goal;
use crate::nodes::Nodes;
use crate::odds::Setting;
use crate::player::Player;
use crate::solve::Found;

/// A task, from which others can be made: with a constraint, on another table.
#[derive(Clone, Debug)]
pub struct Task {
    /// Table and conditions.
    pub world: World,
    /// The balls.
    pub balls: Vec<Ball>,
    /// What counts as made.
    pub goal: Goal,
    /// The player.
    pub player: Player,
}

impl Task {
    /// Calls `ask` with the task made ready.
    ///
    /// # Errors
    /// What is wrong with balls, goal or player, or with what is asked.
    pub fn ready<T>(
        &self,
        ask: impl FnOnce(&Setting<'_>) -> Result<T, StrokeError>,
    ) -> Result<T, StrokeError> {
        self.player.check()?;
        let layout = Layout::new(&self.world, &self.balls)?;
        let plan = self.goal.plan(&self.world, &layout)?;
        ask(&Setting { world: &self.world, layout: &layout, player: &self.player, plan: &plan })
    }

    /// The hit with the best odds.
    ///
    /// # Errors
    /// [`StrokeError::OutOfReach`] where there is none.
    pub fn best_hit(&self, nodes: &Nodes) -> Result<Found, StrokeError> {
        self.ready(|setting| {
            let found = setting.best_hits(&mut Engine::new(), nodes, 1)?;
            let none = || StrokeError::OutOfReach { why: "no hit makes it".to_owned() };
            found.into_iter().next().ok_or_else(none)
        })
    }
}
