//! A normal error that has to fall into a window: the chance that it does, and what an attempt tells of its spread.
//!
//! Error x ~ N(μ, σ²), window −w to w, lapse λ (a failure that has nothing to do with the error):
//! made with chance (1−λ) [Φ((w−μ)/σ) − Φ((−w−μ)/σ)]; outside on either side also shares half of the lapse.
//! Study of progression, sections 3.1 and 3.2.

use crate::StatsError;
use crate::error::{check, open_chance};
use crate::special::{normal_cdf, normal_density, normal_quantile};
use longrail_math::fx;
use std::f64::consts::SQRT_2;

/// A normal error and its lapses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    spread: f64,
    bias: f64,
    lapse: f64,
}

/// Chances of the three outcomes; their sum is 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outcomes {
    /// Below the window.
    pub low: f64,
    /// Within it.
    pub made: f64,
    /// Above it.
    pub high: f64,
}

impl Scatter {
    /// Standard deviation `spread` > 0 and mean `bias` in the units of the window; `lapse` from 0 to below 1.
    ///
    /// # Errors
    /// If one of them is outside its range.
    pub fn new(spread: f64, bias: f64, lapse: f64) -> Result<Self, StatsError> {
        Ok(Self {
            spread: check("spread", spread, "greater than 0", |v| v > 0.0)?,
            bias: check("bias", bias, "a finite number", |_| true)?,
            lapse: check_lapse(lapse)?,
        })
    }

    /// Chance to fall within ±`half_width` ≥ 0.
    ///
    /// ```
    /// use longrail_stats::window::Scatter;
    /// // Check value S56: scipy.stats.norm.cdf.
    /// let chance = Scatter::new(0.25, 0.10, 0.0)?.chance(0.25)?;
    /// assert!((chance - 0.644_990_22).abs() < 1e-7);
    /// # Ok::<(), longrail_stats::StatsError>(())
    /// ```
    ///
    /// # Errors
    /// If the half-width is negative or not finite.
    pub fn chance(self, half_width: f64) -> Result<f64, StatsError> {
        Ok(self.outcomes(half_width)?.made)
    }

    /// Chances to fall below, within and above ±`half_width`.
    ///
    /// # Errors
    /// If the half-width is negative or not finite.
    pub fn outcomes(self, half_width: f64) -> Result<Outcomes, StatsError> {
        check("half-width", half_width, "0 or more", |v| v >= 0.0)?;
        let below = normal_cdf((-half_width - self.bias) / self.spread);
        let above = normal_cdf((self.bias - half_width) / self.spread);
        let within = if self.bias == 0.0 {
            fx::erf(half_width / self.spread / SQRT_2)
        } else {
            normal_cdf((half_width - self.bias) / self.spread) - below
        };
        let on = 1.0 - self.lapse;
        let half_lapse = 0.5 * self.lapse;
        Ok(Outcomes { low: on * below + half_lapse, made: on * within, high: on * above + half_lapse })
    }
}

fn check_lapse(lapse: f64) -> Result<f64, StatsError> {
    check("lapse", lapse, "from 0 to below 1", |v| (0.0..1.0).contains(&v))
}

/// The spread of an unbiased error that falls within ±`half_width` with chance `p`.
///
/// # Errors
/// If p is not above 0 and below 1 − lapse, or another number is outside its range.
pub fn spread_from_chance(p: f64, half_width: f64, lapse: f64) -> Result<f64, StatsError> {
    check("half-width", half_width, "greater than 0", |v| v > 0.0)?;
    let lapse = check_lapse(lapse)?;
    open_chance("chance", p)?;
    let within = check("chance over 1 − lapse", p / (1.0 - lapse), "less than 1", |v| v < 1.0)?;
    Ok(half_width / normal_quantile(0.5 * (1.0 + within)))
}

/// Chance of a make, and Fisher information of one attempt on the logarithm of the spread, for a window of `z` spreads
/// either way: (∂p/∂ln σ)² / (p (1−p)), ∂p/∂ln σ = −(1−λ) 2 z φ(z).
///
/// # Errors
/// If z is not greater than 0, or the lapse outside 0 to 1.
pub fn information(z: f64, lapse: f64) -> Result<(f64, f64), StatsError> {
    check("half-width in spreads", z, "greater than 0", |v| v > 0.0)?;
    let lapse = check_lapse(lapse)?;
    Ok(information_at(z, lapse))
}

fn information_at(z: f64, lapse: f64) -> (f64, f64) {
    let outside = fx::erfc(z / SQRT_2);
    let p = (1.0 - lapse) * (1.0 - outside);
    let missed = (1.0 - lapse) * outside + lapse;
    let slope = (1.0 - lapse) * 2.0 * z * normal_density(z);
    let information = slope * slope / (p * missed);
    (p, if information.is_finite() { information } else { 0.0 })
}

/// The chance of a make at which an attempt tells most about the spread, and the information there.
///
/// ```
/// use longrail_stats::window::most_informative;
/// // Check value S58, and study of progression 3.2: .8617 without lapses, .809 with 2 %.
/// assert!((most_informative(0.0)?.0 - 0.861_68).abs() < 1e-5);
/// assert!((most_informative(0.02)?.0 - 0.809).abs() < 5e-4);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
///
/// # Errors
/// If the lapse is not from 0 to below 1.
pub fn most_informative(lapse: f64) -> Result<(f64, f64), StatsError> {
    let lapse = check_lapse(lapse)?;
    // One peak between 0.3 and 5 spreads (0.04 to 2 for lapses near 1): golden section.
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut low, mut high) = (0.01, 6.0);
    let inner = |low: f64, high: f64| (high - golden * (high - low), low + golden * (high - low));
    for _ in 0..80 {
        let (a, b) = inner(low, high);
        if information_at(a, lapse).1 < information_at(b, lapse).1 {
            low = a;
        } else {
            high = b;
        }
    }
    Ok(information_at(0.5 * (low + high), lapse))
}

/// The chance of a make at which it changes most with the logarithm of the spread: the window is one spread wide on
/// either side, (1−λ)(2Φ(1) − 1), whatever the lapse.
///
/// # Errors
/// If the lapse is not from 0 to below 1.
pub fn most_sensitive(lapse: f64) -> Result<f64, StatsError> {
    Ok((1.0 - check_lapse(lapse)?) * fx::erf(1.0 / SQRT_2))
}
