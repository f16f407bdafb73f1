//! When a rise, a fall or a plateau may be named.
//!
//! A player looked at after every session is looked at often, and form differs from day to day; so the rule is stricter
//! than one look at one pair of windows would need. It compares the level of the last six weeks with that of the six
//! before, each at least eight sessions; each session's likelihood is first widened by the day's form. Windows are
//! measured in days, because looks that share most of their sessions are hardly more than one look. How often it speaks although nothing
//! changed, and how long it takes when something did, is measured by `longrail calibrate`; the figures stand at
//! [`Rule::STUDIED`].

use super::walk::{Belief, Grid, Session, belief, normalise, spread};
use crate::error::{check, open_chance};
use crate::{Interval, Level, StatsError};

/// What is named.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Named {
    /// The latent rose.
    Rise,
    /// The latent fell. (On ln σ that is an improvement.)
    Fall,
    /// The latent changed by little: the 80 % interval of the change lies within the rule's margin.
    Plateau,
    /// Neither: there is not enough to say so.
    Open,
}

/// The rule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// Days that each of the two windows covers; from 1 to 1,000.
    pub days: f64,
    /// Sessions that each window holds at least, over however many days; from 2 to 100.
    pub sessions: usize,
    /// Chance of a change in one direction from which it is named.
    pub bar: f64,
    /// Standard deviation of the day's form on the latent; from 0 to 1. Study of progression, 4.1: 0.06, an assumption.
    pub day_form: f64,
    /// A plateau is named if the 80 % interval of the change lies within this much either way.
    pub margin: f64,
}

/// The two windows compared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Windows {
    /// What is named.
    pub named: Named,
    /// Mean of the change, later window less earlier.
    pub mean: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// Its 80 % interval.
    pub interval: Interval,
    /// Chance that the latent is higher in the later window.
    pub chance_rose: f64,
}

impl Rule {
    /// The rule that is used, found by the example `bars` of the crate `calibration` (it prints the bars that a steady player
    /// passes in a tenth of runs: .9965 to .9971 for windows of six weeks, whatever the number of sessions a week).
    ///
    /// Measured on 1,000 simulated players of each kind, 26 weeks, 50 attempts a session at three tasks, looked at after
    /// every session; the latent is ln σ, steps come after week 13. Standard error of a share: at most .016.
    ///
    /// | sessions a week | 2 | 3 | 5 | 7 |
    /// |---|---|---|---|---|
    /// | steady, day form .06: ever told of a change | .051 | .060 | .066 | .073 |
    /// | steady, day form .12 (twice what is assumed) | .152 | .186 | .202 | .227 |
    /// | step of −.15: noticed by week 26; median weeks | .483; – | .678; 6.0 | .928; 4.6 | .988; 3.9 |
    /// | step of −.30 | .991; 4.0 | 1.000; 3.3 | 1.000; 2.6 | 1.000; 2.1 |
    /// | steady change of −.15 in 26 weeks: noticed | .109 | .163 | .292 | .325 |
    /// | of −.30 | .341 | .532 | .814 | .926 |
    /// | of −.60; median weeks | .945; 15.0 | .994; 12.3 | 1.000; 11.6 | 1.000; 11.1 |
    /// | of −.60: a plateau was named at least once | .541 | .507 | .387 | .448 |
    ///
    /// So with few sessions a plateau does not mean that nothing happens: it means less than 0.12 from six weeks to six
    /// weeks. For other latents the day form must be stated anew, and the promise measured anew.
    pub const STUDIED: Self = Self { days: 42.0, sessions: 8, bar: 0.998, day_form: 0.06, margin: 0.12 };

    /// Compares the last window with the one before it; nothing until both are full (the earlier one to within a week).
    ///
    /// # Errors
    /// If the rule is outside its ranges, or a session is on another grid.
    pub fn look(&self, grid: &Grid, sessions: &[Session]) -> Result<Option<Windows>, StatsError> {
        open_chance("bar", self.bar)?;
        check("day form", self.day_form, "from 0 to 1", |v| (0.0..=1.0).contains(&v))?;
        check("margin", self.margin, "0 or more", |v| v >= 0.0)?;
        check("days of a window", self.days, "from 1 to 1000", |v| (1.0..=1000.0).contains(&v))?;
        if !(2..=100).contains(&self.sessions) {
            return Err(StatsError::WrongLength {
                name: "sessions of a window (2 to 100)",
                given: self.sessions,
                needed: Self::STUDIED.sessions,
            });
        }
        let (before, later, _) = self.window(sessions);
        let (_, earlier, age) = self.window(before);
        let full = earlier.len() >= self.sessions && age + 7.0 >= self.days;
        if !full {
            return Ok(None);
        }
        let (earlier, later) = (self.level(grid, earlier)?, self.level(grid, later)?);
        let size = grid.points().len();
        let mut differences = vec![0.0; 2 * size - 1];
        for (i, before) in earlier.iter().enumerate() {
            if *before > 1e-18 {
                for (j, after) in later.iter().enumerate() {
                    differences[j + size - 1 - i] += before * after;
                }
            }
        }
        // At most 1001 points.
        #[allow(clippy::cast_precision_loss)]
        let first = -grid.step() * (size - 1) as f64;
        let Belief { mean, sd, interval } = belief(first, grid.step(), &differences, Level::P80);
        let chance_rose = differences[size..].iter().sum::<f64>() + 0.5 * differences[size - 1];
        let named = if chance_rose >= self.bar {
            Named::Rise
        } else if chance_rose <= 1.0 - self.bar {
            Named::Fall
        } else if interval.low >= -self.margin && interval.high <= self.margin {
            Named::Plateau
        } else {
            Named::Open
        };
        Ok(Some(Windows { named, mean, sd, interval, chance_rose }))
    }

    /// Splits off the last window: what comes before it, the window, and the age of its first session at its last.
    fn window<'a>(&self, sessions: &'a [Session]) -> (&'a [Session], &'a [Session], f64) {
        let (mut age, mut next_age) = (0.0, 0.0);
        let mut start = sessions.len();
        while start > 0 && (next_age < self.days || sessions.len() - start < self.sessions) {
            start -= 1;
            age = next_age;
            next_age += sessions[start].days;
        }
        (&sessions[..start], &sessions[start..], age)
    }

    /// Posterior of the level of a window: every session drawn around it with the day's form.
    fn level(&self, grid: &Grid, sessions: &[Session]) -> Result<Vec<f64>, StatsError> {
        let size = grid.points().len();
        let mut weights = grid.prior().to_vec();
        let (mut kernel, mut blurred) = (Vec::new(), vec![0.0; size]);
        // Below a third of a step the form is lost between the points.
        let blur = self.day_form > grid.step() / 3.0;
        if blur {
            grid.kernel(self.day_form, &mut kernel);
        } else {
            kernel.push(1.0);
        }
        for session in sessions {
            if session.weights.len() != size {
                return Err(StatsError::WrongLength {
                    name: "session",
                    given: session.weights.len(),
                    needed: size,
                });
            }
            spread(&session.weights, &kernel, &mut blurred);
            for (weight, likelihood) in weights.iter_mut().zip(&blurred) {
                *weight *= likelihood;
            }
            let sum = normalise(&mut weights);
            check("likelihood of what was seen", sum, "greater than 0", |v| v > 1e-290)?;
        }
        Ok(weights)
    }
}
