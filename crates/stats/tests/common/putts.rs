//! Putts by distance: the data, the models and their fits, for the test and for the picture.
//!
//! Gelman & Nolan, "A Probability Model for Golf Putting", Teaching Statistics 24 (2002); Gelman, "Model building and
//! expansion for golf putting" (2019), whose chance of a good length is due to Broadie.
#![allow(dead_code, reason = "each user needs a part")]
#![allow(clippy::unwrap_used, reason = "a reference file that cannot be read must stop whoever reads it")]

use crate::common::rows;
use longrail_math::fx;
use longrail_stats::Count;
use longrail_stats::fit::{Fit, binomial, binomial_of_tails, maximise, normal_rate};
use longrail_stats::special::normal_cdf;
use longrail_stats::window::Scatter;

/// Half of (hole 4.25 in less ball 1.68 in), in feet: how far the ball's centre may pass the hole's centre.
const MARGIN_FT: f64 = (4.25 - 1.68) / 24.0;
/// The ball is hit to go this far past the hole (2019).
const OVERSHOOT_FT: f64 = 1.0;
/// It falls if it would have stopped from the hole's edge to this far past it (2019).
const TOLERANCE_FT: f64 = 3.0;

/// Distance in feet, and how many of how many.
pub(crate) type Putts = Vec<(f64, Count)>;

/// The rows of one of the two files.
pub(crate) fn putts(file: &str) -> Putts {
    let row = |row: &std::collections::BTreeMap<String, String>| {
        let count = Count::new(row["successes"].parse().unwrap(), row["tries"].parse().unwrap()).unwrap();
        (row["distance_ft"].parse().unwrap(), count)
    };
    rows(file).iter().map(row).collect()
}

/// Half the angle under which the hole takes the ball.
fn window(distance_ft: f64) -> f64 {
    fx::asin((MARGIN_FT / distance_ft).min(1.0))
}

/// Chance that the direction is good enough.
pub(crate) fn angle(distance_ft: f64, sigma_rad: f64) -> f64 {
    Scatter::new(sigma_rad, 0.0, 0.0)
        .and_then(|scatter| scatter.chance(window(distance_ft)))
        .unwrap_or(f64::NAN)
}

/// Chance that the length is good enough: its error grows with the distance.
fn length(distance_ft: f64, sigma: f64) -> f64 {
    let spread = (distance_ft + OVERSHOOT_FT) * sigma;
    normal_cdf((TOLERANCE_FT - OVERSHOOT_FT) / spread) - normal_cdf(-OVERSHOOT_FT / spread)
}

/// Chance that both are.
pub(crate) fn both(distance_ft: f64, sigma_rad: f64, sigma: f64) -> f64 {
    angle(distance_ft, sigma_rad) * length(distance_ft, sigma)
}

/// Chance that one is not, to its own precision: 1 less a rounded chance has none at a quarter of a foot.
fn missed(distance_ft: f64, sigma_rad: f64, sigma: f64) -> f64 {
    let spread = (distance_ft + OVERSHOOT_FT) * sigma;
    let by_angle = 2.0 * normal_cdf(-window(distance_ft) / sigma_rad);
    let by_length = normal_cdf((OVERSHOOT_FT - TOLERANCE_FT) / spread) + normal_cdf(-OVERSHOOT_FT / spread);
    by_angle + by_length - by_angle * by_length
}

/// Fits on the logarithms of positive parameters: `part` is the log likelihood of one distance.
pub(crate) fn fit(putts: &Putts, start: &[f64], part: impl Fn(f64, Count, &[f64]) -> f64) -> Fit {
    let logs: Vec<f64> = start.iter().map(|&value| fx::ln(value)).collect();
    let steps = vec![0.2; start.len()];
    let likelihood = |at: &[f64]| {
        let parameters: Vec<f64> = at.iter().map(|&value| fx::exp(value)).collect();
        putts.iter().map(|&(distance, count)| part(distance, count, &parameters)).sum()
    };
    maximise(likelihood, &logs, &steps).unwrap()
}

/// The angle alone, binomial: ln σ in radians.
pub(crate) fn angle_fit(putts: &Putts) -> Fit {
    fit(putts, &[0.02], |x, count, p| binomial(count, angle(x, p[0])))
}

/// Angle and length, with an error that the model does not explain: ln σ in radians, ln of the relative error of length,
/// ln of the unexplained error.
pub(crate) fn rate_fit(putts: &Putts) -> Fit {
    fit(putts, &[0.02, 0.1, 0.01], |x, count, p| normal_rate(count, both(x, p[0], p[1]), p[2]))
}

/// Angle and length, plainly binomial, from a starting point.
pub(crate) fn binomial_fit(putts: &Putts, start: [f64; 2]) -> Fit {
    fit(putts, &start, |x, count, p| {
        let miss = missed(x, p[0], p[1]);
        binomial_of_tails(count, 1.0 - miss, miss)
    })
}
