//! The cue: what a hit gives the cue ball, and whether a cue can be laid there.

mod clearance;
mod squirt;
mod strike;

pub use clearance::{Clearance, Cueing, Obstacle};
pub use squirt::squirt;
pub use strike::{Launch, MISCUE_LIMIT, Stroke, cue_ball_speed, strike};

use crate::error::{ShotError, check};

/// The cue, as far as the shot depends on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cue {
    /// Whether side pushes the cue ball off line. Off by default, so that ideal cases can be posed.
    pub squirt: bool,
    /// Effective end mass of the shaft in kilograms, which sets the squirt; 0 to 0.1. Default 0.006, about
    /// 2° at the miscue limit (Shepard 2001; Alciatore, TP A.31).
    pub end_mass_kg: f64,
    /// What to do when a rail or a ball behind the cue ball forces the cue up.
    pub clearance: Clearance,
    /// Radius of the shaft near the tip, in metres; 0.004 to 0.012. Default 0.0065 (13 mm tip, common
    /// practice, no source).
    pub shaft_radius_m: f64,
}

impl Default for Cue {
    fn default() -> Self {
        Self { squirt: false, end_mass_kg: 0.006, clearance: Clearance::Ideal, shaft_radius_m: 0.0065 }
    }
}

impl Cue {
    /// Checks every field's range.
    ///
    /// # Errors
    /// [`ShotError::OutOfRange`] or [`ShotError::NotFinite`] with the first field that is wrong.
    pub fn check(&self) -> Result<(), ShotError> {
        check("cue.end_mass_kg", self.end_mass_kg, 0.0, 0.1, "kg")?;
        check("cue.shaft_radius_m", self.shaft_radius_m, 0.004, 0.012, "m")
    }
}
