//! Newcombe's interval of a difference, at the level that is shown (95 %) and at 80 %.

use super::WANTED;
use crate::players::{Form, Shooter};
use crate::scenario::{Fault, Record, Scenario};
use crate::{Figure, Tally};
use longrail_math::random::Stream;
use longrail_stats::change::newcombe;
use longrail_stats::{Count, Level, StatsError};

const SECTION: &str = "Coverage of Newcombe's interval of a difference";

/// Two rates.
#[derive(Clone, Copy, Debug)]
enum Truth {
    /// Each drawn evenly from 0 to 1. The method has no prior; this is one of many ways to ask all rates.
    Drawn,
    Fixed(f64, f64),
}

#[derive(Debug)]
struct Difference {
    tries: u32,
    truth: Truth,
    form: Form,
}

impl Difference {
    fn count(&self, chance: f64, stream: &mut Stream) -> Result<Count, StatsError> {
        let mut shooter = Shooter::new(self.form);
        let made = (0..self.tries).filter(|_| shooter.shoot(chance, stream)).count();
        Count::new(u32::try_from(made).unwrap_or(0), self.tries)
    }
}

impl Scenario for Difference {
    fn key(&self) -> String {
        format!("difference/{}/{:?}/{:?}", self.tries, self.truth, self.form)
    }

    fn runs(&self) -> u64 {
        100_000
    }

    fn cost_us(&self) -> u64 {
        2
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let (p1, p2) = match self.truth {
            Truth::Drawn => (stream.unit(), stream.unit()),
            Truth::Fixed(p1, p2) => (p1, p2),
        };
        let difference = self.form.long_run(p2) - self.form.long_run(p1);
        let (first, second) = (self.count(p1, stream)?, self.count(p2, stream)?);
        record.yes(0, newcombe(first, second, Level::P95).contains(difference));
        record.yes(1, newcombe(first, second, Level::P80).contains(difference));
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        let who = match self.truth {
            Truth::Drawn => "both p drawn evenly".to_owned(),
            Truth::Fixed(p1, p2) => format!("p = {p1:.2} and {p2:.2}, {}", self.form.text()),
        };
        let name = |level: &str| format!("{level}, {} tries each, {who}", self.tries);
        let shown = Figure::share(SECTION, name("95 %"), tally.column(0).share());
        let eighty = Figure::share(SECTION, name("80 %"), tally.column(1).share());
        match self.truth {
            Truth::Drawn => vec![shown, eighty.promised(WANTED.0, WANTED.1)],
            Truth::Fixed(..) => vec![shown, eighty],
        }
    }
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) {
    let session = Form::Session { sd: 0.4, attempts: 25 };
    for tries in [20, 50] {
        for (truth, form) in [
            (Truth::Drawn, Form::Even),
            (Truth::Fixed(0.5, 0.5), Form::Even),
            (Truth::Fixed(0.5, 0.6), Form::Even),
            (Truth::Fixed(0.8, 0.9), Form::Even),
            (Truth::Fixed(0.5, 0.5), session),
            (Truth::Fixed(0.5, 0.5), Form::Markov { correlation: 0.2 }),
        ] {
            all.push(Box::new(Difference { tries, truth, form }));
        }
    }
}
