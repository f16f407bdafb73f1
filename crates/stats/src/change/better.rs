//! Chance that one of two rates is the greater.
//!
//! For independent beta posteriors, X ~ Beta(a, b) and Y ~ Beta(c, d). Two ways, each a check on the other:
//!
//! * from equal posteriors, where the chance is ½, upwards one try at a time by Cook's recurrence ("Exact Calculation of
//!   Beta Inequalities", 2005): an exact finite sum, for equal priors and few tries;
//! * the trapezoid rule over the logit of the narrower rate, whose error falls exponentially with the step.

use crate::Count;
use crate::rate::Prior;
use crate::special::beta::{from_logit, ln_logit_density, tails};
use crate::special::ln_beta;
use longrail_math::fx;

/// More tries than this are integrated; fewer are summed.
const MOST_SUMMED: u32 = 1000;

/// Posterior chance that the rate behind `second` exceeds the rate behind `first`, both with Jeffreys priors.
///
/// Absolute error below 10⁻¹² up to 1,000 tries together, below 10⁻¹⁰ up to 10⁶.
///
/// ```
/// use longrail_stats::{Count, change};
/// // Check value S21: 30 of 50, then 36 of 50 (mpmath).
/// let chance = change::chance_greater(Count::new(30, 50)?, Count::new(36, 50)?);
/// assert!((chance - 0.897_498_11).abs() < 1e-6);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
pub fn chance_greater(first: Count, second: Count) -> f64 {
    if first == second {
        return 0.5;
    }
    if first.tried() + second.tried() <= MOST_SUMMED {
        summed(first, second, 0.5)
    } else {
        let ((a, b), (c, d)) = (Prior::JEFFREYS.after(first), Prior::JEFFREYS.after(second));
        integrated(a, b, c, d)
    }
}

/// The same under any priors. Absolute error below 10⁻¹⁰ where prior makes and misses are ½ or more.
pub fn chance_greater_under(first: Count, first_prior: Prior, second: Count, second_prior: Prior) -> f64 {
    let ((a, b), (c, d)) = (first_prior.after(first), second_prior.after(second));
    integrated(a, b, c, d)
}

/// Chance for real-valued counts with Jeffreys priors, as expected counts are.
pub(super) fn chance_for_expected(first: [f64; 2], second: [f64; 2]) -> f64 {
    let [[a, b], [c, d]] = [first, second].map(|part| part.map(|tries| tries + 0.5));
    integrated(a, b, c, d)
}

/// g(a, b, c, d) = Pr(Y > X) and h = B(a+c, b+d) / (B(a,b) B(c,d)):
/// g(c+1) = g + h/c, g(d+1) = g − h/d, g(a+1) = g − h/a, g(b+1) = g + h/b.
///
/// The four counts grow in proportion, so that h never falls far below its last value on the way.
fn summed(first: Count, second: Count, prior: f64) -> f64 {
    let goal = [first.made(), first.missed(), second.made(), second.missed()];
    let mut done = [0_u32; 4];
    let mut shape = [prior; 4];
    let mut g = 0.5;
    let mut h = fx::exp(ln_beta(2.0 * prior, 2.0 * prior) - 2.0 * ln_beta(prior, prior));
    let steps: u32 = goal.iter().sum();
    for _ in 0..steps {
        // The count that is furthest behind its share: least (done + ½)/goal.
        let behind = |i: usize, j: usize| (2 * done[i] + 1) * goal[j] < (2 * done[j] + 1) * goal[i];
        let mut next = 0;
        for i in 0..4 {
            if done[i] < goal[i] && (done[next] >= goal[next] || behind(i, next)) {
                next = i;
            }
        }
        let [a, b, c, d] = shape;
        let whole = a + b + c + d;
        let (sign, together, alone) = match next {
            0 => (-1.0, a + c, a + b),
            1 => (1.0, b + d, a + b),
            2 => (1.0, a + c, c + d),
            _ => (-1.0, b + d, c + d),
        };
        g += sign * h / shape[next];
        // B(x+1, y) = B(x, y) · x/(x+y), above and below.
        h *= together / whole * alone / shape[next];
        done[next] += 1;
        shape[next] += 1.0;
    }
    g.clamp(0.0, 1.0)
}

/// ∫ density of the narrower rate × tail of the wider one, over the logit.
fn integrated(a: f64, b: f64, c: f64, d: f64) -> f64 {
    if spread(a, b) < spread(c, d) {
        over_logit(a, b, |x, y| tails(c, d, x, y).above)
    } else {
        over_logit(c, d, |x, y| tails(a, b, x, y).below)
    }
}

/// Roughly the standard deviation of the logit.
fn spread(a: f64, b: f64) -> f64 {
    (1.0 / a + 1.0 / b).sqrt()
}

/// ∫ f(x) dBeta(a, b)(x). Steps of a fifth of the spread, from the mode outwards until nothing is left.
fn over_logit(a: f64, b: f64, f: impl Fn(f64, f64) -> f64) -> f64 {
    let step = 0.2 * spread(a, b);
    let mode = fx::ln(a / b);
    let (mut sum, mut mass) = (0.0, 0.0);
    for direction in [1.0, -1.0] {
        let mut place = if direction > 0.0 { 0.0 } else { -1.0 };
        // Prior makes of 0.001 would take 40/0.001 units of logit; the limit cuts off less than 10⁻¹⁰ from ½ upwards.
        for _ in 0..1000 {
            let (x, y) = from_logit(mode + step * place);
            let weight = fx::exp(ln_logit_density(a, b, x, y)) * step;
            sum += weight * f(x, y);
            mass += weight;
            if weight < 1e-18 {
                break;
            }
            place += direction;
        }
    }
    // The mass is 1 but for rounding of the density, which cancels here.
    sum / mass
}

#[cfg(test)]
mod tests {
    use super::{integrated, summed};
    use crate::Count;

    #[test]
    fn the_sum_and_the_integral_agree() {
        for (s1, n1, s2, n2) in [(0, 1, 1, 1), (5, 10, 8, 10), (0, 400, 7, 300), (499, 500, 490, 500)] {
            let (first, second) = (Count::new(s1, n1).unwrap(), Count::new(s2, n2).unwrap());
            let shapes = |c: Count| (f64::from(c.made()) + 0.5, f64::from(c.missed()) + 0.5);
            let ((a, b), (c, d)) = (shapes(first), shapes(second));
            let (sum, integral) = (summed(first, second, 0.5), integrated(a, b, c, d));
            assert!((sum - integral).abs() < 1e-11, "{s1}/{n1} {s2}/{n2}: {sum} {integral}");
        }
    }
}
