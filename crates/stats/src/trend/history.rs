//! Looking back: smoothed values for pictures, and the change since a session with its interval.

use super::walk::{Belief, Filter, Grid, Session, belief, normalise, spread};
use crate::{Interval, Level, StatsError};

/// What is believed of the latent at every session, from all sessions before and after it: for pictures of the past.
/// Forwards the filter, backwards the smoother of Kitagawa (Journal of the American Statistical Association 82, 1987).
///
/// # Errors
/// As [`Filter::session`].
pub fn smooth(grid: &Grid, sessions: &[Session], level: Level) -> Result<Vec<Belief>, StatsError> {
    let mut filter = Filter::new(grid.clone());
    let mut filtered = Vec::with_capacity(sessions.len());
    for session in sessions {
        filter.session(session)?;
        filtered.push(filter.weights().to_vec());
    }
    let size = grid.points().len();
    let (mut kernel, mut ahead, mut ratio) = (Vec::new(), vec![0.0; size], vec![0.0; size]);
    let mut smoothed: Vec<Vec<f64>> = filtered.clone();
    for t in (0..sessions.len().saturating_sub(1)).rev() {
        grid.kernel(grid.settings().drift(sessions[t + 1].days), &mut kernel);
        spread(&filtered[t], &kernel, &mut ahead);
        for ((r, later), predicted) in ratio.iter_mut().zip(&smoothed[t + 1]).zip(&ahead) {
            *r = if *predicted > 0.0 { later / predicted } else { 0.0 };
        }
        // Adjoint of the folded kernel: what can be reached from each point.
        gather(&ratio, &kernel, &mut ahead);
        for ((s, f), a) in smoothed[t].iter_mut().zip(&filtered[t]).zip(&ahead) {
            *s = f * a;
        }
        normalise(&mut smoothed[t]);
    }
    Ok(smoothed.iter().map(|weights| belief(grid.points()[0], grid.step(), weights, level)).collect())
}

/// For each point, the kernel's mean of `values` around it, folded back at the ends as [`spread`] does.
fn gather(values: &[f64], kernel: &[f64], out: &mut [f64]) {
    let last = values.len().saturating_sub(1);
    for (i, sum) in out.iter_mut().enumerate() {
        *sum = 0.0;
        for (distance, &share) in kernel.iter().enumerate() {
            let up = i + distance;
            *sum += share * values[if up > last { (2 * last).saturating_sub(up) } else { up }];
            if distance > 0 {
                *sum += share * values[if distance > i { (distance - i).min(last) } else { i - distance }];
            }
        }
    }
}

/// How much the latent has changed since a session.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change {
    /// Mean of the change, later less earlier.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// Its interval at the level asked for.
    pub interval: Interval,
    /// Chance that the latent rose.
    pub chance_rose: f64,
    /// Sessions from the earlier to the later.
    pub sessions: usize,
    /// Days from the earlier to the later.
    pub days: f64,
}

/// The change of the latent from session `since` (by index) to the last one, from the joint posterior of both.
///
/// On ln σ a change of −0.09 with interval −0.17 to 0 reads "spread down 9 %, 80 % interval 0 to 16 %". No date is
/// forecast from it: the study found no skill in that (section 4.2).
///
/// # Errors
/// If there is no such session, or as [`Filter::session`].
pub fn change_since(
    grid: &Grid,
    sessions: &[Session],
    since: usize,
    level: Level,
) -> Result<Change, StatsError> {
    if since >= sessions.len() {
        return Err(StatsError::TooFew { given: sessions.len(), needed: since + 1 });
    }
    let (before, after) = sessions.split_at(since + 1);
    let mut filter = Filter::new(grid.clone());
    for session in before {
        filter.session(session)?;
    }
    // Row i: the latent was at point i then; columns: where it is now. Rows begin with all weight on themselves.
    let size = grid.points().len();
    let mut joint = vec![0.0; size * size];
    for (i, &weight) in filter.weights().iter().enumerate() {
        joint[i * size + i] = weight;
    }
    let (mut kernel, mut row_out) = (Vec::new(), vec![0.0; size]);
    for session in after {
        if session.weights.len() != size {
            return Err(StatsError::WrongLength {
                name: "session",
                given: session.weights.len(),
                needed: size,
            });
        }
        grid.kernel(grid.settings().drift(session.days), &mut kernel);
        for row in joint.chunks_exact_mut(size) {
            spread(row, &kernel, &mut row_out);
            for ((cell, out), likelihood) in row.iter_mut().zip(&row_out).zip(&session.weights) {
                *cell = out * likelihood;
            }
        }
        let sum = normalise(&mut joint);
        crate::error::check("likelihood of what was seen", sum, "greater than 0", |v| v > 1e-290)?;
    }
    let mut differences = vec![0.0; 2 * size - 1];
    for (i, row) in joint.chunks_exact(size).enumerate() {
        for (j, &weight) in row.iter().enumerate() {
            differences[j + size - 1 - i] += weight;
        }
    }
    // At most 1001 points.
    #[allow(clippy::cast_precision_loss)]
    let first = -grid.step() * (size - 1) as f64;
    let Belief { mean, sd, interval } = belief(first, grid.step(), &differences, level);
    Ok(Change {
        mean,
        sd,
        interval,
        chance_rose: differences[size..].iter().sum::<f64>() + 0.5 * differences[size - 1],
        sessions: after.len(),
        days: after.iter().map(|session| session.days).sum(),
    })
}
