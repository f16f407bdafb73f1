//! Fits of any likelihood: where it is greatest, and how sharply it falls from there.
//!
//! The maximum is found by the simplex method of Nelder & Mead (Computer Journal 7, 1965), begun again at what it found
//! until that changes nothing. Standard deviations come from the observed information, the matrix of second
//! differences at the maximum (Efron & Hinkley, Biometrika 65, 1978).

use crate::error::check;
use crate::{Count, StatsError};
use longrail_math::fx;
use std::f64::consts::TAU;

/// What a fit found.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Parameters at the maximum.
    pub values: Vec<f64>,
    /// Their standard deviations.
    pub sds: Vec<f64>,
    /// Their covariances, row by row.
    pub covariance: Vec<f64>,
    /// Log likelihood at the maximum.
    pub ln_likelihood: f64,
    /// How often the likelihood was evaluated.
    pub evaluations: usize,
}

/// Most parameters that are fitted.
pub const MOST_PARAMETERS: usize = 12;
const MOST_EVALUATIONS: usize = 100_000;
const MOST_RESTARTS: usize = 30;

/// Finds the parameters at which `ln_likelihood` is greatest, from `start` (1 to 12 parameters), and their standard
/// deviations. `steps` says how far each parameter is moved at first, and is the scale on which the fit is judged
/// settled (to 10⁻⁷ of it). Where the likelihood has no value it may return NaN or −∞.
///
/// ```
/// use longrail_stats::fit::maximise;
/// // 34 of 50: the most likely rate is 0.68, its standard deviation √(.68 · .32/50).
/// let likelihood = |p: &[f64]| 34.0 * p[0].ln() + 16.0 * (1.0 - p[0]).ln(); // tidy: std-math, an example is read by all
/// let fit = maximise(likelihood, &[0.5], &[0.1])?;
/// assert!((fit.values[0] - 0.68).abs() < 1e-6);
/// assert!((fit.sds[0] - (0.68_f64 * 0.32 / 50.0).sqrt()).abs() < 1e-5);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
///
/// # Errors
/// If lists differ in length or are empty or too long, the start has no finite likelihood, the simplex does not settle,
/// or the likelihood has no peak.
pub fn maximise(
    mut ln_likelihood: impl FnMut(&[f64]) -> f64,
    start: &[f64],
    steps: &[f64],
) -> Result<Fit, StatsError> {
    let n = start.len();
    if steps.len() != n {
        return Err(StatsError::WrongLength { name: "steps", given: steps.len(), needed: n });
    }
    if n == 0 {
        return Err(StatsError::TooFew { given: 0, needed: 1 });
    }
    if n > MOST_PARAMETERS {
        return Err(StatsError::WrongLength { name: "parameters", given: n, needed: MOST_PARAMETERS });
    }
    for &step in steps {
        check("first step of a parameter", step, "greater than 0", |v| v > 0.0)?;
    }
    check("log likelihood at the start", ln_likelihood(start), "finite", |_| true)?;
    let mut evaluations = 1;
    let mut cost = |at: &[f64]| {
        evaluations += 1;
        let value = -ln_likelihood(at);
        if value.is_nan() { f64::INFINITY } else { value }
    };
    let mut best = start.to_vec();
    let mut scale = 1.0;
    let mut settled = false;
    for _ in 0..MOST_RESTARTS {
        let first: Vec<f64> = steps.iter().map(|step| step * scale).collect();
        let found = descend(&mut cost, &best, &first, steps)?;
        let moved =
            found.iter().zip(&best).zip(steps).map(|((a, b), step)| (a - b).abs() / step).fold(0.0, f64::max);
        best = found;
        if moved < 1e-6 {
            settled = true;
            break;
        }
        scale = 0.1;
    }
    let lowest = cost(&best);
    if !settled {
        return Err(StatsError::NotConverged { evaluations });
    }
    let covariance = inverse_curvature(&mut cost, &best, steps, lowest)?;
    let sds = (0..n).map(|i| covariance[i * n + i].sqrt()).collect();
    Ok(Fit { values: best, sds, covariance, ln_likelihood: -lowest, evaluations })
}

/// One run of the simplex method, with the coefficients of the paper (1, 2, ½, ½).
fn descend(
    cost: &mut impl FnMut(&[f64]) -> f64,
    start: &[f64],
    first: &[f64],
    scale: &[f64],
) -> Result<Vec<f64>, StatsError> {
    let n = start.len();
    let mut corners: Vec<(f64, Vec<f64>)> = Vec::with_capacity(n + 1);
    corners.push((cost(start), start.to_vec()));
    for i in 0..n {
        let mut corner = start.to_vec();
        corner[i] += first[i];
        corners.push((cost(&corner), corner));
    }
    for evaluation in 0..MOST_EVALUATIONS {
        corners.sort_by(|a, b| a.0.total_cmp(&b.0));
        let size = corners[1..]
            .iter()
            .flat_map(|(_, corner)| corner.iter().zip(&corners[0].1).zip(scale))
            .map(|((a, b), scale)| (a - b).abs() / scale)
            .fold(0.0, f64::max);
        if size < 1e-7 {
            return Ok(corners.swap_remove(0).1);
        }
        let mut centre = vec![0.0; n];
        for (_, corner) in &corners[..n] {
            for (sum, value) in centre.iter_mut().zip(corner) {
                *sum += value;
            }
        }
        // At most 12 parameters.
        #[allow(clippy::cast_precision_loss)]
        let share = 1.0 / n as f64;
        for value in &mut centre {
            *value *= share;
        }
        let (worst_cost, worst) = corners[n].clone();
        let along =
            |by: f64| -> Vec<f64> { centre.iter().zip(&worst).map(|(c, w)| c + by * (c - w)).collect() };
        let reflected = along(1.0);
        let reflected_cost = cost(&reflected);
        if reflected_cost < corners[0].0 {
            let expanded = along(2.0);
            let expanded_cost = cost(&expanded);
            corners[n] = if expanded_cost < reflected_cost {
                (expanded_cost, expanded)
            } else {
                (reflected_cost, reflected)
            };
        } else if reflected_cost < corners[n - 1].0 {
            corners[n] = (reflected_cost, reflected);
        } else {
            let contracted = along(if reflected_cost < worst_cost { 0.5 } else { -0.5 });
            let contracted_cost = cost(&contracted);
            if contracted_cost < reflected_cost.min(worst_cost) {
                corners[n] = (contracted_cost, contracted);
            } else {
                let best = corners[0].1.clone();
                for (corner_cost, corner) in &mut corners[1..] {
                    for (value, best) in corner.iter_mut().zip(&best) {
                        *value = best + 0.5 * (*value - best);
                    }
                    *corner_cost = cost(corner);
                }
            }
        }
        if evaluation == MOST_EVALUATIONS - 1 {
            break;
        }
    }
    Err(StatsError::NotConverged { evaluations: MOST_EVALUATIONS })
}

/// Inverse of the matrix of second differences. The width of a difference is chosen so that the cost rises by about 0.02
/// along each parameter: a fifth of a standard deviation, wide enough for rounding.
fn inverse_curvature(
    cost: &mut impl FnMut(&[f64]) -> f64,
    best: &[f64],
    steps: &[f64],
    lowest: f64,
) -> Result<Vec<f64>, StatsError> {
    let n = best.len();
    let mut widths = Vec::with_capacity(n);
    for (i, &step) in steps.iter().enumerate() {
        widths.push(width(cost, best, i, step, lowest)?);
    }
    let mut at = |moves: [(usize, f64); 2]| {
        let mut place = best.to_vec();
        for (i, by) in moves {
            place[i] += by * widths[i];
        }
        cost(&place)
    };
    // Second difference of half-width h, which is off by a multiple of h²; two of them leave h⁴ (Richardson).
    let mut second = |i: usize, j: usize, h: f64| {
        let corner = |x: f64, y: f64| [(i, x * h), (j, y * h)];
        if i == j {
            (at(corner(1.0, 0.0)) - 2.0 * lowest + at(corner(-1.0, 0.0))) / (h * h)
        } else {
            let same = at(corner(1.0, 1.0)) + at(corner(-1.0, -1.0));
            let opposite = at(corner(1.0, -1.0)) + at(corner(-1.0, 1.0));
            (same - opposite) / (4.0 * h * h)
        }
    };
    let mut matrix = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..=i {
            let value = (4.0 * second(i, j, 1.0) - second(i, j, 2.0)) / (3.0 * widths[i] * widths[j]);
            matrix[i * n + j] = value;
            matrix[j * n + i] = value;
        }
    }
    invert(&matrix, n)
}

fn width(
    cost: &mut impl FnMut(&[f64]) -> f64,
    best: &[f64],
    parameter: usize,
    step: f64,
    lowest: f64,
) -> Result<f64, StatsError> {
    let mut width = 1e-3 * step;
    for _ in 0..40 {
        let mut rise = 0.0;
        for sign in [1.0, -1.0] {
            let mut place = best.to_vec();
            place[parameter] += sign * width;
            rise += 0.5 * (cost(&place) - lowest);
        }
        // The cost is about quadratic: this brings the rise near 0.02.
        if (0.01..0.04).contains(&rise) {
            return Ok(width);
        }
        width *= if !rise.is_finite() {
            0.1
        } else if rise <= 0.0 {
            10.0
        } else {
            (0.02 / rise).sqrt().clamp(0.1, 10.0)
        };
    }
    Err(StatsError::NotIdentified { parameter })
}

/// Inverse of a symmetric, positive definite matrix, by Cholesky's method.
fn invert(matrix: &[f64], n: usize) -> Result<Vec<f64>, StatsError> {
    let mut lower = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| lower[i * n + k] * lower[j * n + k]).sum();
            let rest = matrix[i * n + j] - sum;
            if i == j {
                // Also refuses NaN.
                if !(rest > 1e-12 * matrix[i * n + i] && rest.is_finite()) {
                    return Err(StatsError::NotIdentified { parameter: i });
                }
                lower[i * n + i] = rest.sqrt();
            } else {
                lower[i * n + j] = rest / lower[j * n + j];
            }
        }
    }
    let mut inverse = vec![0.0; n * n];
    for column in 0..n {
        let mut solution = vec![0.0; n];
        for i in 0..n {
            let sum: f64 = (0..i).map(|k| lower[i * n + k] * solution[k]).sum();
            solution[i] = (f64::from(u8::from(i == column)) - sum) / lower[i * n + i];
        }
        for i in (0..n).rev() {
            let sum: f64 = (i + 1..n).map(|k| lower[k * n + i] * solution[k]).sum();
            solution[i] = (solution[i] - sum) / lower[i * n + i];
        }
        for i in 0..n {
            inverse[i * n + column] = solution[i];
        }
    }
    Ok(inverse)
}

/// Log likelihood of a count at chance `p`, without the binomial coefficient; −∞ where it is impossible.
///
/// Where `p` may come near 1 use [`binomial_of_tails`]: 1 − p has lost its digits there.
pub fn binomial(count: Count, p: f64) -> f64 {
    binomial_of_tails(count, p, 1.0 - p)
}

/// Log likelihood of a count when both chances, of a make and of a miss, are known to their own precision.
///
/// A likelihood built on a rounded or clipped 1 − p can have peaks that the model does not have; the putts of 2018 in
/// `tests/golf.rs` are a case.
pub fn binomial_of_tails(count: Count, made: f64, missed: f64) -> f64 {
    // The larger chance through the smaller one: ln(1 − q) keeps what ln p loses.
    let ln = |p: f64, q: f64| if p > 0.5 { fx::log1p(-q) } else { fx::ln(p) };
    let part = |n: u32, p: f64, q: f64| if n == 0 { 0.0 } else { f64::from(n) * ln(p, q) };
    part(count.made(), made, missed) + part(count.missed(), missed, made)
}

/// Log density of the rate seen, when it is normal around `p` with the variance of a count, p (1−p)/n, and a further
/// variance `extra`² that the model does not explain. For counts so large that no curve goes through all of them.
/// 0 for 0 of 0.
pub fn normal_rate(count: Count, p: f64, extra: f64) -> f64 {
    let Some(rate) = count.rate() else { return 0.0 };
    let variance = p * (1.0 - p) / f64::from(count.tried()) + extra * extra;
    let distance = rate - p;
    -0.5 * (distance * distance / variance + fx::ln(TAU * variance))
}
