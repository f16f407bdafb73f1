//! What rails that nobody has measured leave open.

use longrail_physics::{Engine, World};
use longrail_stroke::cushions::{FRICTION, RESTITUTION, extremes, range};
use longrail_stroke::{Hit, Nodes, StrokeError, Task};
use serde::Serialize;

use crate::exit::Failure;

/// The range of odds over what the rails may be.
#[derive(Clone, Copy, Serialize)]
pub(crate) struct Open {
    low: f64,
    high: f64,
    restitution: (f64, f64),
    friction: (f64, f64),
}

impl Open {
    /// "not measured: 31 to 44 %, whatever they are like …".
    pub(crate) fn words(&self) -> String {
        format!(
            "not measured; {:.0} to {:.0} % for rails of restitution {} to {} and friction {} to {}",
            100.0 * self.low,
            100.0 * self.high,
            self.restitution.0,
            self.restitution.1,
            self.friction.0,
            self.friction.1
        )
    }
}

/// The range around the chance `made` of `hit`, or of the best hit on each kind of rail if none was `given`; nothing if the
/// shot needs no rail. Where the rails are known it is not asked.
pub(crate) fn open(
    task: &Task,
    given: Option<Hit>,
    (hit, made): (&Hit, f64),
    nodes: &Nodes,
) -> Result<Option<Open>, Failure> {
    let mut engine = Engine::new();
    let open = |low, high| Open { low, high, restitution: RESTITUTION, friction: FRICTION };
    if given.is_some() {
        return Ok(range(task, &mut engine, hit, made, nodes)?.map(|(low, high)| open(low, high)));
    }
    if !task.ready(|setting| setting.needs_rails(&mut engine, hit))? {
        return Ok(None);
    }
    let chance = |world: World| -> Result<f64, StrokeError> {
        let task = Task { world, ..task.clone() };
        // Whoever knows the rails plays accordingly, unless a hit is prescribed.
        match task.best_hit(nodes) {
            Ok(found) => Ok(found.odds.made),
            Err(StrokeError::OutOfReach { .. }) => Ok(0.0),
            Err(error) => Err(error),
        }
    };
    let (mut low, mut high) = (made, made);
    for world in extremes(&task.world)? {
        let made = chance(world)?;
        (low, high) = (low.min(made), high.max(made));
    }
    Ok(Some(open(low, high)))
}
