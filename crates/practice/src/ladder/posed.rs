//! A ladder as a player meets it: on a table, at a corner, under constraints.

use longrail_physics::{Layout, World};
use longrail_stroke::curve::{Row, Rung as Solved, along};
use longrail_stroke::infer::row_key;
use longrail_stroke::{Goal, Nodes, Player, StrokeError, Task};

use crate::constraints::Constraints;
use crate::drill::{Drill, Rung, RungError, Setup};

impl Rung {
    /// What is to be done here by `player`, under `constraints` at the corner `setup`: the table with narrower pockets, the goal
    /// with smaller zones, the player within the bounds asked for, blockers on the bed.
    ///
    /// # Errors
    /// [`StrokeError`] if a constraint does not go with this goal or this player, or a blocker cannot lie there.
    pub fn under(
        &self,
        world: &World,
        player: &Player,
        setup: Setup,
        constraints: &Constraints,
    ) -> Result<Task, StrokeError> {
        let task = Task {
            world: world.clone(),
            balls: self.layout.balls().to_vec(),
            goal: self.goal.clone(),
            player: *player,
        };
        constraints.at(setup).on(task)
    }

    /// The rung as it is set up for what [`Self::under`] says: blockers lie among its balls, and its goal has the smaller
    /// zones. The pockets of `world` stay as they are.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] if a blocker cannot lie there.
    pub fn set_up(&self, world: &World, under: &Task) -> Result<Self, StrokeError> {
        let layout = Layout::new(world, &under.balls)?;
        Ok(Self { number: self.number, layout, goal: under.goal.clone() })
    }
}

/// All rungs of a drill, easiest first, ready for the shot's physics.
#[derive(Clone, Debug)]
pub struct Posed {
    /// The table under the constraints.
    pub world: World,
    /// The player within them.
    pub player: Player,
    /// The goal under them: the same on every rung.
    pub goal: Goal,
    /// The balls, rung by rung, blockers included.
    pub layouts: Vec<Layout>,
}

impl Posed {
    /// The ladder of `drill` on `world`, with a cue ball of this radius in metres and mass in kilograms, set up at the corner
    /// `setup`, for `player` under `constraints`. A streak changes nothing here ([`Constraints::chance`]). Where the ladder is to be worked out,
    /// the player's stroke is the reference stroke for which hits are prescribed ([`super::reference_for`]).
    ///
    /// # Errors
    /// [`RungError`] for the first rung that cannot be set up, or a constraint that does not go with the drill.
    pub fn new(
        drill: &Drill,
        world: &World,
        cue_ball: (f64, f64),
        setup: Setup,
        player: &Player,
        constraints: &Constraints,
    ) -> Result<Self, RungError> {
        let mut posed =
            Self { world: world.clone(), player: *player, goal: drill.goal.clone(), layouts: Vec::new() };
        for rung in drill.ladder(world, cue_ball, setup)? {
            let not_legal =
                |reason| RungError::NotLegal { drill: drill.id.clone(), rung: rung.number, reason };
            let task = rung.under(world, player, setup, constraints)?;
            posed.layouts.push(Layout::new(&task.world, &task.balls).map_err(not_legal)?);
            (posed.world, posed.player, posed.goal) = (task.world, task.player, task.goal);
        }
        Ok(posed)
    }

    /// The same, lent to the solver.
    pub fn row(&self) -> Row<'_> {
        Row { world: &self.world, player: &self.player, goal: &self.goal, layouts: &self.layouts }
    }

    /// What to intend on each rung with the player's stroke, and its odds; none where no hit makes the goal.
    ///
    /// # Errors
    /// What is wrong with the player or the goal.
    pub fn solved(&self, nodes: &Nodes) -> Result<Vec<Solved>, StrokeError> {
        along(&self.row(), nodes)
    }

    /// The name under which what is worked out of this ladder may be stored: 32 hexadecimal digits that depend on layouts, goal,
    /// corner, constraints, what physics takes from the table card and the player, and the version of the model. It takes
    /// no solving.
    pub fn key(&self) -> String {
        row_key(&self.row())
    }
}
