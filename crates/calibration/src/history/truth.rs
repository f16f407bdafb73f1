//! What is true of the simulated player.

use crate::players::ladder;
use longrail_math::fx;

/// Spread of aim on the first day and in the end, degrees. The end is the good player of the study of progression, 3.1;
/// the beginning is an assumption: even at about a diamond and a half.
const SPREAD_DEG: (f64, f64) = (0.9, 0.25);
/// Days in which the logarithm of the spread comes by 1 − 1/e nearer to its end. An assumption.
const SLOWNESS_DAYS: f64 = 900.0;
/// Diamonds from cue ball to object ball on the first rung, and from rung to rung.
const FIRST: f64 = 1.25;
const STEP: f64 = 0.25;

/// The spread of aim on a day, degrees, apart from the day's form.
pub fn spread_deg(day: u32) -> f64 {
    let (first, end) = (fx::ln(SPREAD_DEG.0), fx::ln(SPREAD_DEG.1));
    fx::exp(end + (first - end) * fx::exp(-f64::from(day) / SLOWNESS_DAYS))
}

/// The chance at a rung from 1, for an aim of this spread, degrees: that of a straight shot.
pub fn chance(rung: u32, spread_deg: f64) -> f64 {
    // A spread above 0 has a chance at these distances.
    ladder::chance(FIRST + STEP * f64::from(rung.saturating_sub(1)), spread_deg).unwrap_or(0.0)
}
