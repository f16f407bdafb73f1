//! Rebound from a cushion. One model, one file; all share the frame and the interface below.
//!
//! Frame of a rebound: X along the rail, Y from the bed into the rubber, Z up, right-handed. The nose
//! touches the ball at an angle θ above its middle, sin θ = (h − R)/R with h the height of the nose.
//! Spins are surface speeds W = R ω in m/s, so that the radius appears in no formula.

mod chart;
mod impulse;
mod simple;
mod single_impulse;

pub(crate) use chart::Chart;

use crate::conditions::{Cushion, CushionModel};

/// Motion of a ball at a cushion, in the frame above; all in m/s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Motion {
    /// Velocity along the rail.
    pub vx: f64,
    /// Velocity into the rubber.
    pub vy: f64,
    /// Velocity upwards. Zero on arrival; positive after a rebound that lifts the ball off the cloth.
    pub vz: f64,
    /// Surface speed R ω about X.
    pub wx: f64,
    /// Surface speed R ω about Y.
    pub wy: f64,
    /// Surface speed R ω about Z.
    pub wz: f64,
}

/// The integration of a rebound did not settle within this many steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stall {
    /// Steps spent.
    pub steps: u32,
}

/// What a rebound depends on besides the ball's motion.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// Sine of the contact's height angle θ, 0 to below 1.
    pub sin: f64,
    /// Its cosine.
    pub cos: f64,
    /// Friction of the cloth under the ball.
    pub cloth_friction: f64,
}

impl Contact {
    /// The contact of a ball of radius `radius_m` with a nose `height_m` above the bed.
    pub fn new(height_m: f64, radius_m: f64, cloth_friction: f64) -> Self {
        let sin = height_m / radius_m - 1.0;
        Self { sin, cos: (1.0 - sin * sin).sqrt(), cloth_friction }
    }
}

/// The motion after a rebound of a ball that arrives with `before`, whose `vy` must be positive.
///
/// # Errors
/// [`Stall`] if the impulse model's integration does not settle.
pub fn rebound(cushion: &Cushion, contact: &Contact, before: &Motion) -> Result<Motion, Stall> {
    match cushion.model {
        CushionModel::Impulse => impulse::rebound(cushion, contact, before),
        CushionModel::SingleImpulse => Ok(single_impulse::rebound(cushion, contact, before)),
        CushionModel::Simple => Ok(simple::rebound(cushion, before)),
    }
}
