//! A range for a rate that holds however often it is looked at.
//!
//! With s made and f missed, the uniform mixture ∫ rˢ (1−r)ᶠ dr / (pˢ (1−p)ᶠ) = B(s+1, f+1) / (pˢ (1−p)ᶠ) is a
//! non-negative martingale of mean 1 if the rate is p. The rates for which it stays below 1/α at every look miss the true
//! rate ever with chance at most α (Robbins 1970; Howard et al., Annals of Statistics 49(2), 2021). The price is width:
//! it is wider than an interval for one look.

use crate::special::beta::from_logit;
use crate::special::ln_beta;
use crate::{Count, Interval, Level};
use longrail_math::fx;

/// The confidence sequence at this count. `level` 0.95 is α = 0.05. 0 to 1 for 0 of 0; ends to 10⁻¹².
///
/// ```
/// use longrail_stats::{Count, Level, sequence};
/// // Check values S49 and S50: 40 of 50 (scipy).
/// let range = sequence::uniform(Count::new(40, 50)?, Level::P95);
/// assert!((range.low - 0.590_946_78).abs() < 1e-7 && (range.high - 0.934_622_49).abs() < 1e-7);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
pub fn uniform(count: Count, level: Level) -> Interval {
    Interval { low: low_end(count, level), high: 1.0 - low_end(count.mirrored(), level) }
}

/// Where s ln p + f ln(1−p) = ln B(s+1, f+1) + ln α below the rate seen, by bisection over the logit: the left side rises
/// up to there.
fn low_end(count: Count, level: Level) -> f64 {
    if count.made() == 0 {
        return 0.0;
    }
    let (s, f) = (f64::from(count.made()), f64::from(count.missed()));
    let bar = ln_beta(s + 1.0, f + 1.0) + fx::ln(1.0 - level.share());
    let likelihood = |u: f64| {
        // ln p and ln(1 − p) without cancellation at either end.
        let (x, y) = from_logit(u);
        let (ln_x, ln_y) = if x < y { (fx::ln(x), fx::log1p(-x)) } else { (fx::log1p(-y), fx::ln(y)) };
        s * ln_x + if count.missed() == 0 { 0.0 } else { f * ln_y }
    };
    let mut low = -700.0;
    let mut high = if count.missed() == 0 { 700.0 } else { fx::ln(s / f) };
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if likelihood(middle) < bar {
            low = middle;
        } else {
            high = middle;
        }
    }
    from_logit(0.5 * (low + high)).0
}
