//! The trend filter: does the 80 % interval of the level hold it now, and that of the change over the last 500 attempts?
//!
//! The model's own truth is a random walk with the filter's drift and no day form. The study's kinds (section 4.1) have a
//! day form of .06; its learning curves are not stated, so ours are named in each line.

use super::WANTED;
use crate::players::{Course, normal, tasks};
use crate::scenario::{Fault, MILLION, Record, Scenario};
use crate::{Figure, Kind, Reference, Tally};
use longrail_math::random::Stream;
use longrail_stats::trend::{Filter, Grid, Settings, change_since};
use longrail_stats::{Level, StatsError};

const SECTION: &str = "Coverage of the trend's 80 % intervals, sessions 6 to 30";
/// Study 4.1: "30 sessions of 50 attempts on three rungs … gaps 2 to 5 days … sessions 6 to 30".
const SESSIONS: usize = 30;
const FIRST_LOOKED_AT: usize = 5;
const LOOKED_AT: u32 = 25;
/// Sessions of 500 attempts.
const BACK: usize = 10;

/// Columns: how many of 25 levels were held, squared error of the level, was the change held.
const HELD: usize = 0;
const SQUARE: usize = 1;
const CHANGE: usize = 2;

#[derive(Clone, Copy, Debug)]
enum Truth {
    /// A walk with the filter's drift from its prior.
    Walk,
    /// A course from a start drawn from the prior.
    Course(Course),
}

#[derive(Debug)]
struct Trend {
    truth: Truth,
    day_form: f64,
    grid: Grid,
}

impl Scenario for Trend {
    fn key(&self) -> String {
        format!("trend/{:?}/{}", self.truth, self.day_form)
    }

    fn runs(&self) -> u64 {
        1_500
    }

    fn cost_us(&self) -> u64 {
        5_000
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let settings = self.grid.settings();
        let start = settings.prior_sd * normal(stream);
        let mut filter = Filter::new(self.grid.clone());
        let (mut sessions, mut levels) = (Vec::new(), Vec::new());
        let (mut held, mut squares, mut level) = (0, 0.0, start);
        for t in 0..SESSIONS {
            let mut days = f64::from(2 + stream.below(4));
            match self.truth {
                Truth::Walk => {
                    if t > 0 {
                        level += settings.drift(days) * normal(stream);
                    }
                }
                Truth::Course(course) => {
                    level = start + course.at(t, SESSIONS);
                    days = course.days(t, days);
                }
            }
            let session = tasks::session(&self.grid, stream, level, self.day_form, days)?;
            filter.session(&session)?;
            sessions.push(session);
            levels.push(level);
            if t >= FIRST_LOOKED_AT {
                let belief = filter.belief(Level::P80);
                held += i64::from(belief.interval.contains(level));
                squares += (belief.mean - level) * (belief.mean - level);
            }
        }
        record.number(HELD, held);
        record.quantity(SQUARE, squares / f64::from(LOOKED_AT));
        let since = SESSIONS - 1 - BACK;
        let change = change_since(&self.grid, &sessions, since, Level::P80)?;
        let truth = level - levels.get(since).copied().unwrap_or(level);
        record.yes(CHANGE, change.interval.contains(truth));
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        let who = match self.truth {
            Truth::Walk if self.day_form == 0.0 => "walk as the model assumes".to_owned(),
            Truth::Walk => format!("walk, day form {:.2}", self.day_form),
            Truth::Course(course) => format!("{}, day form {:.2}", course.text(), self.day_form),
        };
        let level = Figure::share(SECTION, format!("level, {who}"), coverage(tally));
        let change = Figure::share(
            SECTION,
            format!("change over the last 500 attempts, {who}"),
            tally.column(CHANGE).share(),
        );
        let square = tally.column(SQUARE).mean(MILLION);
        let root = square.value.map(f64::sqrt);
        // d√x = dx/(2√x).
        let error = root.filter(|r| *r > 0.0).map_or(0.0, |r| square.error / (2.0 * r));
        let rmse = crate::Estimate { value: root, error, runs: square.runs };
        let rmse =
            Figure::new(SECTION, format!("root mean square error of ln spread, {who}"), Kind::Quantity, rmse);
        if matches!(self.truth, Truth::Walk) && self.day_form == 0.0 {
            return vec![level.promised(WANTED.0, WANTED.1), change.promised(WANTED.0, WANTED.1), rmse];
        }
        vec![level, change, rmse]
    }
}

/// Mean share of levels that were held, with the error between players.
fn coverage(tally: &Tally) -> crate::Estimate {
    tally.column(HELD).mean(f64::from(LOOKED_AT))
}

/// The study's average over its four kinds, with a figure of its own: each run draws one of them.
#[derive(Debug)]
struct FourKinds(Vec<Trend>);

impl Scenario for FourKinds {
    fn key(&self) -> String {
        "trend/four kinds".to_owned()
    }

    fn runs(&self) -> u64 {
        3_000
    }

    fn cost_us(&self) -> u64 {
        5_000
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let kinds = u32::try_from(self.0.len()).unwrap_or(0);
        self.0.get(stream.below(kinds) as usize).map_or(Ok(()), |kind| kind.run(stream, record))
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        let ours = coverage(tally);
        // The study had 60 players of each of four kinds; its error is ours at that number.
        let error = ours.error * (crate::tally::wide(ours.runs) / 240.0).sqrt();
        vec![
            Figure::share(
                SECTION,
                "level, average over improving, plateau, step and lay-off, day form 0.06",
                ours,
            )
            .beside(Reference::mean("study 4.1 (its courses are not stated)", 0.784, 3, error)),
        ]
    }
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) -> Result<(), StatsError> {
    let grid = Grid::new(Settings::study(0.0))?;
    let trend = |truth, day_form| Trend { truth, day_form, grid: grid.clone() };
    let kinds = [
        Course::Ramp(-0.45),
        Course::Plateau(-0.45),
        Course::Step(-0.30, 15),
        Course::LayOff { by: 0.10, at: 15, days: 60.0 },
    ];
    all.push(Box::new(trend(Truth::Walk, 0.0)));
    all.push(Box::new(trend(Truth::Walk, 0.06)));
    all.push(Box::new(FourKinds(kinds.map(|kind| trend(Truth::Course(kind), 0.06)).into())));
    for kind in kinds {
        all.push(Box::new(trend(Truth::Course(kind), 0.06)));
    }
    all.push(Box::new(trend(Truth::Course(Course::Steady), 0.06)));
    all.push(Box::new(trend(Truth::Course(Course::Steady), 0.12)));
    Ok(())
}
