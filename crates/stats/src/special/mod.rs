//! Distribution functions, accurate in the tails and for a million attempts.
//!
//! Shapes up to 10⁹ are taken. Errors stated in the modules are relative, and were measured against mpmath with 50
//! digits (`tests/reference/special_functions.csv`), shapes up to 10⁶, tails down to 10⁻²⁰⁰.
//!
//! Outside their domain these functions return NaN, like `sqrt`; the rest of the crate checks before it calls.

pub(crate) mod beta;
mod gamma;
mod normal;
mod student;

pub use beta::{Tails, beta_cdf, beta_density, beta_quantile, binomial_tails, ln_beta};
pub use gamma::{chi_square_cdf, chi_square_quantile, gamma_cdf, gamma_quantile, ln_gamma};
pub use normal::{normal_cdf, normal_density, normal_quantile};
pub use student::{student_cdf, student_quantile};

/// Where a concave, increasing `ln F` has the value `target`, by Newton's method from `start`.
///
/// `step` gives ln F and its derivative. On a concave function Newton's method cannot pass the root from below and
/// falls below it at once from above, so it needs no bracket: after the first step it climbs.
fn climb(start: f64, target: f64, step: impl Fn(f64) -> (f64, f64)) -> f64 {
    let mut u = start;
    for _ in 0..MOST_STEPS {
        let (value, slope) = step(u);
        let change = (target - value) / slope;
        if !change.is_finite() {
            return u;
        }
        u += change;
        // Each step squares the error: after one of 10⁻¹⁰ only rounding is left.
        if change.abs() <= 1e-10 * u.abs().max(1.0) {
            return u;
        }
    }
    u
}

/// Newton's method doubles the digits; what is not there after this many steps moves in its last bits only.
const MOST_STEPS: usize = 60;
