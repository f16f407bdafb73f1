//! What is thought of a player before the first attempt.

use crate::error::{StrokeError, check};

/// Number of lapses that are thought possible.
pub const LAPSES: usize = 4;

/// What is thought of a player before the first attempt (study, 3.3; the spread of speed: an assumption, no published
/// values were found).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prior {
    /// Median spread of aim, in degrees; 0.05 to 5. Default 0.3.
    pub spread_deg: f64,
    /// Standard deviation of its logarithm; 0.05 to 1.5. Default 0.6.
    pub ln_sd: f64,
    /// Standard deviation of the bias, in degrees; 0.005 to 1. Default 0.08.
    pub bias_sd_deg: f64,
    /// Median spread of speed, as a share of it; 0.01 to 0.5. Default 0.10, an assumption.
    pub speed_spread: f64,
    /// Standard deviation of its logarithm; 0.05 to 1. Default 0.5, an assumption.
    pub speed_ln_sd: f64,
    /// Lapses that are thought possible, 0 to 0.5, each with its weight; weights of 0 leave one out.
    pub lapses: [(f64, f64); LAPSES],
}

impl Default for Prior {
    fn default() -> Self {
        Self {
            spread_deg: 0.3,
            ln_sd: 0.6,
            bias_sd_deg: 0.08,
            speed_spread: 0.10,
            speed_ln_sd: 0.5,
            lapses: [(0.0, 0.3), (0.02, 0.4), (0.05, 0.2), (0.10, 0.1)],
        }
    }
}

impl Prior {
    /// Checks every field's range.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] with the first field that is wrong.
    pub fn check(&self) -> Result<(), StrokeError> {
        check("prior.spread_deg", self.spread_deg, (0.05, 5.0), "degrees")?;
        check("prior.ln_sd", self.ln_sd, (0.05, 1.5), "")?;
        check("prior.bias_sd_deg", self.bias_sd_deg, (0.005, 1.0), "degrees")?;
        check("prior.speed_spread", self.speed_spread, (0.01, 0.5), "of the speed")?;
        check("prior.speed_ln_sd", self.speed_ln_sd, (0.05, 1.0), "")?;
        let mut sum = 0.0;
        for (lapse, weight) in self.lapses {
            check("prior.lapses", lapse, (0.0, 0.5), "of the attempts")?;
            check("prior.lapses, their weights,", weight, (0.0, 1e6), "")?;
            sum += weight;
        }
        check("prior.lapses, the sum of their weights,", sum, (1e-6, 4e6), "")
    }
}
