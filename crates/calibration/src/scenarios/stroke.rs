//! The stroke inferred from attempts: how often its 80 % intervals hold the truth. The attempts are shots of the engine,
//! scattered hit by hit; the inference sees the surfaces alone. Study of progression, 3.3 and 3.4.

use std::sync::Arc;

use super::WANTED;
use crate::players::normal;
use crate::players::stroke::{Tasks, stroke};
use crate::scenario::{Fault, MILLION, Record, Scenario};
use crate::{Figure, Kind, Tally};
use longrail_math::fx;
use longrail_math::random::Stream;
use longrail_stroke::Stroke;
use longrail_stroke::infer::{Offset, Parameter, Posterior, Prior, Seen};

const COVERAGE: &str = "The inferred stroke: coverage of 80 % intervals";
const SIZE: &str = "The inferred stroke: mean posterior sd, and sign of the bias";
/// Attempts at each of three pots and a draw.
const EACH: u32 = 25;
/// Columns: coverage of ln spread, bias, ln spread of speed and predicted odds; then sds; then whether the sign is right; then
/// coverage of predicted odds by lapse.
const NAMES: [&str; 4] = ["ln σ of aim", "bias", "ln σ of speed", "odds on the other table"];
const PREDICTED: usize = 3;
const SD: usize = 4;
const SIGN: usize = 7;
const BY_LAPSE: usize = 8;

/// What is true.
#[derive(Clone, Copy, Debug)]
enum Truth {
    /// All as the prior says; the other table's ln σ is off by sd .10.
    Drawn,
    /// This spread and bias in degrees; speed .08, lapse .02; the tables are alike.
    Fixed(f64, f64),
    /// As drawn, and at the draw ln σ is off by sd .2·√2, which the inference may know of or not.
    Families { known: bool },
    /// Spread .3°, no bias, and the spread grows by 15 % for each m/s above 2, of which the inference does not know.
    Growing,
}

#[derive(Debug)]
struct Inference {
    tasks: Arc<Tasks>,
    truth: Truth,
    sides: bool,
}

/// A player: the stroke at the pots here, the factor on its spread at the draw, and on the other table.
struct One {
    stroke: Stroke,
    draw: f64,
    there: f64,
}

impl Truth {
    fn player(self, stream: &mut Stream) -> One {
        let prior = Prior::default();
        let fixed = |spread, bias| One { stroke: stroke(spread, bias, 0.08, 0.02), draw: 1.0, there: 1.0 };
        match self {
            Self::Fixed(spread, bias) => fixed(spread, bias),
            Self::Growing => {
                let one = fixed(0.3, 0.0);
                One { stroke: Stroke { aim_growth_per_mps: 0.15, ..one.stroke }, ..one }
            }
            Self::Drawn | Self::Families { .. } => {
                let mut lognormal = |median: f64, sd: f64| median * fx::exp(sd * normal(stream));
                let spread = lognormal(prior.spread_deg, prior.ln_sd);
                // No stroke of more than half the speed can be posed.
                let speed = lognormal(prior.speed_spread, prior.speed_ln_sd).min(0.5);
                let there = lognormal(1.0, 0.10);
                let draw = lognormal(1.0, 0.2 * std::f64::consts::SQRT_2);
                let bias = prior.bias_sd_deg * normal(stream);
                let lapse = drawn_lapse(&prior, stream.unit());
                let draw = if matches!(self, Self::Drawn) { 1.0 } else { draw };
                One { stroke: stroke(spread, bias, speed, lapse), draw, there }
            }
        }
    }

    fn text(self) -> String {
        match self {
            Self::Drawn => "truth drawn from the prior".to_owned(),
            Self::Fixed(spread, bias) => format!("σ {spread:.2}°, bias {bias:.2}°"),
            Self::Families { known: true } => "drawn, families differ by .2, as allowed for".to_owned(),
            Self::Families { known: false } => "drawn, families differ by .2, not allowed for".to_owned(),
            Self::Growing => "σ 0.30° growing 15 % per m/s".to_owned(),
        }
    }
}

fn drawn_lapse(prior: &Prior, u: f64) -> f64 {
    let mut below = 0.0;
    for (lapse, weight) in prior.lapses {
        below += weight;
        if u < below {
            return lapse;
        }
    }
    prior.lapses[3].0
}

/// The same stroke with a wider aim.
fn wider(stroke: &Stroke, factor: f64) -> Stroke {
    Stroke { aim_sd_deg: (stroke.aim_sd_deg * factor).min(10.0), ..*stroke }
}

impl Scenario for Inference {
    fn key(&self) -> String {
        format!("stroke/{:?}/{}", self.truth, if self.sides { "sides" } else { "counts" })
    }

    fn runs(&self) -> u64 {
        match self.truth {
            // What is promised is known to a point.
            Truth::Drawn => 1600,
            Truth::Families { .. } => 800,
            Truth::Fixed(..) | Truth::Growing => 200,
        }
    }

    fn cost_us(&self) -> u64 {
        120_000
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let Tasks { here, there, .. } = &*self.tasks;
        let one = self.truth.player(stream);
        let family = matches!(self.truth, Truth::Families { known: true }).then(|| Offset::family("draw"));
        let mut tallies = Vec::new();
        for (number, task) in here.iter().enumerate() {
            let factor = if number == 3 { one.draw } else { 1.0 };
            tallies.push(task.shot(stream, &wider(&one.stroke, factor), EACH, self.sides)?);
        }
        let mut posterior = Posterior::new(Prior::default())?;
        posterior.take_all(here.iter().zip(&tallies).enumerate().map(|(number, (task, tally))| {
            (&task.surface, tally, if number == 3 { family.as_ref() } else { None })
        }));
        let inferred = posterior.inferred();
        let held = |parameter: &Parameter, truth: f64| parameter.low <= truth && truth <= parameter.high;
        let known = [
            (&inferred.ln_spread, fx::ln(one.stroke.aim_sd_deg)),
            (&inferred.bias_deg, one.stroke.aim_bias_deg),
            (&inferred.ln_speed_spread, fx::ln(one.stroke.speed_sd)),
        ];
        for (column, (parameter, truth)) in known.into_iter().enumerate() {
            record.yes(column, held(parameter, truth));
            record.quantity(SD + column, parameter.sd);
        }
        record.yes(SIGN, inferred.bias_deg.mean > 0.0);
        // The middle pot on the other table.
        let task = &there[1];
        let predicted = posterior.predicted_under(&task.surface, Seen::Made, Some(&Offset::table("another")));
        let truth = self.tasks.odds(task, &wider(&one.stroke, one.there))?;
        let covered = held(&predicted, truth);
        record.yes(PREDICTED, covered);
        if let Some(place) = Prior::default().lapses.iter().position(|(lapse, _)| *lapse == one.stroke.lapse)
        {
            record.yes(BY_LAPSE + place, covered);
        }
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        let kept = if self.sides { "sides and ends kept" } else { "counts only" };
        let who = format!("{}, {kept}", self.truth.text());
        // Nothing is claimed of the bias without sides.
        let mut figures: Vec<Figure> = NAMES
            .iter()
            .enumerate()
            .filter(|(column, _)| self.sides || *column != 1)
            .map(|(column, name)| {
                let figure = Figure::share(COVERAGE, format!("{name}, {who}"), tally.column(column).share());
                let assumed = matches!(self.truth, Truth::Drawn | Truth::Families { known: true });
                if assumed { figure.promised(WANTED.0, WANTED.1) } else { figure }
            })
            .collect();
        if matches!(self.truth, Truth::Drawn) {
            for (place, (lapse, _)) in Prior::default().lapses.iter().enumerate() {
                let name = format!("{}, lapse {lapse:.2}, {who}", NAMES[PREDICTED]);
                figures.push(Figure::share(COVERAGE, name, tally.column(BY_LAPSE + place).share()));
            }
        }
        for (column, name) in NAMES.iter().take(3).enumerate() {
            let sd = tally.column(SD + column).mean(MILLION);
            figures.push(Figure::new(SIZE, format!("sd of {name}, {who}"), Kind::Quantity, sd));
        }
        if let (Truth::Fixed(_, bias), true) = (self.truth, self.sides)
            && bias > 0.0
        {
            figures.push(Figure::share(
                SIZE,
                format!("sign of the bias right, {who}"),
                tally.column(SIGN).share(),
            ));
        }
        figures
    }
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) -> Result<(), Fault> {
    let tasks = Arc::new(Tasks::new()?);
    let mut add = |truth: Truth, sides: bool| {
        all.push(Box::new(Inference { tasks: Arc::clone(&tasks), truth, sides }));
    };
    for sides in [true, false] {
        add(Truth::Drawn, sides);
        for spread in [0.15, 0.3, 0.6].into_iter().filter(|spread| sides || *spread == 0.3) {
            for bias in [0.0, 0.08] {
                add(Truth::Fixed(spread, bias), sides);
            }
        }
    }
    add(Truth::Families { known: false }, true);
    add(Truth::Families { known: true }, true);
    add(Truth::Growing, true);
    Ok(())
}
