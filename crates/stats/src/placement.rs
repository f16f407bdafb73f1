//! Where to try next: a psychometric function in general form, and a choice by expected information.
//!
//! The posterior lives on a grid of hypotheses. The next stimulus is the one whose outcome is expected to tell most of
//! what is of interest, other parameters left out of account: the Psi method (Kontsevich & Tyler, Vision Research
//! 39, 1999) with nuisance parameters (Prins, Journal of Vision 13(7), 2013).

use crate::error::{chance, check};
use crate::special::normal_cdf;
use crate::{Count, StatsError};
use longrail_math::fx;

/// The shape between floor and ceiling.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// 1/(1 + exp(−z)).
    Logistic,
    /// The normal distribution function Φ(z).
    Normal,
}

/// Chance of a make as a function of a stimulus x:
/// guess + (1 − guess − lapse) F((threshold − x)/spread), falling with x; a negative spread makes it rise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    shape: Shape,
    threshold: f64,
    spread: f64,
    guess: f64,
    lapse: f64,
}

impl Curve {
    /// `threshold` is the stimulus half-way between ceiling 1 − `lapse` and floor `guess`; `spread` is not zero.
    ///
    /// ```
    /// use longrail_stats::placement::{Curve, Shape};
    /// let curve = Curve::new(Shape::Logistic, 3.0, 0.5, 0.0, 0.02)?;
    /// assert_eq!(curve.chance(3.0), 0.49);
    /// # Ok::<(), longrail_stats::StatsError>(())
    /// ```
    ///
    /// # Errors
    /// If the spread is zero, a number not finite, or guess and lapse leave nothing between them.
    pub fn new(
        shape: Shape,
        threshold: f64,
        spread: f64,
        guess: f64,
        lapse: f64,
    ) -> Result<Self, StatsError> {
        let threshold = check("threshold", threshold, "a finite number", |_| true)?;
        let spread = check("spread", spread, "other than 0", |v| v != 0.0)?;
        let guess = check("guess rate", guess, "from 0 to below 1", |v| (0.0..1.0).contains(&v))?;
        let lapse =
            check("lapse rate", lapse, "from 0 to below 1 − guess", |v| v >= 0.0 && v + guess < 1.0)?;
        Ok(Self { shape, threshold, spread, guess, lapse })
    }

    /// Chance of a make at `x`.
    pub fn chance(&self, x: f64) -> f64 {
        let z = (self.threshold - x) / self.spread;
        let between = match self.shape {
            Shape::Logistic => 1.0 / (1.0 + fx::exp(-z)),
            Shape::Normal => normal_cdf(z),
        };
        self.guess + (1.0 - self.guess - self.lapse) * between
    }

    /// The stimulus at which the chance is `p`; nothing if the curve does not get there.
    pub fn stimulus_for(&self, p: f64) -> Option<f64> {
        let between = (p - self.guess) / (1.0 - self.guess - self.lapse);
        if !(between > 0.0 && between < 1.0) {
            return None;
        }
        let z = match self.shape {
            Shape::Logistic => fx::ln(between / (1.0 - between)),
            Shape::Normal => crate::special::normal_quantile(between),
        };
        Some(self.threshold - self.spread * z)
    }
}

/// A posterior over hypotheses, and the choice of the next stimulus.
///
/// ```
/// use longrail_stats::placement::{Curve, Placement, Shape};
/// // Thresholds 0 to 8; the spread is known, so every hypothesis is a group of its own.
/// let thresholds: Vec<f64> = (0..=32).map(|i| f64::from(i) * 0.25).collect();
/// let prior = vec![1.0; thresholds.len()];
/// let groups: Vec<usize> = (0..thresholds.len()).collect();
/// let curves = thresholds
///     .iter()
///     .map(|&t| Curve::new(Shape::Normal, t, 0.8, 0.0, 0.02))
///     .collect::<Result<Vec<_>, _>>()?;
/// let stimuli = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0];
/// let mut placement =
///     Placement::new(&prior, &groups, stimuli.len(), |s, h| curves[h].chance(stimuli[s]))?;
/// // Knowing nothing, it asks in the middle; after a make, further out.
/// assert_eq!(placement.best(), 3);
/// placement.observe(3, true)?;
/// assert!(placement.best() > 3);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    weights: Vec<f64>,
    groups: Vec<usize>,
    group_count: usize,
    /// Chance of a make: stimulus by stimulus, hypothesis by hypothesis.
    chances: Vec<f64>,
    stimuli: usize,
}

impl Placement {
    /// Hypotheses with prior weights (not all zero, any sum); hypotheses in one group differ in what is of no interest;
    /// `chance(stimulus, hypothesis)` is the chance of a make.
    ///
    /// # Errors
    /// If lists differ in length, are empty, a weight is negative, or a chance outside 0 to 1.
    pub fn new(
        prior: &[f64],
        groups: &[usize],
        stimuli: usize,
        chance_of: impl Fn(usize, usize) -> f64,
    ) -> Result<Self, StatsError> {
        if groups.len() != prior.len() {
            return Err(StatsError::WrongLength { name: "groups", given: groups.len(), needed: prior.len() });
        }
        if prior.is_empty() || stimuli == 0 {
            return Err(StatsError::TooFew { given: 0, needed: 1 });
        }
        for &weight in prior {
            check("prior weight", weight, "0 or more", |v| v >= 0.0)?;
        }
        let most = 16 * prior.len();
        let largest = groups.iter().copied().max().unwrap_or(0);
        if largest >= most {
            return Err(StatsError::WrongLength { name: "group numbers", given: largest, needed: most });
        }
        let mut chances = Vec::with_capacity(stimuli * prior.len());
        for stimulus in 0..stimuli {
            for hypothesis in 0..prior.len() {
                chances.push(chance("chance of a make", chance_of(stimulus, hypothesis))?);
            }
        }
        let mut placement = Self {
            weights: prior.to_vec(),
            groups: groups.to_vec(),
            group_count: largest + 1,
            chances,
            stimuli,
        };
        placement.normalise()?;
        Ok(placement)
    }

    fn row(&self, stimulus: usize) -> &[f64] {
        let size = self.weights.len();
        self.chances.get(stimulus * size..(stimulus + 1) * size).unwrap_or(&[])
    }

    fn normalise(&mut self) -> Result<(), StatsError> {
        let sum: f64 = self.weights.iter().sum();
        check("total weight of the hypotheses", sum, "greater than 0", |v| v > 0.0)?;
        for weight in &mut self.weights {
            *weight /= sum;
        }
        Ok(())
    }

    /// One attempt at a stimulus (by index).
    ///
    /// # Errors
    /// If there is no such stimulus, or no hypothesis allows the outcome; the posterior is then unchanged.
    pub fn observe(&mut self, stimulus: usize, made: bool) -> Result<(), StatsError> {
        self.observe_count(stimulus, Count::of_parts(u32::from(made), u32::from(!made)))
    }

    /// Several attempts at a stimulus (by index).
    ///
    /// # Errors
    /// If there is no such stimulus, or no hypothesis allows the outcome; the posterior is then unchanged.
    pub fn observe_count(&mut self, stimulus: usize, count: Count) -> Result<(), StatsError> {
        if stimulus >= self.stimuli {
            return Err(StatsError::WrongLength { name: "stimuli", given: stimulus, needed: self.stimuli });
        }
        let (s, f) = (f64::from(count.made()), f64::from(count.missed()));
        // 0 · ln 0 counts as nothing.
        let part = |n: f64, p: f64| if n == 0.0 { 0.0 } else { n * fx::ln(p) };
        let logs: Vec<f64> = self.row(stimulus).iter().map(|&p| part(s, p) + part(f, 1.0 - p)).collect();
        let possible = self.weights.iter().zip(&logs).filter(|(w, _)| **w > 0.0);
        let top = possible.map(|(_, l)| *l).fold(f64::NEG_INFINITY, f64::max);
        check("greatest log likelihood of the hypotheses", top, "finite", |_| true)?;
        for (weight, log) in self.weights.iter_mut().zip(&logs) {
            *weight *= fx::exp(log - top);
        }
        self.normalise()
    }

    /// Posterior weights of the hypotheses; their sum is 1.
    pub fn posterior(&self) -> &[f64] {
        &self.weights
    }

    /// Posterior mean and standard deviation of any quantity of a hypothesis.
    pub fn moments(&self, quantity: impl Fn(usize) -> f64) -> (f64, f64) {
        let mean: f64 = self.weights.iter().enumerate().map(|(h, w)| w * quantity(h)).sum();
        let square = |h: usize| (quantity(h) - mean) * (quantity(h) - mean);
        let variance: f64 = self.weights.iter().enumerate().map(|(h, w)| w * square(h)).sum();
        (mean, variance.sqrt())
    }

    /// Predicted chance of a make at a stimulus.
    pub fn predicted(&self, stimulus: usize) -> f64 {
        self.row(stimulus).iter().zip(&self.weights).map(|(p, w)| p * w).sum()
    }

    /// Expected information of an attempt at a stimulus about the group that is true, in nats: the mutual information of
    /// outcome and group. From 0 to ln 2.
    pub fn expected_information(&self, stimulus: usize) -> f64 {
        let mut made = vec![0.0; self.group_count];
        let mut whole = vec![0.0; self.group_count];
        for ((p, w), &group) in self.row(stimulus).iter().zip(&self.weights).zip(&self.groups) {
            made[group] += p * w;
            whole[group] += w;
        }
        let p: f64 = made.iter().sum();
        let term = |joint: f64, outcome: f64, group: f64| {
            if joint > 0.0 { joint * fx::ln(joint / (outcome * group)) } else { 0.0 }
        };
        let sum: f64 = made.iter().zip(&whole).map(|(m, w)| term(*m, p, *w) + term(w - m, 1.0 - p, *w)).sum();
        sum.max(0.0)
    }

    /// The stimulus (by index) with most expected information; the first of equals.
    pub fn best(&self) -> usize {
        let mut best = (0, f64::NEG_INFINITY);
        for stimulus in 0..self.stimuli {
            let information = self.expected_information(stimulus);
            if information > best.1 {
                best = (stimulus, information);
            }
        }
        best.0
    }
}
