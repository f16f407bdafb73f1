//! Squirt: side on the cue ball sends it off the cue's line, away from the side.
//!
//! Source: R. Shepard 2001, "Everything You Always Wanted to Know About Cue Ball Squirt"; D. Alciatore, TP
//! A.31; re-derived. The end of the shaft, of effective mass mₑ, is pushed aside while the tip is in
//! contact; the angle does not depend on speed.

use longrail_math::fx;

/// Angle of squirt in radians, to the left for `tip_right` > 0.
///
/// tan σ = (5/2) β √(1 − β²) ÷ (1 + m/mₑ + (5/2)(1 − β²)) with β the offset in radii. `tip_up` counts in
/// β² but pushes the ball up or down, where cloth or gravity takes it.
///
/// ```
/// use longrail_physics::cue::squirt;
/// // 7.8 g at half a radius of side, on a 6 oz ball: about 2.5°.
/// let angle = squirt(0.5, 0.0, 0.170097, 0.0078).to_degrees();
/// assert!((angle - 2.5113).abs() < 0.005);
/// ```
pub fn squirt(tip_right: f64, tip_up: f64, ball_mass_kg: f64, end_mass_kg: f64) -> f64 {
    if end_mass_kg <= 0.0 {
        return 0.0;
    }
    let inner = (1.0 - tip_right * tip_right - tip_up * tip_up).max(0.0);
    fx::atan(2.5 * tip_right * inner.sqrt() / (1.0 + ball_mass_kg / end_mass_kg + 2.5 * inner))
}
