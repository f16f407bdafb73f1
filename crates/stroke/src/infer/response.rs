//! What can be seen at a rung, for every possible stroke of a grid.

use longrail_math::fx;

use super::axis::Axis;
use super::outcome::{Seen, Shares, Tally, chance, chance_of_lapse};
use super::prior::LAPSES;
use super::surface::{Surface, mixed};

/// ln σ of aim, bias, ln of the spread of speed.
pub(super) type Axes = [Axis; 3];

/// Chances kept from 0: what should be impossible happens once in 10⁹.
const LEAST: f64 = 1e-9;

/// Weights kept from 0, and from numbers so small that processors are slow at them.
const LEAST_WEIGHT: f64 = 1e-200;

/// Shares of a rung at every point of a grid, in the order of the axes.
#[derive(Clone, Debug)]
pub(super) struct Response {
    shares: Vec<Shares>,
    pots: bool,
}

impl Response {
    /// Of `surface` on `axes`, for strokes whose ln σ is larger by `more`.
    pub(super) fn new(surface: &Surface, axes: &Axes, more: f64) -> Self {
        let by_speed: Vec<Vec<Shares>> =
            axes[2].values().map(|ln| surface.at_speed_spread(fx::exp(ln))).collect();
        let mut shares = Vec::with_capacity(axes.iter().map(Axis::points).product());
        for ln_spread in axes[0].values() {
            let spread = fx::exp(ln_spread + more);
            for bias in axes[1].values() {
                let weights = surface.aim_weights(spread, bias);
                // Cells out of reach of this stroke cost no time.
                let first = weights.iter().position(|weight| *weight > 0.0).unwrap_or(0);
                let last = weights.iter().rposition(|weight| *weight > 0.0).map_or(first, |last| last + 1);
                for cells in &by_speed {
                    let mut sum = Shares::default();
                    mixed(&weights[first..last], &cells[first..last], &mut sum);
                    shares.push(sum);
                }
            }
        }
        Self { shares, pots: surface.pots() }
    }

    /// Multiplies `weights`, by point and then lapse, by `scale` and the chance of one attempt; returns their sum.
    pub(super) fn multiply(
        &self,
        seen: Seen,
        lapses: &[f64; LAPSES],
        scale: f64,
        weights: &mut [f64],
    ) -> f64 {
        // One sum for each lapse: they do not wait for each other.
        let mut sums = [0.0; LAPSES];
        let of_lapse = chance_of_lapse(seen, self.pots);
        for (shares, weights) in self.shares.iter().zip(weights.chunks_exact_mut(LAPSES)) {
            let attended = chance(shares, seen);
            for ((weight, lapse), sum) in weights.iter_mut().zip(lapses).zip(&mut sums) {
                let chance = ((1.0 - lapse) * attended + lapse * of_lapse).max(LEAST);
                *weight = (*weight * scale * chance).max(LEAST_WEIGHT);
                *sum += *weight;
            }
        }
        sums.iter().sum()
    }

    /// Adds the ln of the chance of all attempts of a tally.
    pub(super) fn add_ln(&self, tally: &Tally, lapses: &[f64; LAPSES], ln_weights: &mut [f64]) {
        let seen: Vec<(Seen, f64, f64)> = tally
            .seen()
            .map(|(seen, count)| (seen, f64::from(count), chance_of_lapse(seen, self.pots)))
            .collect();
        for (shares, weights) in self.shares.iter().zip(ln_weights.chunks_exact_mut(LAPSES)) {
            for (seen, count, of_lapse) in &seen {
                let attended = chance(shares, *seen);
                for (weight, lapse) in weights.iter_mut().zip(lapses) {
                    *weight += count * fx::ln(((1.0 - lapse) * attended + lapse * of_lapse).max(LEAST));
                }
            }
        }
    }

    /// The chance of what was seen, by point and then lapse.
    pub(super) fn chances(&self, seen: Seen, lapses: &[f64; LAPSES]) -> impl Iterator<Item = f64> {
        let of_lapse = chance_of_lapse(seen, self.pots);
        self.shares.iter().flat_map(move |shares| {
            let attended = chance(shares, seen);
            lapses.map(|lapse| (1.0 - lapse) * attended + lapse * of_lapse)
        })
    }
}
