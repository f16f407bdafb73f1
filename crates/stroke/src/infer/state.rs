//! Weights over possible strokes, on axes of their own.

use longrail_math::fx;

use super::axis::Axis;
use super::offset::{self, VALUES};
use super::prior::{LAPSES, Prior};
use super::response::Axes;
use crate::whole;

/// Weights are kept from 0 where their logarithm is taken.
const LEAST: f64 = 1e-300;

/// Weights over possible strokes.
#[derive(Clone, Debug)]
pub(super) struct State {
    /// ln σ, bias, ln of the spread of speed. The last is idle while no rung tells of it.
    pub(super) axes: Axes,
    /// By ln σ, bias, spread of speed, lapse.
    pub(super) weights: Vec<f64>,
    /// What they add up to.
    pub(super) sum: f64,
    /// For each offset, and each of its values, the chance of that value at every point. Exact with one offset; with several
    /// they are taken as independent of each other where the stroke is known.
    pub(super) offsets: Vec<[Vec<f64>; VALUES]>,
}

/// Weights of each parameter alone.
pub(super) struct Marginals {
    pub(super) axes: [Vec<f64>; 3],
    pub(super) lapses: [f64; LAPSES],
}

impl State {
    /// The prior, ln of its weights, on these axes.
    pub(super) fn ln_prior(prior: &Prior, axes: &Axes) -> Vec<f64> {
        let ln_normal = |axis: &Axis, mean: f64, sd: f64| -> Vec<f64> {
            axis.values().map(|value| (value - mean) / sd).map(|z| -0.5 * z * z).collect()
        };
        let spreads = ln_normal(&axes[0], fx::ln(prior.spread_deg), prior.ln_sd);
        let biases = ln_normal(&axes[1], 0.0, prior.bias_sd_deg);
        let speeds = Self::ln_prior_of_speed(prior, &axes[2]);
        let lapses = prior.lapses.map(|(_, weight)| fx::ln(weight));
        let mut ln = Vec::with_capacity(points(axes) * LAPSES);
        for spread in &spreads {
            for bias in &biases {
                for speed in &speeds {
                    ln.extend(lapses.iter().map(|lapse| spread + bias + speed + lapse));
                }
            }
        }
        ln
    }

    fn ln_prior_of_speed(prior: &Prior, axis: &Axis) -> Vec<f64> {
        let z = |ln: f64| (ln - fx::ln(prior.speed_spread)) / prior.speed_ln_sd;
        axis.values().map(z).map(|z| -0.5 * z * z).collect()
    }

    /// From ln of weights.
    pub(super) fn of_ln(axes: Axes, ln: &[f64], offsets: Vec<[Vec<f64>; VALUES]>) -> Self {
        let most = ln.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Self::of(axes, ln.iter().map(|ln| fx::exp(ln - most)).collect(), offsets)
    }

    /// From weights, whatever their sum.
    pub(super) fn of(axes: Axes, weights: Vec<f64>, offsets: Vec<[Vec<f64>; VALUES]>) -> Self {
        let mut state = Self { axes, weights, sum: 1.0, offsets };
        state.normalise();
        state
    }

    /// Makes the weights add up to 1.
    pub(super) fn normalise(&mut self) {
        let sum: f64 = self.weights.iter().sum();
        for weight in &mut self.weights {
            *weight /= sum;
        }
        self.sum = 1.0;
    }

    /// ln of the weights on other axes. A speed that was idle so far has its prior there.
    pub(super) fn ln_on(&self, axes: &Axes, prior: &Prior) -> Vec<f64> {
        let mut ln: Vec<f64> = self.weights.iter().map(|weight| fx::ln(weight.max(LEAST))).collect();
        self.each_axis(axes, &mut ln, cubic);
        if self.axes[2].is_idle() && !axes[2].is_idle() {
            let speeds = Self::ln_prior_of_speed(prior, &axes[2]);
            for (ln, speed) in ln.chunks_exact_mut(LAPSES).zip(speeds.iter().cycle()) {
                for ln in ln {
                    *ln += speed;
                }
            }
        }
        ln
    }

    /// The offsets' chances on other axes.
    pub(super) fn offsets_on(&self, axes: &Axes) -> Vec<[Vec<f64>; VALUES]> {
        let mut offsets = self.offsets.clone();
        for chances in offsets.iter_mut().flatten() {
            self.each_axis(axes, chances, linear);
        }
        offsets
    }

    /// Before the first attempt under an offset its values have their prior weights at every one of `length` weights.
    pub(super) fn unknown_offset(length: usize) -> [Vec<f64>; VALUES] {
        offset::values().map(|(_, weight)| vec![weight; length])
    }

    /// Moves values from these axes to others, one axis after the other.
    fn each_axis(&self, axes: &Axes, values: &mut Vec<f64>, between: fn(&[f64], f64) -> f64) {
        let mut inner = LAPSES;
        for k in (0..3).rev() {
            if self.axes[k] != axes[k] {
                *values = along(values, inner, &self.axes[k], &axes[k], between);
            }
            inner *= axes[k].points();
        }
    }

    /// The same weights on other axes.
    pub(super) fn on(&self, axes: &Axes, prior: &Prior) -> Self {
        if *axes == self.axes {
            self.clone()
        } else {
            Self::of_ln(*axes, &self.ln_on(axes, prior), self.offsets_on(axes))
        }
    }

    /// After a step of a random walk of ln σ, of this standard deviation, on axes that reach far enough for it.
    pub(super) fn drifted(&self, sd: f64, prior: &Prior) -> Self {
        // Where the axes suit afterwards, too, nothing else that stands on them has to be worked out again.
        let mut kept = self.clone();
        kept.drift(sd);
        if kept.axes[0].carries(&kept.marginals().axes[0]) {
            return kept;
        }
        let mut axes = self.axes;
        axes[0] = axes[0].blurred(&self.marginals().axes[0], sd);
        let mut drifted = self.on(&axes, prior);
        drifted.drift(sd);
        drifted
    }

    /// The step itself.
    fn drift(&mut self, sd: f64) {
        let stride = self.weights.len() / self.axes[0].points();
        let steps = sd / self.axes[0].step();
        let walked = |mut values: Vec<f64>| {
            // Steps to either neighbour: their variance is exact, however small it is beside a step of the axis.
            let passes = (2.0 * steps * steps).ceil().max(1.0);
            let aside = 0.5 * steps * steps / passes;
            // Some dozens.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            for _ in 0..passes as u32 {
                values = walked_once(&values, stride, aside);
            }
            values
        };
        let weights = walked(self.weights.clone());
        for chances in self.offsets.iter_mut().flatten() {
            let both = chances.iter().zip(&self.weights).map(|(chance, weight)| chance * weight).collect();
            *chances =
                walked(both).iter().zip(&weights).map(|(both, weight)| both / weight.max(LEAST)).collect();
        }
        self.weights = weights;
        self.normalise();
    }

    /// Weights of each parameter alone.
    pub(super) fn marginals(&self) -> Marginals {
        let mut axes = self.axes.map(|axis| vec![0.0; axis.points()]);
        let mut lapses = [0.0; LAPSES];
        let (biases, speeds) = (axes[1].len(), axes[2].len());
        for (k, row) in self.weights.chunks_exact(speeds * LAPSES).enumerate() {
            let mut sum = 0.0;
            for (weights, speed) in row.chunks_exact(LAPSES).zip(&mut axes[2]) {
                let mut point = 0.0;
                for (weight, lapse) in weights.iter().zip(&mut lapses) {
                    point += weight;
                    *lapse += weight;
                }
                *speed += point;
                sum += point;
            }
            axes[0][k / biases] += sum;
            axes[1][k % biases] += sum;
        }
        Marginals { axes, lapses }
    }

    /// Whether all axes carry these weights until others follow.
    pub(super) fn is_carried(&self) -> bool {
        let marginals = self.marginals();
        self.axes.iter().zip(&marginals.axes).all(|(axis, weights)| axis.carries(weights))
    }

    /// Axes that suit these weights.
    pub(super) fn placed(&self) -> Axes {
        let marginals = self.marginals();
        std::array::from_fn(|k| self.axes[k].placed(&marginals.axes[k]))
    }
}

/// Points of a grid.
pub(super) fn points(axes: &Axes) -> usize {
    axes.iter().map(Axis::points).product()
}

fn walked_once(values: &[f64], stride: usize, aside: f64) -> Vec<f64> {
    let at = |k: Option<usize>| k.and_then(|k| values.get(k)).copied().unwrap_or(0.0);
    let neighbours = |k: usize| at(k.checked_sub(stride)) + at(Some(k + stride));
    values.iter().enumerate().map(|(k, value)| (1.0 - 2.0 * aside) * value + aside * neighbours(k)).collect()
}

/// Values on another axis. `inner` values stand at each point.
fn along(values: &[f64], inner: usize, from: &Axis, to: &Axis, between: fn(&[f64], f64) -> f64) -> Vec<f64> {
    let places: Vec<f64> = to.values().map(|value| from.place(value)).collect();
    let mut moved = Vec::with_capacity(values.len() / from.points() * to.points());
    let mut line = vec![0.0; from.points()];
    for block in values.chunks_exact(inner * from.points()) {
        let start = moved.len();
        moved.resize(start + inner * places.len(), 0.0);
        for k in 0..inner {
            for (kept, value) in line.iter_mut().zip(block[k..].iter().step_by(inner)) {
                *kept = *value;
            }
            for (j, place) in places.iter().enumerate() {
                moved[start + j * inner + k] = between(&line, *place);
            }
        }
    }
    moved
}

/// The index at or below a place, from 0 to `most`.
fn below(place: f64, most: usize) -> usize {
    // Within the line.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let index = place.floor().clamp(0.0, whole(most)) as usize;
    index
}

/// A straight line between neighbours; beyond the ends the end's value.
fn linear(line: &[f64], place: f64) -> f64 {
    let [.., last] = line else { return 0.0 };
    let k = below(place, line.len() - 1);
    let next = line.get(k + 1).unwrap_or(last);
    let share = (place - whole(k)).clamp(0.0, 1.0);
    line[k] + share * (next - line[k])
}

/// The cubic through four neighbours (Lagrange), exact for the ln of a normal density; beyond the ends a straight line on.
fn cubic(line: &[f64], place: f64) -> f64 {
    let n = line.len();
    if n < 4 {
        return linear(line, place);
    }
    if place < 0.0 {
        return line[0] + place * (line[1] - line[0]);
    }
    let beyond = place - whole(n - 1);
    if beyond > 0.0 {
        return line[n - 1] + beyond * (line[n - 1] - line[n - 2]);
    }
    let k = below(place, n - 2).clamp(1, n - 3);
    let t = place - whole(k);
    let [a, b, c, d] = [line[k - 1], line[k], line[k + 1], line[k + 2]];
    let (before, after, later) = (t + 1.0, t - 1.0, t - 2.0);
    -a * t * after * later / 6.0 + b * before * after * later / 2.0 - c * before * t * later / 2.0
        + d * before * t * after / 6.0
}

#[cfg(test)]
mod tests {
    use super::{Axis, LAPSES, Prior, State, cubic, fx, linear};

    #[test]
    fn between_points_a_parabola_stays_one() {
        let line: Vec<f64> = (0..9).map(|k| f64::from((k - 3) * (k - 3))).collect();
        for place in [0.0, 0.3, 2.7, 5.5, 7.9, 8.0] {
            assert!((cubic(&line, place) - (place - 3.0) * (place - 3.0)).abs() < 1e-12, "{place}");
        }
        assert_eq!(cubic(&line, 9.0), 25.0 + 9.0);
        assert_eq!((linear(&line, 2.5), linear(&line, -1.0), linear(&line, 99.0)), (0.5, 9.0, 25.0));
    }

    #[test]
    fn a_normal_distribution_moved_to_other_axes_and_drifted_is_the_normal_distribution_it_should_be() {
        // Variances of independent normal numbers add up: .6² + .25².
        let prior = Prior::default();
        let axes = [Axis::around(-1.2, 0.6), Axis::around(0.0, 0.08), Axis::idle(-2.3)];
        let state = State::of_ln(axes, &State::ln_prior(&prior, &axes), Vec::new());
        let wider = [Axis::around(-1.1, 0.7), Axis::around(0.01, 0.07), Axis::around(-2.3, 0.5)];
        let mut moved = State::of_ln(wider, &state.ln_on(&wider, &prior), Vec::new());
        moved.drift(0.25);
        let marginals = moved.marginals();
        let [spread, bias, speed] = [0, 1, 2].map(|k: usize| wider[k].moments(&marginals.axes[k]));
        assert!((spread.1 - 0.65).abs() < 0.002 && (spread.0 - fx::ln(0.3)).abs() < 0.002, "{spread:?}");
        assert!((bias.1 - 0.08).abs() < 0.001 && (speed.1 - 0.5).abs() < 0.002, "{bias:?} {speed:?}");
        assert!((marginals.lapses.iter().sum::<f64>() - 1.0).abs() < 1e-12 && LAPSES == 4);
    }
}
