//! What can be seen at a rung, for every possible stroke of a grid.

use longrail_math::fx;

use super::axis::Axis;
use super::outcome::{Seen, Shares, chance, chance_of_lapse};
use super::prior::LAPSES;
use super::surface::Surface;

/// ln σ of aim, bias, ln of the spread of speed.
pub(super) type Axes = [Axis; 3];

/// Chances kept from 0: what should be impossible happens once in 10⁹.
pub(super) const LEAST: f64 = 1e-9;

/// Weights of cells that do not show, even where they are all that counts: a tenth of what is kept from 0.
const LEAST_SHARE: f64 = 0.1 * LEAST;

/// Weights kept from 0, and from numbers so small that processors are slow at them.
const LEAST_WEIGHT: f64 = 1e-200;

/// Shares of a rung at every point of a grid, in the order of the axes.
#[derive(Clone, Debug)]
pub(super) struct Response {
    pub(super) shares: Vec<Shares>,
    pub(super) pots: bool,
}

impl Response {
    /// Of `surface` on `axes`, for strokes whose ln σ is larger by `more`.
    pub(super) fn new(surface: &Surface, axes: &Axes, more: f64) -> Self {
        let speeds = axes[2].points();
        let by_speed: Vec<Vec<Shares>> =
            axes[2].values().map(|ln| surface.at_speed_spread(fx::exp(ln))).collect();
        // By cell of aim, then speed, so that a cell's weight meets its shares side by side.
        let cells = by_speed.first().map_or(0, Vec::len);
        let by_aim: Vec<Shares> =
            (0..cells).flat_map(|cell| by_speed.iter().map(move |speed| speed[cell])).collect();
        let mut shares = Vec::with_capacity(axes.iter().map(Axis::points).product());
        for ln_spread in axes[0].values() {
            let spread = fx::exp(ln_spread + more);
            for bias in axes[1].values() {
                let start = shares.len();
                shares.resize(start + speeds, Shares::default());
                let here = shares[start..].as_flattened_mut();
                // Cells out of reach of this stroke cost no time.
                for (weight, cell) in
                    surface.aim_weights(spread, bias).iter().zip(by_aim.chunks_exact(speeds))
                {
                    if *weight > LEAST_SHARE {
                        for (share, value) in here.iter_mut().zip(cell.as_flattened()) {
                            *share += weight * value;
                        }
                    }
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

    /// The chance of what was seen, by point and then lapse.
    pub(super) fn chances(&self, seen: Seen, lapses: &[f64; LAPSES]) -> impl Iterator<Item = f64> {
        let of_lapse = chance_of_lapse(seen, self.pots);
        self.shares.iter().flat_map(move |shares| {
            let attended = chance(shares, seen);
            lapses.map(|lapse| (1.0 - lapse) * attended + lapse * of_lapse)
        })
    }
}

/// The chance of a make at every point of a grid and for every lapse, as a [`Response`] has it, for strokes whose ln σ is larger
/// by `more`.
pub(super) fn made(surface: &Surface, axes: &Axes, more: f64, lapses: &[f64; LAPSES]) -> Vec<f64> {
    let speeds = axes[2].points();
    let by_speed: Vec<Vec<f64>> =
        axes[2].values().map(|ln| surface.made_at_speed_spread(fx::exp(ln))).collect();
    let cells = by_speed.first().map_or(0, Vec::len);
    let by_aim: Vec<f64> =
        (0..cells).flat_map(|cell| by_speed.iter().map(move |speed| speed[cell])).collect();
    let mut chances = Vec::with_capacity(axes.iter().map(Axis::points).product::<usize>() * LAPSES);
    let mut here = vec![0.0; speeds];
    for ln_spread in axes[0].values() {
        let spread = fx::exp(ln_spread + more);
        for bias in axes[1].values() {
            here.fill(0.0);
            for (weight, cell) in surface.aim_weights(spread, bias).iter().zip(by_aim.chunks_exact(speeds)) {
                if *weight > LEAST_SHARE {
                    for (share, value) in here.iter_mut().zip(cell) {
                        *share += weight * value;
                    }
                }
            }
            chances.extend(here.iter().flat_map(|made| lapses.map(|lapse| (1.0 - lapse) * made)));
        }
    }
    chances
}
