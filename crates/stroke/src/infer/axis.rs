//! Evenly spaced values of one parameter, and what weights on them say of it.

use serde::Serialize;

use crate::whole;

/// A step, in standard deviations, where an axis is placed; and the widest that is borne (study, 3.3: at most a third).
const STEP: f64 = 0.28;
const WIDEST: f64 = 1.0 / 3.0;

/// An axis reaches to where weights fall below this share of the highest, e⁻⁸: 4 standard deviations of a normal one. It is
/// borne until they are e⁻⁶ at an end.
const END: f64 = 3.355e-4;
const BORNE: f64 = 2.479e-3;

/// The same in standard deviations, where there are no weights as yet.
const REACH: f64 = 4.0;

/// Standard deviations by which an axis grows beyond an end at which weights have not fallen off.
const GROWTH: f64 = 2.0;

/// Most points. A long tail may then have wider steps.
const MOST_POINTS: usize = 61;

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

/// Evenly spaced values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Axis {
    low: f64,
    step: f64,
    points: usize,
}

impl Axis {
    /// Around `mean`, for weights that fall off as the normal distribution's.
    pub(super) fn around(mean: f64, sd: f64) -> Self {
        Self::spanning(mean - REACH * sd, mean + REACH * sd, STEP * sd)
    }

    /// From `low` to `high` or a little farther in steps of `step`, or wider ones if they would be too many.
    fn spanning(low: f64, high: f64, step: f64) -> Self {
        let steps = ((high - low) / step).ceil().clamp(1.0, whole(MOST_POINTS - 1));
        // Some dozens.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let points = steps as usize + 1;
        Self { low, step: (high - low) / steps, points }
    }

    /// One value, of a parameter of which nothing can be learnt.
    pub(super) fn idle(value: f64) -> Self {
        Self { low: value, step: 1.0, points: 1 }
    }

    /// `count` values from `low` to `high`.
    pub(super) fn between(low: f64, high: f64, count: usize) -> Self {
        Self { low, step: (high - low) / whole(count.max(2) - 1), points: count }
    }

    pub(super) fn is_idle(&self) -> bool {
        self.points == 1
    }

    pub(super) fn points(&self) -> usize {
        self.points
    }

    pub(super) fn step(&self) -> f64 {
        self.step
    }

    pub(super) fn values(&self) -> impl Iterator<Item = f64> + use<> {
        let Self { low, step, points } = *self;
        (0..points).map(move |k| low + step * whole(k))
    }

    /// Where `value` lies, in steps from the first point.
    pub(super) fn place(&self, value: f64) -> f64 {
        (value - self.low) / self.step
    }

    /// The same reach with half as many steps, for finding out where weights are.
    pub(super) fn coarse(&self) -> Self {
        if self.is_idle() {
            return *self;
        }
        let steps = self.points.div_ceil(2).max(2);
        Self { step: self.step * whole(self.points - 1) / whole(steps - 1), points: steps, ..*self }
    }

    fn at(&self, k: usize) -> f64 {
        self.low + self.step * whole(k)
    }

    /// An axis that suits `weights` on this one: this one, if its steps are small enough and the weights have fallen off at
    /// both ends.
    pub(super) fn placed(&self, weights: &[f64]) -> Self {
        let most = weights.iter().copied().fold(0.0, f64::max);
        let (_, sd) = self.moments(weights);
        let ends = Self::fallen(weights);
        if self.is_idle() || (ends && self.step <= WIDEST * sd) {
            return *self;
        }
        // Weights on one point or two say little about their spread.
        let sd = sd.max(0.25 * self.step);
        let end = |found: Option<usize>, outermost: usize, outwards: f64| match found {
            Some(k) if k != outermost => self.at(k) + outwards * self.step,
            _ => self.at(outermost) + outwards * GROWTH * sd.max(self.step),
        };
        let above = |weight: &f64| *weight > END * most;
        let low = end(weights.iter().position(above), 0, -1.0);
        let high = end(weights.iter().rposition(above), self.points - 1, 1.0);
        let placed = Self::spanning(low, high, STEP * sd);
        // A long tail with as many points as are allowed cannot be placed better.
        if ends && placed.step > 0.9 * self.step { *self } else { placed }
    }

    /// Whether weights that others will follow may stay on this axis: its steps are up to twice as wide as for reading them, which
    /// sums of a smooth curve bear (the trapezoid rule's error for a normal one falls as e^(−2π²/step²), the step in its
    /// standard deviations).
    pub(super) fn carries(&self, weights: &[f64]) -> bool {
        self.is_idle() || (Self::fallen(weights) && self.step <= 2.0 * WIDEST * self.moments(weights).1)
    }

    /// Whether weights have fallen off at both ends.
    fn fallen(weights: &[f64]) -> bool {
        let most = weights.iter().copied().fold(0.0, f64::max);
        let low = |weight: Option<&f64>| weight.is_none_or(|weight| *weight <= BORNE * most);
        low(weights.first()) && low(weights.last())
    }

    /// An axis for weights that this one suits, once they are blurred by a normal distribution of this standard deviation.
    pub(super) fn blurred(&self, weights: &[f64], sd: f64) -> Self {
        let before = self.moments(weights).1;
        let after = (before * before + sd * sd).sqrt();
        let more = REACH * (after - before);
        Self::spanning(self.low - more, self.at(self.points - 1) + more, STEP * after)
    }

    /// Mean and standard deviation under `weights`, one for each value.
    pub(super) fn moments(&self, weights: &[f64]) -> (f64, f64) {
        let sum: f64 = weights.iter().sum();
        let mean = self.values().zip(weights).map(|(value, weight)| value * weight).sum::<f64>() / sum;
        let square =
            self.values().zip(weights).map(|(value, weight)| (value - mean) * (value - mean) * weight);
        (mean, (square.sum::<f64>() / sum).max(0.0).sqrt())
    }

    /// What `weights` say of the parameter; it is shown if its standard deviation has fallen enough below `before`.
    pub(super) fn parameter(&self, weights: &[f64], before: f64) -> Parameter {
        let (mean, sd) = self.moments(weights);
        let sum: f64 = weights.iter().sum();
        // A weight is spread evenly over half a step to either side.
        let quantile = |share: f64| {
            let mut below = 0.0;
            for (value, weight) in self.values().zip(weights) {
                let weight = weight / sum;
                if below + weight >= share && weight > 0.0 {
                    return value + self.step * ((share - below) / weight - 0.5);
                }
                below += weight;
            }
            mean
        };
        Parameter { mean, sd, low: quantile(0.1), high: quantile(0.9), shown: sd <= SHOWN * before }
    }
}

#[cfg(test)]
mod tests {
    use super::Axis;
    use longrail_math::fx;

    #[test]
    fn a_normal_distribution_on_its_own_axis_has_its_own_quantiles() {
        // Mean 2, standard deviation 0.5; the tenth on either side begins 1.28155 standard deviations out (any table).
        let axis = Axis::around(2.0, 0.5);
        let weights: Vec<f64> = axis.values().map(|x| fx::exp(-2.0 * (x - 2.0) * (x - 2.0))).collect();
        let parameter = axis.parameter(&weights, 1.0);
        assert!((parameter.mean - 2.0).abs() < 1e-6 && (parameter.sd - 0.5).abs() < 1e-3, "{parameter:?}");
        assert!((parameter.low - (2.0 - 0.5 * 1.28155)).abs() < 0.005, "{parameter:?}");
        assert!((parameter.high - (2.0 + 0.5 * 1.28155)).abs() < 0.005, "{parameter:?}");
        // It suits these weights, and not narrower ones or such as lie elsewhere.
        assert_eq!(axis.placed(&weights), axis);
        let others = |mean: f64, sd: f64| -> Vec<f64> {
            axis.values().map(|x| fx::exp(-0.5 * (x - mean) * (x - mean) / sd / sd)).collect()
        };
        let (narrow, aside) = (axis.placed(&others(2.0, 0.3)), axis.placed(&others(3.0, 0.5)));
        assert!(narrow.step() < 0.1 && narrow.at(0) > 0.4, "{narrow:?}");
        assert!(aside.at(aside.points() - 1) > 4.5 && aside.at(0) > 0.5, "{aside:?}");
    }
}
