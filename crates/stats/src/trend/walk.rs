//! A quantity that drifts, on a grid.

use crate::error::check;
use crate::{Interval, Level, StatsError};
use longrail_math::fx;

/// What is assumed of a latent quantity (ln of a spread, logit of a rate, …) and its drift.
///
/// The latent performs a random walk: from one session to the next its standard deviation grows by
/// √(session_sd² + day_sd² · days). Study of progression, section 4.1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Mean of the latent before the first session: that of the population.
    pub prior_mean: f64,
    /// Its standard deviation there; from 0.01 to 10. Study: 0.35, an assumption about players.
    pub prior_sd: f64,
    /// Drift from session to session; from 0.001 to 1. Study: 0.04.
    pub session_sd: f64,
    /// Drift per square root of a day; from 0 to 1. Study: 0.012, so that 60 days widen by 0.10.
    pub day_sd: f64,
    /// How far the grid reaches on either side of the prior mean. 1.4 is four prior standard deviations.
    pub reach: f64,
    /// Points of the grid; from 11 to 1,001. Study: 116. A step may be at most 1.25 session drifts, or the drift would be
    /// lost between two points.
    pub points: usize,
}

impl Settings {
    /// The study's constants around a population mean.
    pub const fn study(prior_mean: f64) -> Self {
        Self { prior_mean, prior_sd: 0.35, session_sd: 0.04, day_sd: 0.012, reach: 1.4, points: 116 }
    }

    fn check(&self) -> Result<(), StatsError> {
        check("prior mean", self.prior_mean, "from -1000 to 1000", |v| v.abs() <= 1000.0)?;
        check("prior sd", self.prior_sd, "from 0.01 to 10", |v| (0.01..=10.0).contains(&v))?;
        check("drift per session", self.session_sd, "from 0.001 to 1", |v| (0.001..=1.0).contains(&v))?;
        check("drift per root of a day", self.day_sd, "from 0 to 1", |v| (0.0..=1.0).contains(&v))?;
        check("reach", self.reach, "from 0.01 to 100", |v| (0.01..=100.0).contains(&v))?;
        if !(11..=1001).contains(&self.points) {
            return Err(StatsError::WrongLength {
                name: "grid (11 to 1001)",
                given: self.points,
                needed: 116,
            });
        }
        check(
            "step of the grid in drifts per session",
            self.step() / self.session_sd,
            "at most 1.25",
            |v| v <= 1.25,
        )?;
        Ok(())
    }

    fn step(&self) -> f64 {
        // At most 1001.
        #[allow(clippy::cast_precision_loss)]
        let gaps = (self.points - 1) as f64;
        2.0 * self.reach / gaps
    }

    /// Standard deviation of the drift over a gap of `days`.
    pub fn drift(&self, days: f64) -> f64 {
        (self.session_sd * self.session_sd + self.day_sd * self.day_sd * days.max(0.0)).sqrt()
    }
}

/// The points, and everything that is computed once.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    settings: Settings,
    step: f64,
    points: Vec<f64>,
    prior: Vec<f64>,
}

impl Grid {
    /// The grid for these settings.
    ///
    /// # Errors
    /// If a setting is outside its range.
    pub fn new(settings: Settings) -> Result<Self, StatsError> {
        settings.check()?;
        let step = settings.step();
        let low = settings.prior_mean - settings.reach;
        // At most 1001.
        #[allow(clippy::cast_precision_loss)]
        let points: Vec<f64> = (0..settings.points).map(|i| low + step * i as f64).collect();
        let mut prior: Vec<f64> = points
            .iter()
            .map(|x| {
                let z = (x - settings.prior_mean) / settings.prior_sd;
                fx::exp(-0.5 * z * z)
            })
            .collect();
        normalise(&mut prior);
        Ok(Self { settings, step, points, prior })
    }

    /// The settings.
    pub const fn settings(&self) -> &Settings {
        &self.settings
    }

    /// Places of the points.
    pub fn points(&self) -> &[f64] {
        &self.points
    }

    /// Prior weights.
    pub fn prior(&self) -> &[f64] {
        &self.prior
    }

    /// Distance of neighbours.
    pub const fn step(&self) -> f64 {
        self.step
    }

    /// What a session says: `ln_likelihood` at every point, made into weights with greatest value 1.
    ///
    /// # Errors
    /// If the likelihood is NaN somewhere, or impossible everywhere.
    pub fn session(&self, days: f64, ln_likelihood: impl Fn(f64) -> f64) -> Result<Session, StatsError> {
        check("days since the last session", days, "0 or more", |v| v >= 0.0)?;
        let mut weights: Vec<f64> = self.points.iter().map(|&x| ln_likelihood(x)).collect();
        let top = top(&weights)?;
        for weight in &mut weights {
            *weight = fx::exp(*weight - top);
        }
        Ok(Session { days, weights })
    }

    /// Weights of a normal distribution of this standard deviation at distances of 0, 1, 2, … steps, to six standard
    /// deviations; the whole sums to 1.
    pub(super) fn kernel(&self, sd: f64, into: &mut Vec<f64>) {
        into.clear();
        // Beyond the grid nothing lands.
        for distance in 0..self.points.len() {
            #[allow(clippy::cast_precision_loss)]
            let z = distance as f64 * self.step / sd;
            if z > 6.0 {
                break;
            }
            into.push(fx::exp(-0.5 * z * z));
        }
        let sum = 2.0 * into.iter().sum::<f64>() - 1.0;
        for weight in into.iter_mut() {
            *weight /= sum;
        }
    }
}

/// Spreads weights by a kernel; what would leave the grid is folded back at its ends.
pub(super) fn spread(weights: &[f64], kernel: &[f64], out: &mut [f64]) {
    let n = weights.len();
    out.fill(0.0);
    let last = n.saturating_sub(1);
    let Some((&centre, sides)) = kernel.split_first() else { return };
    for (i, &weight) in weights.iter().enumerate() {
        if weight < 1e-300 {
            continue;
        }
        out[i] += weight * centre;
        // Straight loops over what stays on the grid, upwards and downwards.
        let up = sides.len().min(last - i);
        for (cell, share) in out[i + 1..=i + up].iter_mut().zip(sides) {
            *cell += weight * share;
        }
        let down = sides.len().min(i);
        for (cell, share) in out[i - down..i].iter_mut().rev().zip(sides) {
            *cell += weight * share;
        }
        for (distance, share) in (up + 1..).zip(&sides[up..]) {
            out[(2 * last).saturating_sub(i + distance)] += weight * share;
        }
        for (distance, share) in (down + 1..).zip(&sides[down..]) {
            out[(distance - i).min(last)] += weight * share;
        }
    }
}

pub(super) fn normalise(weights: &mut [f64]) -> f64 {
    let sum: f64 = weights.iter().sum();
    for weight in weights.iter_mut() {
        *weight /= sum;
    }
    sum
}

fn top(logs: &[f64]) -> Result<f64, StatsError> {
    let mut top = f64::NEG_INFINITY;
    for &log in logs {
        if log.is_nan() || log == f64::INFINITY {
            return Err(StatsError::OutOfRange {
                name: "log likelihood",
                value: log,
                allowed: "a number or minus infinity",
            });
        }
        top = top.max(log);
    }
    check("greatest log likelihood on the grid", top, "finite", |_| true)
}

/// What one session says about the latent, on a grid, and how long it came after the one before.
#[derive(Clone, Debug, PartialEq)]
pub struct Session {
    pub(super) days: f64,
    pub(super) weights: Vec<f64>,
}

/// What is believed of the latent at one time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Belief {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
    /// Equal-tailed interval at the level asked for.
    pub interval: Interval,
}

/// Mean, standard deviation and interval of weights on evenly spaced points. Within a cell the weight is spread evenly.
pub(super) fn belief(first: f64, step: f64, weights: &[f64], level: Level) -> Belief {
    #[allow(clippy::cast_precision_loss)]
    let at = |i: usize| first + step * i as f64;
    let mean: f64 = weights.iter().enumerate().map(|(i, w)| w * at(i)).sum();
    let variance: f64 = weights.iter().enumerate().map(|(i, w)| w * (at(i) - mean) * (at(i) - mean)).sum();
    let quantile = |p: f64| {
        let mut below = 0.0;
        for (i, &w) in weights.iter().enumerate() {
            if below + w >= p && w > 0.0 {
                return at(i) + step * ((p - below) / w - 0.5);
            }
            below += w;
        }
        at(weights.len().saturating_sub(1))
    };
    let tail = level.tail();
    Belief {
        mean,
        sd: variance.max(0.0).sqrt(),
        interval: Interval { low: quantile(tail), high: quantile(1.0 - tail) },
    }
}

/// The filter: what is believed of the latent now, from all sessions so far. An update allocates nothing.
///
/// ```
/// use longrail_stats::trend::{Filter, Grid, Settings};
/// use longrail_stats::{Count, Level, fit};
/// // The logit of a rate, around even chances.
/// let mut filter = Filter::new(Grid::new(Settings::study(0.0))?);
/// let count = Count::new(33, 50)?;
/// filter.advance(0.0);
/// filter.observe(|logit| fit::binomial(count, 1.0 / (1.0 + (-logit).exp())))?; // tidy: std-math, an example is read by all
/// let after = filter.belief(Level::P80);
/// assert!(after.mean > 0.0);
/// // Two months off: the interval widens by itself, and the mean stays.
/// filter.advance(60.0);
/// assert!(filter.belief(Level::P80).sd > after.sd);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Filter {
    grid: Grid,
    weights: Vec<f64>,
    kernel: Vec<f64>,
    scratch: Vec<f64>,
    begun: bool,
}

impl Filter {
    /// Before the first session.
    pub fn new(grid: Grid) -> Self {
        let weights = grid.prior.clone();
        let size = weights.len();
        Self { grid, weights, kernel: Vec::with_capacity(size), scratch: vec![0.0; size], begun: false }
    }

    /// Time passes until the next session, or until today. Before the first session nothing drifts: the prior is meant
    /// for it. A negative or unknown number of days counts as none.
    pub fn advance(&mut self, days: f64) {
        if self.begun {
            let days = if days.is_finite() { days } else { 0.0 };
            self.grid.kernel(self.grid.settings.drift(days), &mut self.kernel);
            spread(&self.weights, &self.kernel, &mut self.scratch);
            std::mem::swap(&mut self.weights, &mut self.scratch);
            normalise(&mut self.weights);
        }
    }

    /// Takes in what was seen: the log likelihood of any observations at a value of the latent.
    ///
    /// # Errors
    /// If the likelihood is NaN somewhere, or impossible wherever the latent may be; the belief is then unchanged.
    pub fn observe(&mut self, ln_likelihood: impl Fn(f64) -> f64) -> Result<(), StatsError> {
        for (log, &x) in self.scratch.iter_mut().zip(&self.grid.points) {
            *log = ln_likelihood(x);
        }
        let top = top(&self.scratch)?;
        for weight in &mut self.scratch {
            *weight = fx::exp(*weight - top);
        }
        self.take()
    }

    /// Takes in a session: the time before it, and what it says.
    ///
    /// # Errors
    /// If the session is on another grid, or impossible wherever the latent may be.
    pub fn session(&mut self, session: &Session) -> Result<(), StatsError> {
        if session.weights.len() != self.weights.len() {
            return Err(StatsError::WrongLength {
                name: "session",
                given: session.weights.len(),
                needed: self.weights.len(),
            });
        }
        self.advance(session.days);
        self.scratch.copy_from_slice(&session.weights);
        self.take()
    }

    /// Multiplies by the likelihood that stands in `scratch`.
    fn take(&mut self) -> Result<(), StatsError> {
        let sum: f64 = self.weights.iter().zip(&self.scratch).map(|(w, l)| w * l).sum();
        check("likelihood of what was seen", sum, "greater than 0", |v| v > 1e-290)?;
        for (weight, likelihood) in self.weights.iter_mut().zip(&self.scratch) {
            *weight *= likelihood / sum;
        }
        self.begun = true;
        Ok(())
    }

    /// What is believed now.
    pub fn belief(&self, level: Level) -> Belief {
        belief(self.grid.points[0], self.grid.step, &self.weights, level)
    }

    /// Mean of any function of the latent now: a predicted chance, for example.
    pub fn expect(&self, function: impl Fn(f64) -> f64) -> f64 {
        self.weights.iter().zip(&self.grid.points).map(|(w, &x)| w * function(x)).sum()
    }

    /// Posterior weights on [`Grid::points`].
    pub fn weights(&self) -> &[f64] {
        &self.weights
    }

    /// The grid.
    pub const fn grid(&self) -> &Grid {
        &self.grid
    }
}
