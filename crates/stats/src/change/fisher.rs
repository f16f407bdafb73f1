//! Fisher's exact test.

use crate::Count;
use crate::special::ln_gamma;
use longrail_math::fx;

/// Two-sided p-value of Fisher's exact test that both counts come from one rate: the chance, with all margins given, of
/// a split no likelier than the one seen (R. A. Fisher 1934). A cross-check: its real size is far below its nominal one
/// (study of progression, section 2). Relative error below 10⁻⁹ up to 10⁶ tries; time grows with the smaller margin.
///
/// ```
/// use longrail_stats::{Count, change};
/// // Check value S18: scipy.stats.fisher_exact.
/// let p = change::fisher_two_sided(Count::new(30, 50)?, Count::new(36, 50)?);
/// assert!((p - 0.291_173_29).abs() < 1e-7);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
pub fn fisher_two_sided(first: Count, second: Count) -> f64 {
    let (n1, n2) = (first.tried(), second.tried());
    let made = first.made() + second.made();
    let (low, high) = (made.saturating_sub(n2), made.min(n1));
    if low == high {
        return 1.0;
    }
    // Weights relative to the likeliest split, outwards from it by the ratio of neighbours.
    let (wide_n1, wide_n2, wide_made) = (f64::from(n1), f64::from(n2), f64::from(made));
    let rise = |k: f64| (wide_made - k) * (wide_n1 - k) / ((k + 1.0) * (wide_n2 - wide_made + k + 1.0));
    let centre = ((wide_made + 1.0) * (wide_n1 + 1.0) / (wide_n1 + wide_n2 + 2.0)).floor();
    // Between low and high, which are whole numbers below 2³².
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let mode = (centre as u32).clamp(low, high);
    let seen = ln_weight(first.made(), n1, n2, made) - ln_weight(mode, n1, n2, made);
    // Splits as likely as the one seen count, although they may differ in the last digits.
    let limit = fx::exp(seen) * (1.0 + 1e-7);
    let (mut whole, mut extreme) = (0.0, 0.0);
    let mut add = |weight: f64| {
        whole += weight;
        if weight <= limit {
            extreme += weight;
        }
    };
    add(1.0);
    let mut weight = 1.0;
    for k in mode..high {
        weight *= rise(f64::from(k));
        add(weight);
    }
    weight = 1.0;
    for k in (low..mode).rev() {
        weight /= rise(f64::from(k));
        add(weight);
    }
    (extreme / whole).min(1.0)
}

/// ln of C(n1, k) C(n2, made − k).
fn ln_weight(k: u32, n1: u32, n2: u32, made: u32) -> f64 {
    let ln_choose = |n: u32, k: u32| {
        let factorial = |m: u32| ln_gamma(f64::from(m) + 1.0);
        factorial(n) - factorial(k) - factorial(n - k)
    };
    ln_choose(n1, k) + ln_choose(n2, made - k)
}
