//! How lively the rails are, with a stopwatch and a ruler.
//!
//! Roll a ball straight at the foot rail, one diamond from a long rail. Start the watch when it passes a mark, stop it when it
//! meets the rail; then measure how far it comes back before it stops. The engine plays the same roll on the same cloth with
//! its own cushion model, and looks for the restitution with which the ball comes back as far. Measure the cloth first: how
//! far a ball rolls depends on it.

use longrail_math::{Vec2, Vec3};
use longrail_physics::table::Rail;
use longrail_physics::{Ball, Cue, Engine, Event, Kind, Layout, Leg, Record, World};
use serde::{Deserialize, Serialize};

use super::CardError;
use crate::field::number;

/// Restitutions among which it is sought. A judgement: duller than 0.3 is no cushion, and 1 gives back everything.
const RESTITUTION: (f64, f64) = (0.3, 1.0);

/// Halvings: the interval shrinks to a millionth.
const HALVINGS: u32 = 20;

/// A ball rolled straight at a rail.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rebound {
    /// From the nose of the rail to the ball's centre when the watch starts, in metres; 0.3 to 2.5, and on the table.
    pub away_m: f64,
    /// Time from there to the rail, in seconds; 0.1 to 10.
    pub seconds: f64,
    /// From the nose of the rail to the ball's centre where it stops, in metres; 0.1 to 2.5.
    pub back_m: f64,
}

/// Watches whether the ball met the rail at the other end.
struct FarEnd(bool);

impl Record for FarEnd {
    const EVENTS: bool = true;
    const LEGS: bool = false;

    fn event(&mut self, event: &Event) {
        self.0 |= event.kind == Kind::Cushion(Rail::Head);
    }

    fn leg(&mut self, _: &Leg) {}

    fn decided(&self) -> bool {
        self.0
    }
}

impl Rebound {
    /// The restitution of the cushions of `world`, whose other constants stay as they are.
    ///
    /// # Errors
    /// [`CardError`] for a number out of range, a ball that would not reach the rail, or a rebound that no rail gives.
    pub fn restitution(&self, world: &World) -> Result<f64, CardError> {
        let length = world.table().spec().length_m;
        let away_most = (length - 0.05).min(2.5);
        number("rails.away_m", self.away_m, (0.3, away_most), "m")?;
        number("rails.seconds", self.seconds, (0.1, 10.0), "s")?;
        number("rails.back_m", self.back_m, (0.1, (length - 0.05).min(2.5)), "m")?;
        let (mut low, mut high) = RESTITUTION;
        let (least, most) = (self.back(world, low)?, self.back(world, high)?);
        if !(least..=most).contains(&self.back_m) {
            return Err(CardError::NoRail { back_m: self.back_m, least, most: most.min(length) });
        }
        // A livelier rail sends the ball farther back, so halving finds the one value.
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if self.back(world, middle)? < self.back_m {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(0.5 * (low + high))
    }

    /// How far the ball comes back from a rail of this restitution; infinite if it meets the rail at the other end.
    fn back(&self, world: &World, restitution: f64) -> Result<f64, CardError> {
        let mut conditions = *world.conditions();
        conditions.cushion.restitution = restitution;
        let world = World::new(world.table().clone(), conditions)?;
        let spec = *world.table().spec();
        let mut ball = Ball::at_rest("1", spec.length_m - self.away_m, 0.25 * spec.width_m);
        let way = self.away_m - world.reach_m(ball.radius_m)?;
        let slowing = conditions.rolling_friction * conditions.gravity_mps2;
        // way = v T − slowing T²/2, and the ball still moves at the rail.
        let speed = way / self.seconds + 0.5 * slowing * self.seconds;
        if speed <= slowing * self.seconds {
            return Err(CardError::StopsBefore { seconds: self.seconds, most: (2.0 * way / slowing).sqrt() });
        }
        ball.velocity = Vec2::new(speed, 0.0);
        ball.spin = Vec3::new(0.0, speed / ball.radius_m, 0.0);
        let layout = Layout::new(&world, &[ball])?;
        let (mut engine, mut far) = (Engine::new(), FarEnd(false));
        engine.play(&world, &layout, None, &Cue::default(), &mut far)?;
        Ok(if far.0 { f64::INFINITY } else { spec.length_m - engine.position(0).x })
    }
}
