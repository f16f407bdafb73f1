//! The ratchet: promotion latches, so a frontier may creep beyond the rung at which chances are even.
//!
//! A ladder of straight shots in quarter diamonds (study of progression, 3.1). The player shoots at the frontier only;
//! a promotion moves it one rung out, an advice to step back one rung in (if it is taken), and after 100 undecided
//! attempts a new sheet begins at the same rung. Day form moves ln spread from session to session of 50 attempts, sd .06
//! (study 4.1); twice as much is shown beside it, as for trends. The study has no figures for this.

use crate::players::{ladder, normal};
use crate::scenario::{Fault, MILLION, Record, Scenario};
use crate::{Figure, Kind, Tally};
use longrail_math::fx;
use longrail_math::random::Stream;
use longrail_stats::StatsError;
use longrail_stats::promotion::{Rules, Sheet, Strictness};

const SECTION: &str =
    "The ratchet: rungs (quarter diamonds) by which the frontier stands beyond even chances";
/// A rung, diamonds.
const RUNG: f64 = 0.25;
/// The ladder from its first rung to its last, diamonds.
const FIRST: f64 = 1.0;
const RUNGS: u32 = 23;
/// When the frontier is looked at: after this many attempts.
const LOOKS: [u32; 3] = [500, 1000, 3000];
/// Attempts of a session (study 4.1).
const SESSION: u32 = 50;

/// A player who keeps to a frontier.
#[derive(Debug)]
pub struct Ratchet {
    rules: Rules,
    even_at: f64,
    day_form: f64,
    step_back_taken: bool,
}

impl Ratchet {
    /// A player whose chance is one half at `even_at` diamonds, with this day form on ln spread, who takes the advice to
    /// step back or never does.
    ///
    /// # Errors
    /// Never for the strictnesses there are.
    pub fn new(
        strictness: Strictness,
        even_at: f64,
        day_form: f64,
        step_back_taken: bool,
    ) -> Result<Self, StatsError> {
        Ok(Self { rules: Rules::new(0.5, strictness)?, even_at, day_form, step_back_taken })
    }
}

fn distance(rung: u32) -> f64 {
    FIRST + RUNG * f64::from(rung)
}

impl Scenario for Ratchet {
    fn key(&self) -> String {
        let Self { rules, even_at, day_form, step_back_taken } = self;
        format!("ratchet/{:?}/{even_at}/{day_form}/{step_back_taken}", rules.strictness())
    }

    fn runs(&self) -> u64 {
        6_000
    }

    fn cost_us(&self) -> u64 {
        110
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let spread = ladder::spread_for_even(self.even_at);
        // A diamond inside even chances: where a placement would put the first frontier at the latest.
        let mut rung = (0..RUNGS).find(|&r| distance(r) >= self.even_at - 1.0).unwrap_or(0);
        let mut sheet = Sheet::default();
        let (mut today, mut chance, mut moved) = (spread, 0.0, true);
        for n in 0..LOOKS[2] {
            if n.is_multiple_of(SESSION) {
                today = spread * fx::exp(self.day_form * normal(stream));
                moved = true;
            }
            if moved {
                chance = ladder::chance(distance(rung), today)?;
                moved = false;
            }
            sheet.attempt(&self.rules, n / SESSION, stream.unit() < chance)?;
            if sheet.promoted().is_some() {
                rung = (rung + 1).min(RUNGS - 1);
                (sheet, moved) = (Sheet::default(), true);
            } else if sheet.stepped_back().is_some() && self.step_back_taken {
                rung = rung.saturating_sub(1);
                (sheet, moved) = (Sheet::default(), true);
            } else if sheet.ended() {
                sheet = Sheet::default();
            }
            if let Some(look) = LOOKS.iter().position(|&look| look == n + 1) {
                record.quantity(look, (distance(rung) - self.even_at) / RUNG);
                record.quantity(look + LOOKS.len(), ladder::chance(distance(rung), spread)?);
            }
        }
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        let strictness = match self.rules.strictness() {
            Strictness::Usual => "α .10",
            Strictness::Strict => "α .05",
        };
        let advice = if self.step_back_taken { "steps back when told" } else { "never steps back" };
        let who = format!(
            "{strictness}, even at {} diamonds, day form {}, {advice}",
            self.even_at,
            if self.day_form == 0.0 { "none".to_owned() } else { format!("{:.2}", self.day_form) }
        );
        let mut figures = Vec::new();
        for (look, attempts) in LOOKS.iter().enumerate() {
            let offsets = tally.column(look);
            let mut add = |what: &str, estimate| {
                let name = format!("{who}: after {attempts} attempts, {what}");
                figures.push(Figure::new(SECTION, name, Kind::Quantity, estimate));
            };
            add("mean", offsets.mean(MILLION));
            add("nine in ten below", offsets.quantile_of(0.9, MILLION));
            let chance = tally.column(look + LOOKS.len()).mean(MILLION);
            let name = format!("{who}: after {attempts} attempts, true chance at the frontier");
            figures.push(Figure::share(SECTION, name, chance));
        }
        figures
    }
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) -> Result<(), StatsError> {
    for even_at in [2.0, 3.75] {
        for day_form in [0.0, 0.06, 0.12] {
            for step_back_taken in [true, false] {
                let usual = Ratchet::new(Strictness::Usual, even_at, day_form, step_back_taken)?;
                all.push(Box::new(usual));
            }
        }
    }
    all.push(Box::new(Ratchet::new(Strictness::Strict, 3.75, 0.06, true)?));
    Ok(())
}
