//! Players whose truth is known.
//!
//! * [`Form`]: how makes of a constant chance cluster by session or by the attempt before.
//! * [`Course`]: how a spread moves over weeks: steady, improving, plateaued, a step, a lay-off.
//! * [`tasks`]: sessions of 50 attempts at three tasks, as likelihoods of the spread.
//! * [`ladder`]: the chance of a straight shot at each rung.
//! * [`stroke`]: attempts by the engine at pots and a draw.

mod course;
mod form;
pub mod ladder;
pub mod stroke;
pub mod tasks;

pub use course::Course;
pub use form::{Form, Shooter};

use longrail_math::fx;
use longrail_math::random::Stream;
use longrail_stats::special::normal_quantile;

/// A standard normal number.
pub fn normal(stream: &mut Stream) -> f64 {
    // Never exactly 0 or 1.
    normal_quantile((stream.unit() + 1e-18).min(1.0 - 1e-16))
}

/// 1/(1 + e⁻ˣ).
pub fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + fx::exp(-x))
}

/// ln(p/(1 − p)), for p between 0 and 1.
pub fn logit(p: f64) -> f64 {
    fx::ln(p / (1.0 - p))
}

/// A rate drawn from Beta(½, ½), which is the prior behind the intervals of a rate: sin² of an even angle.
pub fn jeffreys_rate(stream: &mut Stream) -> f64 {
    let s = fx::sin(std::f64::consts::FRAC_PI_2 * stream.unit());
    s * s
}
