//! A drill on a table: its rungs as layouts.

use longrail_physics::ball::{CUE, MASS_KG, RADIUS_M};
use longrail_physics::{Ball, Layout, World};
use longrail_stroke::Goal;

use super::{Drill, RungError, Setup};

/// One rung on a table.
#[derive(Clone, Debug)]
pub struct Rung {
    /// Its number from 1; a fraction lies between two rungs.
    pub number: f64,
    /// The balls, checked.
    pub layout: Layout,
    /// What counts as made, at the corner where it is set up.
    pub goal: Goal,
}

impl Drill {
    /// The rung `number` from 1 on `world`, with a cue ball of this radius in metres and mass in kilograms. A fraction lies
    /// between two rungs, where a step of the ladder is too long for a player.
    ///
    /// # Errors
    /// [`RungError`] if there is no such rung, or it cannot be set up on this table.
    pub fn rung(
        &self,
        world: &World,
        cue_ball: (f64, f64),
        setup: Setup,
        number: f64,
    ) -> Result<Rung, RungError> {
        // Written so that what is not a number fails, too.
        if !(number >= 1.0 && number <= f64::from(self.rungs)) {
            return Err(RungError::NoSuchRung { drill: self.id.clone(), rung: number, rungs: self.rungs });
        }
        let not_legal = |reason| RungError::NotLegal { drill: self.id.clone(), rung: number, reason };
        let mut balls = Vec::with_capacity(self.balls.len());
        for (id, place) in &self.balls {
            let step = self.moves.get(id).copied().unwrap_or_default();
            let place = setup.place(place.moved(step, number - 1.0));
            let (radius_m, mass_kg) = if id == CUE { cue_ball } else { (RADIUS_M, MASS_KG) };
            let reach = world.reach_m(radius_m).map_err(not_legal)?;
            let (x, y) = place.on(world, reach);
            balls.push(Ball { radius_m, mass_kg, ..Ball::at_rest(id, x, y) });
        }
        let layout = Layout::new(world, &balls).map_err(not_legal)?;
        let goal = setup.goal(&self.goal);
        goal.plan(world, &layout)?;
        Ok(Rung { number, layout, goal })
    }

    /// All rungs on `world`, easy ones first.
    ///
    /// # Errors
    /// As [`Self::rung`], for the first that cannot be set up.
    pub fn ladder(&self, world: &World, cue_ball: (f64, f64), setup: Setup) -> Result<Vec<Rung>, RungError> {
        (1..=self.rungs).map(|number| self.rung(world, cue_ball, setup, f64::from(number))).collect()
    }
}
