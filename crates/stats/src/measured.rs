//! Measured outcomes: how far, how many; their mean and spread, and comparisons.
//!
//! Intervals assume roughly normal values (mean: Student's t; spread: chi-square) and independent ones. No promotion is
//! read from them.

use crate::error::check;
use crate::special::{chi_square_quantile, normal_cdf, student_cdf, student_quantile};
use crate::{Interval, Level, StatsError};

/// Values taken in one after the other; only their number, mean and sum of squares is kept (Welford 1962).
///
/// ```
/// use longrail_stats::{Level, measured::Measured};
/// let measured = Measured::of(&[12.0, 9.5, 14.0, 11.0, 10.5])?;
/// assert!((measured.mean()? - 11.4).abs() < 1e-12);
/// assert!(measured.mean_interval(Level::P95)?.contains(11.4));
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Measured {
    number: u32,
    mean: f64,
    squares: f64,
}

/// Welch's comparison of two means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Welch {
    /// Mean of the second less mean of the first.
    pub difference: f64,
    /// Its interval.
    pub interval: Interval,
    /// The t statistic.
    pub t: f64,
    /// Degrees of freedom (Welch–Satterthwaite).
    pub freedom: f64,
    /// Two-sided p-value.
    pub p: f64,
    /// Chance that the second mean is the greater: the t distribution read as a posterior.
    pub chance_greater: f64,
}

impl Measured {
    /// All values of a list.
    ///
    /// # Errors
    /// If one of them is not finite or larger than 10¹⁰⁰ either way.
    pub fn of(values: &[f64]) -> Result<Self, StatsError> {
        let mut measured = Self::default();
        for &value in values {
            measured.add(value)?;
        }
        Ok(measured)
    }

    /// One more value.
    ///
    /// # Errors
    /// If it is not finite or larger than 10¹⁰⁰ either way; what was taken in is then unchanged.
    pub fn add(&mut self, value: f64) -> Result<(), StatsError> {
        check("measured value", value, "at most 1e100 either way", |v| v.abs() <= 1e100)?;
        self.number = self.number.saturating_add(1);
        let before = value - self.mean;
        self.mean += before / f64::from(self.number);
        self.squares += before * (value - self.mean);
        Ok(())
    }

    /// How many values.
    pub const fn number(&self) -> u32 {
        self.number
    }

    fn needs(&self, needed: u32) -> Result<f64, StatsError> {
        if self.number < needed {
            Err(StatsError::TooFew { given: self.number as usize, needed: needed as usize })
        } else {
            Ok(f64::from(self.number))
        }
    }

    /// Their mean.
    ///
    /// # Errors
    /// If there is no value.
    pub fn mean(&self) -> Result<f64, StatsError> {
        self.needs(1).map(|_| self.mean)
    }

    /// Their standard deviation (divisor n − 1).
    ///
    /// # Errors
    /// If there are fewer than two.
    pub fn spread(&self) -> Result<f64, StatsError> {
        self.needs(2).map(|n| (self.squares / (n - 1.0)).sqrt())
    }

    /// Interval of the mean, by Student's t.
    ///
    /// # Errors
    /// If there are fewer than two values.
    pub fn mean_interval(&self, level: Level) -> Result<Interval, StatsError> {
        let n = self.needs(2)?;
        let half = -student_quantile(n - 1.0, level.tail()) * self.spread()? / n.sqrt();
        Ok(Interval { low: self.mean - half, high: self.mean + half })
    }

    /// Interval of the standard deviation, by chi-square with equal tails.
    ///
    /// # Errors
    /// If there are fewer than two values.
    pub fn spread_interval(&self, level: Level) -> Result<Interval, StatsError> {
        let n = self.needs(2)?;
        let end = |p: f64| (self.squares / chi_square_quantile(n - 1.0, p)).sqrt();
        Ok(Interval { low: end(1.0 - level.tail()), high: end(level.tail()) })
    }

    /// Compares the mean of `later` with this one without assuming equal spreads (Welch, Biometrika 34, 1947).
    /// Values that are all alike on both sides give a certain answer.
    ///
    /// # Errors
    /// If one side has fewer than two values.
    pub fn compare(&self, later: &Self, level: Level) -> Result<Welch, StatsError> {
        let (n1, n2) = (self.needs(2)?, later.needs(2)?);
        let (v1, v2) = (self.squares / (n1 - 1.0) / n1, later.squares / (n2 - 1.0) / n2);
        let difference = later.mean - self.mean;
        let error = (v1 + v2).sqrt();
        // Shares, so that nothing overflows.
        let (r1, r2) = if error > 0.0 { (v1 / (v1 + v2), v2 / (v1 + v2)) } else { (0.5, 0.5) };
        let freedom = 1.0 / (r1 * r1 / (n1 - 1.0) + r2 * r2 / (n2 - 1.0));
        let t = if difference == 0.0 { 0.0 } else { difference / error };
        let tails = student_cdf(freedom, t);
        let half = -student_quantile(freedom, level.tail()) * error;
        Ok(Welch {
            difference,
            interval: Interval { low: difference - half, high: difference + half },
            t,
            freedom,
            p: (2.0 * tails.below.min(tails.above)).min(1.0),
            chance_greater: tails.below,
        })
    }
}

/// Log likelihood of a session's mean for a trend of measured values: the mean of `measured` is normal around `level`
/// with its own standard error and the day's form (standard deviation `day_form`) added. Up to a constant.
///
/// # Errors
/// If there are fewer than two values, or they are all alike and there is no day form.
pub fn ln_likelihood_of_level(measured: &Measured, level: f64, day_form: f64) -> Result<f64, StatsError> {
    let n = measured.needs(2)?;
    let spread = measured.spread()?;
    let variance = spread * spread / n + day_form * day_form;
    check("variance of the mean", variance, "greater than 0", |v| v > 0.0)?;
    let distance = measured.mean - level;
    Ok(-0.5 * distance * distance / variance)
}

/// Chance that a further value exceeds `limit`, if values are normal with the mean and spread seen; the uncertainty of
/// both is left out.
///
/// # Errors
/// If there are fewer than two values or they are all alike.
pub fn chance_above(measured: &Measured, limit: f64) -> Result<f64, StatsError> {
    let spread = check("spread", measured.spread()?, "greater than 0", |v| v > 0.0)?;
    Ok(normal_cdf((measured.mean - limit) / spread))
}
