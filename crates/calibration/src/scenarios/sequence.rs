//! The confidence sequence: how often it holds the truth at all looks of 1 to 200, and what is left of an interval for
//! one look when a promotion chose the moment.

use crate::players::{Form, Shooter};
use crate::scenario::{Fault, Record, Scenario};
use crate::{Figure, Tally};
use longrail_math::random::Stream;
use longrail_stats::promotion::{Rules, SHEET, Sheet, Strictness};
use longrail_stats::rate::jeffreys;
use longrail_stats::sequence::uniform;
use longrail_stats::{Count, Interval, Level, StatsError};
use std::sync::Arc;

const SECTION: &str = "The confidence sequence (80 %), looked at after each of 200 attempts";
const STOPPED: &str = "Coverage at the moment of promotion within 100 (80 %)";
const LOOKS: usize = 200;

/// Intervals for every count of up to 200 tries: entry n, then makes.
type Table = Vec<Vec<[Interval; 2]>>;

fn table() -> Result<Table, StatsError> {
    let mut table = Vec::with_capacity(LOOKS + 1);
    for tried in 0..=200 {
        let mut row = Vec::new();
        for made in 0..=tried {
            let count = Count::new(made, tried)?;
            row.push([uniform(count, Level::P80), jeffreys(count, Level::P80)]);
        }
        table.push(row);
    }
    Ok(table)
}

#[derive(Debug)]
struct Sequence {
    chance: f64,
    form: Form,
    table: Arc<Table>,
}

impl Scenario for Sequence {
    fn key(&self) -> String {
        format!("sequence/{}/{:?}", self.chance, self.form)
    }

    fn runs(&self) -> u64 {
        50_000
    }

    fn cost_us(&self) -> u64 {
        5
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let truth = self.form.long_run(self.chance);
        let mut shooter = Shooter::new(self.form);
        let mut made = 0;
        let mut held = [true; 2];
        for row in self.table.iter().skip(1) {
            made += usize::from(shooter.shoot(self.chance, stream));
            if let Some(intervals) = row.get(made) {
                for (held, interval) in held.iter_mut().zip(intervals) {
                    *held &= interval.contains(truth);
                }
            }
        }
        record.yes(0, held[0]);
        record.yes(1, held[1]);
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        let name = |what: &str| format!("{what}, p = {:.2}, {}", self.chance, self.form.text());
        let sequence = Figure::share(SECTION, name("holds at every look"), tally.column(0).share());
        let promise = self.form == Form::Even;
        vec![
            if promise { sequence.promised(Level::P80.share(), 1.0) } else { sequence },
            Figure::share(
                SECTION,
                name("for contrast, Jeffreys' interval holds at every look"),
                tally.column(1).share(),
            ),
        ]
    }
}

/// A sheet that ended by a promotion.
#[derive(Debug)]
struct Stopped {
    chance: f64,
    rules: Rules,
    table: Arc<Table>,
}

impl Scenario for Stopped {
    fn key(&self) -> String {
        format!("stopped/{}", self.chance)
    }

    fn runs(&self) -> u64 {
        100_000
    }

    fn cost_us(&self) -> u64 {
        3
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let mut sheet = Sheet::default();
        for _ in 0..SHEET {
            sheet.attempt(&self.rules, 0, stream.unit() < self.chance)?;
            if let Some(at) = sheet.promoted() {
                let row = self.table.get(at.tried as usize);
                if let Some(intervals) = row.and_then(|row| row.get(at.made as usize)) {
                    record.yes(0, intervals[0].contains(self.chance));
                    record.yes(1, intervals[1].contains(self.chance));
                }
                break;
            }
        }
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        ["confidence sequence, which is shown", "Jeffreys' interval, which is not shown there"]
            .iter()
            .enumerate()
            .map(|(column, name)| {
                let name = format!("{name}, p = {:.2}, among the promoted", self.chance);
                Figure::share(STOPPED, name, tally.column(column).share())
            })
            .collect()
    }
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) -> Result<(), StatsError> {
    let table = Arc::new(table()?);
    for (chance, form) in [
        (0.3, Form::Even),
        (0.5, Form::Even),
        (0.7, Form::Even),
        (0.9, Form::Even),
        (0.5, Form::Session { sd: 0.4, attempts: 25 }),
        (0.5, Form::Markov { correlation: 0.2 }),
    ] {
        all.push(Box::new(Sequence { chance, form, table: Arc::clone(&table) }));
    }
    for chance in [0.50, 0.55, 0.60, 0.70] {
        let rules = Rules::new(0.5, Strictness::Usual)?;
        all.push(Box::new(Stopped { chance, rules, table: Arc::clone(&table) }));
    }
    Ok(())
}
