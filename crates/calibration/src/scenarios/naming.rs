//! The rule that names a rise, a fall or a plateau: false alarms over 26 weeks, and delays on real changes.
//!
//! Every player is looked at after every session. ln spread is the latent; a step comes after week 13. The promise of the
//! project: a steady player with the assumed day form is told of a change in at most a tenth of half-years.

use crate::players::{Course, tasks};
use crate::scenario::{Fault, Record, Scenario};
use crate::{Figure, Kind, Tally};
use longrail_math::random::Stream;
use longrail_stats::StatsError;
use longrail_stats::trend::{Grid, Named, Rule, Settings};

const SECTION: &str = "Naming a trend: 26 weeks, looked at after every session";
const WEEKS: usize = 26;
const NEVER: i64 = i64::MAX;

/// Columns: told of a change; plateau named; sessions from the change to the right word; 80 % interval of the last look
/// holds the truth.
const TOLD: usize = 0;
const PLATEAU: usize = 1;
const DELAY: usize = 2;
const HELD: usize = 3;

/// A player of so many sessions a week.
#[derive(Debug)]
pub struct Naming {
    per_week: usize,
    day_form: f64,
    course: Course,
    grid: Grid,
    rule: Rule,
}

impl Naming {
    /// A player under the rule that is used.
    ///
    /// # Errors
    /// Never for the constants of the study.
    pub fn new(per_week: usize, day_form: f64, course: Course) -> Result<Self, StatsError> {
        Ok(Self { per_week, day_form, course, grid: Grid::new(Settings::study(0.0))?, rule: Rule::STUDIED })
    }

    fn sessions(&self) -> usize {
        WEEKS * self.per_week
    }

    /// The word that is right, and the session from which it is.
    fn expected(&self) -> Option<(Named, usize)> {
        let (by, from) = match self.course {
            Course::Steady => return None,
            Course::Step(by, at) | Course::LayOff { by, at, .. } => (by, at),
            Course::Ramp(by) | Course::Plateau(by) => (by, 0),
        };
        Some((if by > 0.0 { Named::Rise } else { Named::Fall }, from))
    }
}

impl Scenario for Naming {
    fn key(&self) -> String {
        format!("naming/{}/{}/{:?}", self.per_week, self.day_form, self.course)
    }

    fn runs(&self) -> u64 {
        // Half-years with more sessions take longer, by their square.
        (8_000 / (self.per_week * self.per_week).max(1) as u64).clamp(320, 1_500)
    }

    fn cost_us(&self) -> u64 {
        800 * (self.per_week * self.per_week) as u64
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let count = self.sessions();
        // A few sessions a week.
        #[allow(clippy::cast_precision_loss)]
        let usual = 7.0 / self.per_week as f64;
        let expected = self.expected();
        let mut sessions = Vec::with_capacity(count);
        let (mut told, mut plateau, mut delay, mut last) = (false, false, NEVER, None);
        for t in 0..count {
            let level = self.course.at(t, count);
            let days = self.course.days(t, usual);
            sessions.push(tasks::session(&self.grid, stream, level, self.day_form, days)?);
            let Some(windows) = self.rule.look(&self.grid, &sessions)? else { continue };
            told |= matches!(windows.named, Named::Rise | Named::Fall);
            plateau |= windows.named == Named::Plateau;
            if let Some((word, from)) = expected
                && windows.named == word
                && t >= from
                && delay == NEVER
            {
                delay = i64::try_from(t + 1 - from).unwrap_or(NEVER);
            }
            last = Some(windows.interval);
        }
        record.yes(TOLD, told);
        record.yes(PLATEAU, plateau);
        record.number(DELAY, delay);
        if let Some(interval) = last.filter(|_| expected.is_none()) {
            record.yes(HELD, interval.contains(0.0));
        }
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        let name = |what: &str| {
            format!("{} a week, {}, day form {:.2}: {what}", self.per_week, self.course.text(), self.day_form)
        };
        let told = Figure::share(SECTION, name("ever told of a change"), tally.column(TOLD).share());
        let plateau = Figure::share(SECTION, name("a plateau was named"), tally.column(PLATEAU).share());
        if self.expected().is_none() {
            let assumed = self.day_form <= self.rule.day_form;
            let held = name("80 % interval of the change at week 26 holds 0");
            let held = Figure::share(SECTION, held, tally.column(HELD).share());
            return if assumed {
                vec![told.promised(0.0, 0.10), plateau, held]
            } else {
                vec![told, plateau, held]
            };
        }
        let delays = tally.column(DELAY);
        let most = i64::try_from(self.sessions()).unwrap_or(NEVER - 1);
        let noticed = Figure::share(SECTION, name("noticed by week 26"), delays.share_up_to(most));
        let mut median = delays.median(most);
        // A few sessions a week.
        #[allow(clippy::cast_precision_loss)]
        let weeks = self.per_week as f64;
        median.value = median.value.map(|sessions| sessions / weeks);
        median.error /= weeks;
        let median = Figure::new(SECTION, name("median weeks from the change"), Kind::Quantity, median);
        vec![noticed, median, plateau]
    }
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) -> Result<(), StatsError> {
    for per_week in [2, 3, 5, 7] {
        let half = 13 * per_week;
        for (day_form, course) in [
            (0.06, Course::Steady),
            (0.12, Course::Steady),
            (0.06, Course::Step(-0.15, half)),
            (0.06, Course::Step(-0.30, half)),
            (0.06, Course::Step(0.30, half)),
            (0.06, Course::Ramp(-0.15)),
            (0.06, Course::Ramp(-0.30)),
            (0.06, Course::Ramp(-0.60)),
        ] {
            all.push(Box::new(Naming::new(per_week, day_form, course)?));
        }
    }
    Ok(())
}
