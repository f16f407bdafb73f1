//! Possible strokes and how likely each is after what was seen.

use longrail_math::fx;
use serde::Serialize;

use super::surface::ln_chance;
use super::{Seen, Surface, Tally};
use crate::error::{StrokeError, check};

/// What is thought of a player before the first attempt (study, 3.3).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prior {
    /// Median spread of aim, in degrees; 0.05 to 5. Default 0.3.
    pub spread_deg: f64,
    /// Standard deviation of its logarithm; 0.05 to 1.5. Default 0.6.
    pub ln_sd: f64,
    /// Standard deviation of the bias, in degrees; 0.005 to 1. Default 0.08.
    pub bias_sd_deg: f64,
    /// Lapses that are thought possible, 0 to 0.5, each with its weight; weights of 0 leave one out.
    pub lapses: [(f64, f64); LAPSES],
}

impl Default for Prior {
    fn default() -> Self {
        Self {
            spread_deg: 0.3,
            ln_sd: 0.6,
            bias_sd_deg: 0.08,
            lapses: [(0.0, 0.3), (0.02, 0.4), (0.05, 0.2), (0.10, 0.1)],
        }
    }
}

/// Number of lapses that are thought possible.
pub const LAPSES: usize = 4;

/// Grid: standard deviations of the prior to either side, and points.
const REACH: f64 = 4.0;
const SPREADS: usize = 161;
const BIASES: usize = 81;

/// A parameter is not shown while its standard deviation exceeds this share of what it was before.
const SHOWN: f64 = 0.7;

/// One parameter of the stroke, as far as it is known.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Parameter {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
    /// Four times in five it lies above this …
    pub low: f64,
    /// … and below this: a tenth on either side.
    pub high: f64,
    /// Whether enough is known to show it.
    pub shown: bool,
}

/// A stroke as far as it is known.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Inferred {
    /// Natural logarithm of the spread of aim in degrees.
    pub ln_spread: Parameter,
    /// Bias of aim in degrees, positive to the left.
    pub bias_deg: Parameter,
    /// Mean chance of a lapse.
    pub lapse: f64,
    /// Whether no side of a miss was recorded: the spread then contains the bias, and no bias is claimed.
    pub effective_only: bool,
}

/// Weights over possible strokes.
#[derive(Clone, Debug)]
pub struct Posterior {
    prior: Prior,
    /// ln σ and μ on the grid.
    ln_spreads: Vec<f64>,
    biases: Vec<f64>,
    /// ln weight by spread, then bias, then lapse.
    ln_weights: Vec<f64>,
    sides: bool,
}

impl Posterior {
    /// Before the first attempt.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] with the field of the prior that is wrong.
    pub fn new(prior: Prior) -> Result<Self, StrokeError> {
        check("prior.spread_deg", prior.spread_deg, (0.05, 5.0), "degrees")?;
        check("prior.ln_sd", prior.ln_sd, (0.05, 1.5), "")?;
        check("prior.bias_sd_deg", prior.bias_sd_deg, (0.005, 1.0), "degrees")?;
        for (lapse, weight) in prior.lapses {
            check("prior.lapses", lapse, (0.0, 0.5), "of the attempts")?;
            check("prior.lapses, their weights,", weight, (0.0, 1e6), "")?;
        }
        let grid = |middle: f64, sd: f64, points: usize| -> Vec<f64> {
            (0..points).map(|k| middle + REACH * sd * (2.0 * whole(k) / whole(points - 1) - 1.0)).collect()
        };
        let ln_spreads = grid(fx::ln(prior.spread_deg), prior.ln_sd, SPREADS);
        let biases = grid(0.0, prior.bias_sd_deg, BIASES);
        let mut ln_weights = Vec::with_capacity(SPREADS * BIASES * LAPSES);
        for ln_spread in &ln_spreads {
            let z = (ln_spread - fx::ln(prior.spread_deg)) / prior.ln_sd;
            for bias in &biases {
                let y = bias / prior.bias_sd_deg;
                for (_, weight) in prior.lapses {
                    ln_weights.push(fx::ln(weight) - 0.5 * (z * z + y * y));
                }
            }
        }
        Ok(Self { prior, ln_spreads, biases, ln_weights, sides: false })
    }

    /// Takes in attempts at one rung; their order does not matter.
    pub fn take(&mut self, surface: &Surface, tally: &Tally) {
        const KINDS: [Seen; 6] =
            [Seen::Made, Seen::Left, Seen::Right, Seen::Missed, Seen::Strayed, Seen::Failed];
        self.sides |= tally.has_sides();
        let mut weights = self.ln_weights.iter_mut();
        for ln_spread in &self.ln_spreads {
            let spread = fx::exp(*ln_spread);
            for bias in &self.biases {
                let chances = surface.chances(spread, *bias);
                for ((lapse, _), weight) in self.prior.lapses.iter().zip(weights.by_ref()) {
                    for (seen, count) in KINDS.into_iter().zip(tally.counts) {
                        if count > 0 {
                            *weight += f64::from(count) * ln_chance(chances.of(seen, *lapse));
                        }
                    }
                }
            }
        }
    }

    /// What is known now.
    pub fn inferred(&self) -> Inferred {
        let most = self.ln_weights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let mut spreads = vec![0.0; SPREADS];
        let mut biases = vec![0.0; BIASES];
        let (mut lapse, mut sum) = (0.0, 0.0);
        for (k, ln_weight) in self.ln_weights.iter().enumerate() {
            let weight = fx::exp(ln_weight - most);
            spreads[k / (BIASES * LAPSES)] += weight;
            biases[k / LAPSES % BIASES] += weight;
            lapse += weight * self.prior.lapses[k % LAPSES].0;
            sum += weight;
        }
        let ln_spread = parameter(&self.ln_spreads, &spreads, self.prior.ln_sd);
        let mut bias_deg = parameter(&self.biases, &biases, self.prior.bias_sd_deg);
        bias_deg.shown &= self.sides;
        Inferred { ln_spread, bias_deg, lapse: lapse / sum, effective_only: !self.sides }
    }

    /// Mean and 80 % range of the chance of `seen` at another rung.
    pub fn predicted(&self, surface: &Surface, seen: Seen) -> Parameter {
        let most = self.ln_weights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let mut points = Vec::with_capacity(self.ln_weights.len());
        let mut weights = self.ln_weights.iter();
        for ln_spread in &self.ln_spreads {
            for bias in &self.biases {
                let chances = surface.chances(fx::exp(*ln_spread), *bias);
                for ((lapse, _), ln_weight) in self.prior.lapses.iter().zip(weights.by_ref()) {
                    points.push((chances.of(seen, *lapse), fx::exp(ln_weight - most)));
                }
            }
        }
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (values, weights): (Vec<f64>, Vec<f64>) = points.into_iter().unzip();
        parameter(&values, &weights, f64::INFINITY)
    }
}

/// Mean, spread and range of rising `values` with `weights`; shown if its spread has fallen enough below `before`.
fn parameter(values: &[f64], weights: &[f64], before: f64) -> Parameter {
    let sum: f64 = weights.iter().sum();
    let mean = values.iter().zip(weights).map(|(value, weight)| value * weight).sum::<f64>() / sum;
    let square = values
        .iter()
        .zip(weights)
        .map(|(value, weight)| (value - mean) * (value - mean) * weight)
        .sum::<f64>();
    let sd = (square / sum).sqrt();
    let quantile = |share: f64| {
        let mut below = 0.0;
        for (value, weight) in values.iter().zip(weights) {
            below += weight / sum;
            if below >= share {
                return *value;
            }
        }
        values[values.len() - 1]
    };
    Parameter { mean, sd, low: quantile(0.1), high: quantile(0.9), shown: sd <= SHOWN * before }
}

/// A small whole number.
#[allow(clippy::cast_precision_loss)]
fn whole(k: usize) -> f64 {
    k as f64
}
