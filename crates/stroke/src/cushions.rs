//! What is not known of a table's rails, and whether a shot depends on it.
//!
//! No measured table of rebounds could be confirmed in print (`docs/physics.md`). Until a table's own rails have been tested,
//! odds after a rail carry the range that its constants leave.

use longrail_physics::{Cue, Engine, Event, Kind, Leg, Record, World};

use crate::error::StrokeError;
use crate::odds::Setting;
use crate::{Hit, Nodes, Task};

/// Restitution and friction between which the rails of a table in good order are thought to lie: from the cloth-covered rail
/// of a worn table to the values of Mathavan et al. 2010. A judgement, not a measurement.
pub const RESTITUTION: (f64, f64) = (0.85, 0.98);
/// See [`RESTITUTION`].
pub const FRICTION: (f64, f64) = (0.14, 0.20);

/// The table with the four extremes of what its rails may be.
///
/// # Errors
/// [`StrokeError::Shot`] if the world's other constants do not go with them.
pub fn extremes(world: &World) -> Result<Vec<World>, StrokeError> {
    let mut worlds = Vec::with_capacity(4);
    for restitution in [RESTITUTION.0, RESTITUTION.1] {
        for friction in [FRICTION.0, FRICTION.1] {
            let mut conditions = *world.conditions();
            (conditions.cushion.restitution, conditions.cushion.friction) = (restitution, friction);
            worlds.push(World::new(world.table().clone(), conditions)?);
        }
    }
    Ok(worlds)
}

/// Least and greatest chance of `hit` over what the rails may be, around the chance `made` that was computed for it; nothing
/// if the shot needs no rail. The hit stays as prescribed: it is not adapted to the rails.
///
/// # Errors
/// [`StrokeError::Shot`] where the engine gives up.
pub fn range(
    task: &Task,
    engine: &mut Engine,
    hit: &Hit,
    made: f64,
    nodes: &Nodes,
) -> Result<Option<(f64, f64)>, StrokeError> {
    if !task.ready(|setting| setting.needs_rails(engine, hit))? {
        return Ok(None);
    }
    let (mut low, mut high) = (made, made);
    for world in extremes(&task.world)? {
        let there = Task { world, ..task.clone() };
        let made = there.ready(|setting| setting.odds(engine, hit, nodes))?.made;
        (low, high) = (low.min(made), high.max(made));
    }
    Ok(Some((low, high)))
}

/// Watches for rails touched by the cue ball or the ball to be potted.
struct Touched {
    balls: [Option<usize>; 2],
    rail: bool,
}

impl Record for Touched {
    const EVENTS: bool = true;
    const LEGS: bool = false;

    fn event(&mut self, event: &Event) {
        self.rail |= matches!(event.kind, Kind::Cushion(_)) && self.balls.contains(&Some(event.ball));
    }

    fn leg(&mut self, _: &Leg) {}

    fn decided(&self) -> bool {
        self.rail
    }
}

impl Setting<'_> {
    /// Whether `hit`, played as intended, sends the cue ball or the ball to be potted to a rail.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn needs_rails(&self, engine: &mut Engine, hit: &Hit) -> Result<bool, StrokeError> {
        let mut touched = Touched { balls: [Some(self.plan.cue), self.plan.object], rail: false };
        let cue: Cue = self.player.cue();
        engine.play(self.world, self.layout, Some(hit), &cue, &mut touched)?;
        Ok(touched.rail)
    }
}
