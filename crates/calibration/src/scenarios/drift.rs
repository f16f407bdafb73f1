//! Players who change while a sheet is open: how long after passing even chances they are promoted, and how often before.
//! Study of progression, 1.3.

use crate::scenario::{Fault, Record, Scenario};
use crate::{Figure, Reference, Tally};
use longrail_math::random::Stream;
use longrail_stats::StatsError;
use longrail_stats::promotion::{Rules, Sheet, Strictness};

const SECTION: &str = "Players who improve while they are judged, a new sheet each 100";
const HORIZON: i64 = 400;
const NEVER: i64 = i64::MAX;
/// The study does not state the number for this table; the fewest that it states for a cell.
const STUDY_PLAYERS: f64 = 8_000.0;

const AFTER_EVEN: usize = 0;
const TOO_EARLY: usize = 1;

/// Chance before attempt `begin`, after attempt `end`, and evenly between.
#[derive(Clone, Copy, Debug)]
struct Change {
    low: f64,
    high: f64,
    begin: i64,
    end: i64,
}

impl Change {
    /// Chance at attempt `n` (from 0).
    fn at(self, n: i64) -> f64 {
        if n >= self.end {
            return self.high;
        }
        // A few hundred attempts.
        #[allow(clippy::cast_precision_loss)]
        let way = (n - self.begin).max(0) as f64 / (self.end - self.begin).max(1) as f64;
        self.low + (self.high - self.low) * way
    }

    /// The first attempt at which the chance exceeds one half.
    fn even(self) -> i64 {
        (0..=HORIZON).find(|&n| self.at(n) > 0.5).unwrap_or(HORIZON)
    }
}

#[derive(Debug)]
struct Drift {
    rules: Rules,
    name: &'static str,
    change: Change,
    published: f64,
}

impl Scenario for Drift {
    fn key(&self) -> String {
        format!("drift/{}", self.name)
    }

    fn runs(&self) -> u64 {
        100_000
    }

    fn cost_us(&self) -> u64 {
        6
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let even = self.change.even();
        let mut sheet = Sheet::default();
        // Long enough for four hundred attempts beyond even chances.
        for n in 0..even + HORIZON {
            if sheet.ended() {
                sheet = Sheet::default();
            }
            sheet.attempt(&self.rules, 0, stream.unit() < self.change.at(n))?;
            if sheet.promoted().is_some() {
                record.number(AFTER_EVEN, n + 1 - even);
                record.yes(TOO_EARLY, n < even);
                return Ok(());
            }
        }
        record.number(AFTER_EVEN, NEVER);
        record.yes(TOO_EARLY, false);
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        let reference = Reference::median("study 1.3", self.published, STUDY_PLAYERS);
        let name = format!("{}: median attempts after passing even chances", self.name);
        vec![
            Figure::median(SECTION, name, &tally.column(AFTER_EVEN), HORIZON, Some(reference)),
            // Study 1.3: "Promoted before passing 0.5: sheet 100 <= .002 in all three".
            Figure::share(
                SECTION,
                format!("{}: promoted before that", self.name),
                tally.column(TOO_EARLY).share(),
            )
            .promised(0.0, 0.0025),
        ]
    }
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) -> Result<(), StatsError> {
    let players = [
        (
            "improving, .35 to .65 over 200 attempts",
            Change { low: 0.35, high: 0.65, begin: 0, end: 200 },
            125.0,
        ),
        ("step from .30 to .65 at attempt 60", Change { low: 0.30, high: 0.65, begin: 60, end: 60 }, 80.0),
        (
            "plateau at .65 after .25, between attempts 100 and 150",
            Change { low: 0.25, high: 0.65, begin: 100, end: 150 },
            107.0,
        ),
    ];
    for (name, change, published) in players {
        all.push(Box::new(Drift { rules: Rules::new(0.5, Strictness::Usual)?, name, change, published }));
    }
    Ok(())
}
