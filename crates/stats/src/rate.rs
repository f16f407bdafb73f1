//! One rate: its intervals, and the chance that it lies above a target.
//!
//! With s made of n tried, p̂ = s/n:
//!
//! * **Jeffreys**: equal tails of the posterior Beta(s + ½, n − s + ½). Brown, Cai & DasGupta, "Interval Estimation for
//!   a Binomial Proportion", Statistical Science 16(2), 2001, section 4.3, without their replacement of the ends at
//!   s = 0 and s = n: the tails are equal everywhere.
//! * **Wilson**: the values that a score test does not reject (Wilson 1927; the same paper, section 3.1).
//! * **Clopper–Pearson**: the values that neither exact one-sided test rejects (1934); it holds the truth at least as
//!   often as it says, usually more often.

use crate::error::{chance, check};
use crate::special::beta::{quantile_pair, tails};
use crate::special::{Tails, normal_quantile};
use crate::{Count, Interval, Level, StatsError};

/// A beta distribution that says what is believed of a rate before the first try.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prior {
    a: f64,
    b: f64,
}

impl Prior {
    /// Beta(½, ½), which favours no scale of measurement (Jeffreys 1946).
    pub const JEFFREYS: Self = Self { a: 0.5, b: 0.5 };
    /// Beta(1, 1): every rate alike.
    pub const UNIFORM: Self = Self { a: 1.0, b: 1.0 };

    /// Beta(a, b), as if `a` makes and `b` misses had been seen.
    ///
    /// # Errors
    /// If one of them is not from 0.001 to 10⁶.
    pub fn new(a: f64, b: f64) -> Result<Self, StatsError> {
        let fits = |v: f64| (1e-3..=1e6).contains(&v);
        Ok(Self {
            a: check("prior makes", a, "from 0.001 to 1000000", fits)?,
            b: check("prior misses", b, "from 0.001 to 1000000", fits)?,
        })
    }

    /// Shapes of the posterior after these tries.
    pub(crate) fn after(self, count: Count) -> (f64, f64) {
        (f64::from(count.made()) + self.a, f64::from(count.missed()) + self.b)
    }
}

/// Equal-tailed posterior interval under [`Prior::JEFFREYS`].
///
/// ```
/// use longrail_stats::{Count, Level, rate};
/// let interval = rate::jeffreys(Count::new(34, 50)?, Level::P80);
/// assert!(interval.low < 0.68 && 0.68 < interval.high);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
pub fn jeffreys(count: Count, level: Level) -> Interval {
    credible(count, Prior::JEFFREYS, level)
}

/// Equal-tailed posterior interval under any prior.
pub fn credible(count: Count, prior: Prior, level: Level) -> Interval {
    let (a, b) = prior.after(count);
    let tail = level.tail();
    Interval { low: quantile_pair(a, b, tail, 1.0 - tail).0, high: quantile_pair(a, b, 1.0 - tail, tail).0 }
}

/// Wilson's score interval; 0 to 1 for 0 of 0.
pub fn wilson(count: Count, level: Level) -> Interval {
    let Some(rate) = count.rate() else { return Interval { low: 0.0, high: 1.0 } };
    let n = f64::from(count.tried());
    let z = -normal_quantile(level.tail());
    let z2 = z * z;
    let half = z * (rate * (1.0 - rate) * n + 0.25 * z2).sqrt();
    let end = |sum: f64| ((n * rate + 0.5 * z2 + sum) / (n + z2)).clamp(0.0, 1.0);
    // At 0 and n the square root equals z²/2 and the end is exact; rounding must not say otherwise.
    let low = if count.made() == 0 { 0.0 } else { end(-half) };
    let high = if count.missed() == 0 { 1.0 } else { end(half) };
    Interval { low, high }
}

/// The exact interval of Clopper and Pearson.
pub fn clopper_pearson(count: Count, level: Level) -> Interval {
    let (s, f) = (f64::from(count.made()), f64::from(count.missed()));
    let tail = level.tail();
    let low = if count.made() == 0 { 0.0 } else { quantile_pair(s, f + 1.0, tail, 1.0 - tail).0 };
    let high = if count.missed() == 0 { 1.0 } else { quantile_pair(s + 1.0, f, 1.0 - tail, tail).0 };
    Interval { low, high }
}

/// Posterior chances that the rate is at most, and above, `target`.
///
/// # Errors
/// If the target is not from 0 to 1.
///
/// ```
/// use longrail_stats::{Count, rate};
/// // Check value S01: scipy.stats.beta.sf(0.5, 30.5, 20.5).
/// let chance = rate::against(Count::new(30, 50)?, rate::Prior::JEFFREYS, 0.5)?.above;
/// assert!((chance - 0.921_692_37).abs() < 1e-7);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
pub fn against(count: Count, prior: Prior, target: f64) -> Result<Tails, StatsError> {
    chance("target", target)?;
    let (a, b) = prior.after(count);
    Ok(tails(a, b, target, 1.0 - target))
}

/// Posterior mean.
pub fn posterior_mean(count: Count, prior: Prior) -> f64 {
    let (a, b) = prior.after(count);
    a / (a + b)
}
