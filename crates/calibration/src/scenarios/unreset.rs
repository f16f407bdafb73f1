//! One count that is never begun anew, up to 400 attempts: the rule of the study without its sheets (1.2, rows "no reset"),
//! behind its figures for the rate seen at the moment of promotion (1.5). The tool does not judge so; it is here
//! because the study can be checked by it.

use super::FLATTERY;
use crate::scenario::{Fault, MILLION, Record, Scenario};
use crate::{Figure, Reference, Tally};
use longrail_math::random::Stream;
use longrail_stats::StatsError;
use longrail_stats::promotion::{Alpha, Boundary, Evidence};

const SECTION: &str = "Promotion without new sheets (not the tool's rule), α .10, within 400";
const HORIZON: u32 = 400;
const NEVER: i64 = i64::MAX;
/// Players of the study's simulations in 1.2.
const STUDY_PLAYERS: f64 = 20_000.0;

const PROMOTED_AT: usize = 0;
const RATE: usize = 1;

#[derive(Debug)]
struct Unreset {
    boundary: Boundary,
    chance: f64,
    /// Share promoted, published.
    promoted: Option<f64>,
    /// Median attempts, published.
    median: Option<f64>,
    /// Mean rate at promotion, published.
    rate: Option<f64>,
}

impl Scenario for Unreset {
    fn key(&self) -> String {
        format!("unreset/{}", self.chance)
    }

    fn runs(&self) -> u64 {
        100_000
    }

    fn cost_us(&self) -> u64 {
        4
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let mut made = 0;
        for tried in 1..=HORIZON {
            made += u32::from(stream.unit() < self.chance);
            if self.boundary.reached(made, tried - made) {
                record.number(PROMOTED_AT, i64::from(tried));
                record.quantity(RATE, f64::from(made) / f64::from(tried));
                return Ok(());
            }
        }
        record.number(PROMOTED_AT, NEVER);
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        let mut figures = Vec::new();
        let at = tally.column(PROMOTED_AT);
        let p = self.chance;
        if let Some(published) = self.promoted {
            let share = at.share_up_to(i64::from(HORIZON));
            figures.push(
                Figure::share(SECTION, format!("p = {p:.2}, promoted"), share).beside(Reference::simulated(
                    "study 1.2",
                    published,
                    3,
                    STUDY_PLAYERS,
                )),
            );
        }
        if let Some(published) = self.median {
            let reference = Reference::median("study 1.2", published, STUDY_PLAYERS);
            let name = format!("p = {p:.2}, median attempts");
            figures.push(Figure::median(SECTION, name, &at, i64::from(HORIZON), Some(reference)));
        }
        if let Some(published) = self.rate {
            let ours = tally.column(RATE).mean(MILLION);
            // The study's error is ours at the number of players that it promoted.
            let theirs = STUDY_PLAYERS * at.share_up_to(i64::from(HORIZON)).value.unwrap_or(0.0);
            let error = ours.error * (crate::tally::wide(ours.runs) / theirs.max(1.0)).sqrt();
            figures.push(
                Figure::share(
                    FLATTERY,
                    format!("p = {p:.2}, one count without new sheets, within 400"),
                    ours,
                )
                .beside(Reference::mean("study 1.5", published, 3, error)),
            );
        }
        figures
    }
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) -> Result<(), StatsError> {
    let boundary = Boundary::new(Evidence::above(0.5)?, Alpha::new(0.10)?, HORIZON)?;
    // Study 1.2, row "3-point, alpha .10, no reset", and 1.5.
    for (chance, promoted, median, rate) in [
        (0.40, Some(0.005), None, None),
        (0.45, Some(0.018), None, None),
        (0.50, Some(0.085), None, Some(0.732)),
        (0.55, None, None, Some(0.656)),
        (0.60, None, Some(91.0), Some(0.666)),
        (0.65, None, Some(41.0), None),
        (0.70, None, Some(26.0), Some(0.763)),
        (0.80, None, Some(13.0), None),
    ] {
        all.push(Box::new(Unreset { boundary: boundary.clone(), chance, promoted, median, rate }));
    }
    Ok(())
}
