//! Intervals of one rate: Jeffreys, Wilson, Clopper–Pearson at 80 %.
//!
//! The model behind Jeffreys' interval draws the rate from Beta(½, ½) and the tries independently; the other two promise
//! about 80 %, or at least 80 %, at every rate. Fixed rates and clustered form are no model's promise: they are
//! published as they are.

use super::WANTED;
use crate::players::{Form, Shooter, jeffreys_rate};
use crate::scenario::{Fault, Record, Scenario};
use crate::{Figure, Tally};
use longrail_math::random::Stream;
use longrail_stats::rate::{clopper_pearson, jeffreys, wilson};
use longrail_stats::{Count, Interval, Level, StatsError};

const SECTION: &str = "Coverage of a rate's 80 % interval";
const NAMES: [&str; 3] = ["Jeffreys", "Wilson", "Clopper–Pearson"];

/// Where the rate comes from.
#[derive(Clone, Copy, Debug)]
enum Truth {
    Drawn,
    Fixed(f64),
}

#[derive(Debug)]
struct Rates {
    tries: u32,
    truth: Truth,
    form: Form,
    /// Long-run share of makes of a fixed player.
    long_run: f64,
    /// Intervals of 0, 1, 2, … makes.
    intervals: Vec<[Interval; 3]>,
}

impl Scenario for Rates {
    fn key(&self) -> String {
        format!("rates/{}/{:?}/{:?}", self.tries, self.truth, self.form)
    }

    fn runs(&self) -> u64 {
        100_000
    }

    fn cost_us(&self) -> u64 {
        1
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let (chance, truth) = match self.truth {
            Truth::Drawn => {
                let p = jeffreys_rate(stream);
                (p, p)
            }
            Truth::Fixed(p) => (p, self.long_run),
        };
        let mut shooter = Shooter::new(self.form);
        let made = (0..self.tries).filter(|_| shooter.shoot(chance, stream)).count();
        if let Some(intervals) = self.intervals.get(made) {
            for (column, interval) in intervals.iter().enumerate() {
                record.yes(column, interval.contains(truth));
            }
        }
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        let who = match (self.truth, self.form) {
            (Truth::Drawn, _) => "p drawn from Beta(½, ½)".to_owned(),
            (Truth::Fixed(p), Form::Even) => format!("p = {p:.2}"),
            (Truth::Fixed(p), form) => format!("p = {p:.2}, {}", form.text()),
        };
        let figure = |column: usize, name: &str| {
            let name = format!("{name}, n = {}, {who}", self.tries);
            let figure = Figure::share(SECTION, name, tally.column(column).share());
            match (self.truth, column) {
                (Truth::Drawn, 0) => figure.promised(WANTED.0, WANTED.1),
                // "Holds the truth at least as often as it says", for independent tries.
                (_, 2) if self.form == Form::Even => figure.promised(Level::P80.share(), 1.0),
                _ => figure,
            }
        };
        NAMES.iter().enumerate().map(|(column, name)| figure(column, name)).collect()
    }
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) -> Result<(), StatsError> {
    let mut add = |tries: u32, truth: Truth, form: Form| -> Result<(), StatsError> {
        let mut intervals = Vec::new();
        for made in 0..=tries {
            let count = Count::new(made, tries)?;
            intervals.push([jeffreys, wilson, clopper_pearson].map(|method| method(count, Level::P80)));
        }
        let long_run = if let Truth::Fixed(p) = truth { form.long_run(p) } else { f64::NAN };
        all.push(Box::new(Rates { tries, truth, form, long_run, intervals }));
        Ok(())
    };
    for tries in [10, 20, 50, 100] {
        add(tries, Truth::Drawn, Form::Even)?;
        for p in [0.1, 0.3, 0.5, 0.7, 0.9] {
            add(tries, Truth::Fixed(p), Form::Even)?;
        }
    }
    for tries in [50, 100] {
        for p in [0.5, 0.8] {
            add(tries, Truth::Fixed(p), Form::Session { sd: 0.4, attempts: 25 })?;
            add(tries, Truth::Fixed(p), Form::Markov { correlation: 0.2 })?;
        }
    }
    Ok(())
}
