//! Measured outcomes: intervals of mean, spread and difference at 80 %. Their model is independent normal values; skewed
//! values and form by session are published as they are.

use super::WANTED;
use crate::players::normal;
use crate::scenario::{Fault, Record, Scenario};
use crate::{Figure, Tally};
use longrail_math::fx;
use longrail_math::random::Stream;
use longrail_stats::measured::Measured;
use longrail_stats::{Level, StatsError};

const SECTION: &str = "Coverage of measured outcomes' 80 % intervals";
/// Attempts that share a form.
const SESSION: u32 = 10;

/// How values fall.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Values {
    /// Normal, mean 10, spread 3.
    Normal,
    /// Lognormal, ln-mean 2, ln-spread 0.5: distances have a long tail.
    Skewed,
    /// Normal, and every session of ten is off by a normal amount of half the spread.
    Clustered,
}

impl Values {
    fn text(self) -> &'static str {
        match self {
            Self::Normal => "normal values",
            Self::Skewed => "skewed values (lognormal, 0.5)",
            Self::Clustered => "normal values, form of half a spread per session of 10",
        }
    }

    /// Mean and standard deviation of a value in the long run. Of the lognormal: e^(μ+s²/2) and the mean · √(e^(s²)−1).
    fn truth(self) -> (f64, f64) {
        match self {
            Self::Normal => (10.0, 3.0),
            Self::Skewed => {
                let mean = fx::exp(2.0 + 0.125);
                (mean, mean * fx::expm1(0.25).sqrt())
            }
            Self::Clustered => (10.0, (9.0_f64 + 2.25).sqrt()),
        }
    }

    fn draw(self, number: u32, stream: &mut Stream) -> Result<Measured, StatsError> {
        let mut measured = Measured::default();
        let mut today = 0.0;
        for n in 0..number {
            if n % SESSION == 0 && self == Self::Clustered {
                today = 1.5 * normal(stream);
            }
            let z = normal(stream);
            measured.add(match self {
                Self::Skewed => fx::exp(2.0 + 0.5 * z),
                Self::Normal | Self::Clustered => 10.0 + today + 3.0 * z,
            })?;
        }
        Ok(measured)
    }
}

#[derive(Debug)]
struct Outcomes {
    number: u32,
    values: Values,
}

impl Scenario for Outcomes {
    fn key(&self) -> String {
        format!("measured/{}/{:?}", self.number, self.values)
    }

    fn runs(&self) -> u64 {
        20_000
    }

    fn cost_us(&self) -> u64 {
        40
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let (mean, spread) = self.values.truth();
        let first = self.values.draw(self.number, stream)?;
        let second = self.values.draw(self.number, stream)?;
        record.yes(0, first.mean_interval(Level::P80)?.contains(mean));
        record.yes(1, first.spread_interval(Level::P80)?.contains(spread));
        record.yes(2, first.compare(&second, Level::P80)?.interval.contains(0.0));
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        ["mean", "spread", "difference of two means (Welch)"]
            .iter()
            .enumerate()
            .map(|(column, name)| {
                let name = format!("{name}, n = {}, {}", self.number, self.values.text());
                let figure = Figure::share(SECTION, name, tally.column(column).share());
                if self.values == Values::Normal { figure.promised(WANTED.0, WANTED.1) } else { figure }
            })
            .collect()
    }
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) {
    for number in [10, 30] {
        for values in [Values::Normal, Values::Skewed, Values::Clustered] {
            all.push(Box::new(Outcomes { number, values }));
        }
    }
}
