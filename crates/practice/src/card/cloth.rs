//! The speed of a cloth, with a stopwatch.
//!
//! Roll a ball, and from any moment at which it rolls without sliding measure how far it still goes and how long that takes.
//! Roll it there and back again and take the means, so that a slope falls out.

use longrail_physics::Conditions;
use serde::{Deserialize, Serialize};

use super::CardError;
use crate::field::number;

/// Rolling frictions that are taken: twice as far as the 0.005 to 0.015 of Alciatore's physical-properties page, on either
/// side, so that an odd cloth is taken and a slip of the stopwatch is not.
const FRICTION: (f64, f64) = (0.0025, 0.03);

/// A ball timed until it stops.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stopwatch {
    /// Distance rolled until it stops, in metres; 0.3 to 10.
    pub distance_m: f64,
    /// Time until it stops, in seconds; 1 to 60.
    pub seconds: f64,
}

impl Stopwatch {
    /// The rolling friction that follows.
    ///
    /// # Errors
    /// [`CardError`] for a number out of range or a cloth that no table has.
    pub fn rolling_friction(&self) -> Result<f64, CardError> {
        let Self { distance_m, seconds } = *self;
        number("cloth.distance_m", distance_m, (0.3, 10.0), "m")?;
        number("cloth.seconds", seconds, (1.0, 60.0), "s")?;
        let friction = rolling_friction(distance_m, seconds, Conditions::default().gravity_mps2);
        let (least, most) = FRICTION;
        if (least..=most).contains(&friction) {
            return Ok(friction);
        }
        Err(CardError::NoCloth { distance_m, seconds, friction, least, most })
    }
}

/// Rolling friction μ of a cloth on which a ball takes T seconds to roll d metres and stop; g in m/s².
///
/// A rolling ball slows down by μ g all the time. Seen backwards it starts from rest, so d = μ g T²/2, and
///
/// μ = 2 d / (g T²);
///
/// no speed needs to be known (physics reference, 2.4).
///
/// ```
/// use longrail_practice::card::rolling_friction;
/// // Physics reference, check M17.
/// assert!((rolling_friction(2.54, 7.2, 9.80665) - 0.009_992_59).abs() < 1e-8);
/// ```
pub fn rolling_friction(distance_m: f64, seconds: f64, gravity_mps2: f64) -> f64 {
    2.0 * distance_m / (gravity_mps2 * seconds * seconds)
}
