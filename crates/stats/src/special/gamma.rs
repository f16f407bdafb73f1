//! Gamma function and gamma distribution.
//!
//! Powers over factorials are formed as Catherine Loader does ("Fast and Accurate Computation of Binomial
//! Probabilities", 2000): Stirling's error and a deviance, each small, instead of the difference of huge logarithms.

use super::{Tails, climb};
use longrail_math::fx;
use std::f64::consts::TAU;

/// ln Γ(x) for x > 0; relative error below 10⁻¹⁵ except near its zeros at 1 and 2, where it is absolute.
///
/// ```
/// use longrail_stats::special::ln_gamma;
/// assert!((ln_gamma(5.0) - 24.0_f64.ln()).abs() < 1e-14); // tidy: std-math, Γ(5) = 4! by another library
/// ```
pub fn ln_gamma(x: f64) -> f64 {
    if x > 0.0 { fx::lgamma(x) } else { f64::NAN }
}

/// ln Γ(x+1) − (x + ½) ln x + x − ½ ln 2π for x > 0: what Stirling's formula lacks.
pub(super) fn stirling_error(x: f64) -> f64 {
    if x < 10.0 {
        return fx::lgamma(x + 1.0) - (x + 0.5) * fx::ln(x) + x - 0.5 * fx::ln(TAU);
    }
    // Abramowitz & Stegun 6.1.41; the first term left out is below 7·10⁻¹⁶ at 10.
    let r = 1.0 / (x * x);
    let tail = 1.0 / 1680.0 - r * (1.0 / 1188.0 - r * 691.0 / 360_360.0);
    (1.0 / 12.0 - r * (1.0 / 360.0 - r * (1.0 / 1260.0 - r * tail))) / x
}

/// x ln(x/m) + m − x for x ≥ 0, m > 0, without cancellation where x is near m (Loader's `bd0`).
pub(super) fn deviance(x: f64, m: f64) -> f64 {
    if x == 0.0 {
        return m;
    }
    let difference = x - m;
    if difference.abs() >= 0.1 * (x + m) {
        return x * fx::ln(x / m) + m - x;
    }
    // ln(x/m) = 2 artanh(v), v = (x−m)/(x+m).
    let v = difference / (x + m);
    let mut sum = difference * v;
    let mut power = 2.0 * x * v;
    let v2 = v * v;
    let mut odd = 3.0;
    // v² ≤ 0.01: 12 terms leave less than 10⁻²⁴ of the first.
    for _ in 0..12 {
        power *= v2;
        let next = sum + power / odd;
        if next == sum {
            break;
        }
        sum = next;
        odd += 2.0;
    }
    sum
}

/// ln of xᵃ e⁻ˣ / Γ(a): the density of the gamma distribution on the scale of ln x.
fn ln_density(a: f64, x: f64) -> f64 {
    0.5 * fx::ln(a / TAU) - stirling_error(a) - deviance(a, x)
}

/// ln of the lower tail, by the series; for x below the mean or little above it.
fn ln_lower(a: f64, x: f64) -> f64 {
    let (mut sum, mut term, mut n) = (1.0, 1.0, a);
    // Terms shrink by x/n; from x ≈ a that takes some √a terms.
    while term > sum * 1e-17 && n < a + 1e7 {
        n += 1.0;
        term *= x / n;
        sum += term;
    }
    ln_density(a, x) - fx::ln(a) + fx::ln(sum)
}

/// ln of the upper tail, by Legendre's continued fraction (Lentz's method); for x above a + 1.
fn ln_upper(a: f64, x: f64) -> f64 {
    let mut b = x + 1.0 - a;
    let mut c = 1e300;
    let mut d = 1.0 / b;
    let mut h = d;
    let mut i = 0.0;
    while i < 1e7 {
        i += 1.0;
        let numerator = -i * (i - a);
        b += 2.0;
        d = 1.0 / nonzero(numerator * d + b);
        c = nonzero(b + numerator / c);
        let factor = d * c;
        h *= factor;
        if (factor - 1.0).abs() < 1e-16 {
            break;
        }
    }
    ln_density(a, x) + fx::ln(h)
}

/// Lentz's method divides by these.
pub(super) fn nonzero(x: f64) -> f64 {
    if x.abs() < 1e-300 { 1e-300 } else { x }
}

/// Both tails of the gamma distribution with shape `a` > 0 and scale 1 at `x` ≥ 0; relative error below 10⁻¹².
///
/// Series and continued fraction as in DLMF 8.7 and 8.9.
pub fn gamma_cdf(a: f64, x: f64) -> Tails {
    if !(a > 0.0 && x >= 0.0) {
        return Tails::NAN;
    }
    if x == 0.0 {
        return Tails { below: 0.0, above: 1.0 };
    }
    if x < a + 1.0 {
        let below = fx::exp(ln_lower(a, x)).min(1.0);
        Tails { below, above: 1.0 - below }
    } else {
        let above = fx::exp(ln_upper(a, x)).min(1.0);
        Tails { below: 1.0 - above, above }
    }
}

/// Where the lower tail of the gamma distribution with shape `a` is `p`; relative error below 10⁻¹¹.
pub fn gamma_quantile(a: f64, p: f64) -> f64 {
    if !(a > 0.0 && (0.0..=1.0).contains(&p)) {
        return f64::NAN;
    }
    if p == 0.0 {
        return 0.0;
    }
    if p == 1.0 {
        return f64::INFINITY;
    }
    let start = fx::ln(a);
    let split = gamma_cdf(a, a);
    let u = if p <= split.below {
        climb(start, fx::ln(p), |u| {
            let x = fx::exp(u);
            let value = ln_lower(a, x);
            (value, fx::exp(ln_density(a, x) - value))
        })
    } else {
        // Upper tail: concave and decreasing in u, so climb in −u.
        -climb(-start, fx::log1p(-p), |minus| {
            let x = fx::exp(-minus);
            let value = if x < a + 1.0 { fx::log1p(-fx::exp(ln_lower(a, x))) } else { ln_upper(a, x) };
            (value, fx::exp(ln_density(a, x) - value))
        })
    };
    fx::exp(u)
}

/// Both tails of the chi-square distribution with `freedom` > 0 degrees of freedom at `x` ≥ 0.
pub fn chi_square_cdf(freedom: f64, x: f64) -> Tails {
    gamma_cdf(0.5 * freedom, 0.5 * x)
}

/// Where the lower tail of the chi-square distribution with `freedom` degrees of freedom is `p`.
///
/// ```
/// use longrail_stats::special::chi_square_quantile;
/// // Two degrees of freedom: an exponential distribution with mean 2.
/// assert!((chi_square_quantile(2.0, 0.5) - 2.0 * 2.0_f64.ln()).abs() < 1e-13); // tidy: std-math, closed form
/// ```
pub fn chi_square_quantile(freedom: f64, p: f64) -> f64 {
    2.0 * gamma_quantile(0.5 * freedom, p)
}
