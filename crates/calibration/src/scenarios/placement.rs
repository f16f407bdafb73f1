//! Placement: how wide the posterior of ln spread is, and how often its 80 % interval holds the truth, when each attempt
//! is made where it tells most.
//!
//! The design of the study of progression, 3.5: prior sd 0.5 on ln spread, lapse in {0, .02, .05, .10} with weights .3, .4,
//! .2, .1 and unknown, lapse .02 in truth. The interval is that of the grid's marginal, evenly spread within a cell.

use super::WANTED;
use crate::players::{Form, Shooter, normal};
use crate::scenario::{Fault, MILLION, Record, Scenario};
use crate::{Figure, Kind, Reference, Tally};
use longrail_math::fx;
use longrail_math::random::Stream;
use longrail_stats::placement::Placement;
use longrail_stats::window::Scatter;
use longrail_stats::{Interval, Level, StatsError};

const COVERAGE: &str = "Placement: coverage of the 80 % interval of ln spread";
const SPREAD: &str = "Placement: mean posterior sd of ln spread, and make rate";
const LAPSES: [(f64, f64); 4] = [(0.0, 0.3), (0.02, 0.4), (0.05, 0.2), (0.10, 0.1)];
const PRIOR_SD: f64 = 0.5;
/// Points of ln spread on either side of 0, and their distance: 3.6 prior standard deviations.
const REACH: i32 = 60;
const STEP: f64 = 0.03;
/// Attempts after which it is looked at.
const LOOKS: [u32; 3] = [25, 50, 100];
/// Columns: sd at each look, then coverage at each look, then the make rate.
const COVERED: usize = 3;
const MADE: usize = 6;

/// What is true.
#[derive(Clone, Copy, Debug)]
enum Truth {
    /// ln spread and lapse drawn from the prior.
    Drawn,
    /// ln spread drawn from the prior, lapse .02: the study's.
    Study,
    /// This ln spread, lapse .02.
    Fixed(f64),
}

#[derive(Debug)]
struct Place {
    truth: Truth,
    form: Form,
    widths: Vec<f64>,
    fresh: Placement,
}

impl Place {
    fn new(truth: Truth, form: Form) -> Result<Self, StatsError> {
        let widths: Vec<f64> = (-12..=12).map(|i| fx::exp(f64::from(i) * 0.1)).collect();
        let (mut prior, mut groups, mut chances) = (Vec::new(), Vec::new(), Vec::new());
        for (group, i) in (-REACH..=REACH).enumerate() {
            let x = f64::from(i) * STEP;
            for (lapse, weight) in LAPSES {
                prior.push(weight * fx::exp(-0.5 * x * x / (PRIOR_SD * PRIOR_SD)));
                groups.push(group);
                let scatter = Scatter::new(fx::exp(x), 0.0, lapse)?;
                chances.push(widths.iter().map(|&w| scatter.chance(w)).collect::<Result<Vec<_>, _>>()?);
            }
        }
        let fresh = Placement::new(&prior, &groups, widths.len(), |stimulus, hypothesis| {
            chances.get(hypothesis).and_then(|row| row.get(stimulus)).copied().unwrap_or(f64::NAN)
        })?;
        Ok(Self { truth, form, widths, fresh })
    }
}

fn ln_spread(hypothesis: usize) -> f64 {
    // 484 hypotheses.
    #[allow(clippy::cast_precision_loss)]
    let group = (hypothesis / LAPSES.len()) as f64;
    (group - f64::from(REACH)) * STEP
}

/// Equal-tailed interval of the marginal of ln spread.
fn interval(placement: &Placement, level: Level) -> Interval {
    let marginal: Vec<f64> = placement.posterior().chunks(LAPSES.len()).map(|c| c.iter().sum()).collect();
    let quantile = |p: f64| {
        let mut below = 0.0;
        for (group, &weight) in marginal.iter().enumerate() {
            if below + weight >= p && weight > 0.0 {
                return ln_spread(group * LAPSES.len()) + STEP * ((p - below) / weight - 0.5);
            }
            below += weight;
        }
        f64::from(REACH) * STEP
    };
    let tail = 0.5 * (1.0 - level.share());
    Interval { low: quantile(tail), high: quantile(1.0 - tail) }
}

impl Scenario for Place {
    fn key(&self) -> String {
        format!("placement/{:?}/{:?}", self.truth, self.form)
    }

    fn runs(&self) -> u64 {
        1_000
    }

    fn cost_us(&self) -> u64 {
        18_000
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let (truth, lapse) = match self.truth {
            Truth::Drawn => (PRIOR_SD * normal(stream), drawn_lapse(stream.unit())),
            Truth::Study => (PRIOR_SD * normal(stream), 0.02),
            Truth::Fixed(x) => (x, 0.02),
        };
        let scatter = Scatter::new(fx::exp(truth), 0.0, lapse)?;
        let mut placement = self.fresh.clone();
        let mut shooter = Shooter::new(self.form);
        let mut made = 0.0;
        for attempt in 1..=LOOKS[2] {
            let stimulus = placement.best();
            let width = self.widths.get(stimulus).copied().unwrap_or(1.0);
            let hit = shooter.shoot(scatter.chance(width)?, stream);
            made += f64::from(u8::from(hit));
            placement.observe(stimulus, hit)?;
            if let Some(look) = LOOKS.iter().position(|&look| look == attempt) {
                record.quantity(look, placement.moments(ln_spread).1);
                record.yes(COVERED + look, interval(&placement, Level::P80).contains(truth));
            }
        }
        record.quantity(MADE, made / f64::from(LOOKS[2]));
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        let who = match self.truth {
            Truth::Drawn => "truth drawn from the prior".to_owned(),
            Truth::Study => "ln spread drawn, lapse .02".to_owned(),
            Truth::Fixed(x) => format!("ln spread {x:+.1}, lapse .02"),
        };
        let who = if self.form == Form::Even { who } else { format!("{who}, {}", self.form.text()) };
        let mut figures = Vec::new();
        for (look, attempts) in LOOKS.iter().enumerate() {
            let covered = tally.column(COVERED + look).share();
            let figure = Figure::share(COVERAGE, format!("{who}, {attempts} attempts"), covered);
            let drawn = matches!(self.truth, Truth::Drawn);
            figures.push(if drawn { figure.promised(WANTED.0, WANTED.1) } else { figure });
        }
        if matches!(self.truth, Truth::Study) && self.form == Form::Even {
            // Study 3.5, row "Psi, entropy of ln sigma only", 200 players; its error is ours at that number.
            for (look, (attempts, published)) in [(25, 0.197), (50, 0.147), (100, 0.110)].iter().enumerate() {
                let ours = tally.column(look).mean(MILLION);
                let error = ours.error * (crate::tally::wide(ours.runs) / 200.0).sqrt();
                figures.push(
                    Figure::new(SPREAD, format!("sd after {attempts} attempts"), Kind::Quantity, ours)
                        .beside(Reference::mean("study 3.5", *published, 3, error)),
                );
            }
            let rate = tally.column(MADE).mean(MILLION);
            figures
                .push(Figure::share(SPREAD, "make rate (study 3.5: .73 to .76)", rate).promised(0.73, 0.76));
        }
        figures
    }
}

fn drawn_lapse(u: f64) -> f64 {
    let mut below = 0.0;
    for (lapse, weight) in LAPSES {
        below += weight;
        if u < below {
            return lapse;
        }
    }
    LAPSES[3].0
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) -> Result<(), StatsError> {
    for (truth, form) in [
        (Truth::Drawn, Form::Even),
        (Truth::Study, Form::Even),
        (Truth::Fixed(-0.5), Form::Even),
        (Truth::Fixed(0.5), Form::Even),
        (Truth::Study, Form::Session { sd: 0.4, attempts: 25 }),
    ] {
        all.push(Box::new(Place::new(truth, form)?));
    }
    Ok(())
}
