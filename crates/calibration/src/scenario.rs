//! What a scenario is.

use crate::{Figure, Tally};
use longrail_math::random::Stream;
use longrail_stats::StatsError;
use longrail_stroke::StrokeError;
use thiserror::Error;

/// Why something could not be simulated: a fault of this crate.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum Fault {
    /// The statistics refused a constant, or what a player did.
    #[error(transparent)]
    Statistics(#[from] StatsError),
    /// The engine or the inference did.
    #[error(transparent)]
    Stroke(#[from] StrokeError),
}

/// One kind of player under one kind of question.
pub trait Scenario: Send + Sync {
    /// A name that is never used twice: it picks the random numbers.
    fn key(&self) -> String;

    /// Runs of the whole calibration.
    fn runs(&self) -> u64;

    /// Rough time of one run in microseconds on an ordinary processor. It settles how runs are cut into units, and
    /// nothing else.
    fn cost_us(&self) -> u64;

    /// One run: one player with the numbers of one stream.
    ///
    /// # Errors
    /// If statistics or engine refuse what the player did: a fault of this crate.
    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault>;

    /// The figures that follow from the tally of any number of runs.
    fn figures(&self, tally: &Tally) -> Vec<Figure>;
}

/// Where a run writes what it saw.
#[derive(Debug)]
pub struct Record<'a>(&'a mut Tally);

impl<'a> Record<'a> {
    /// Writes into a tally.
    pub fn new(tally: &'a mut Tally) -> Self {
        Self(tally)
    }

    /// A whole number in a column.
    pub fn number(&mut self, column: usize, value: i64) {
        self.0.add(column, value);
    }

    /// Yes or no in a column.
    pub fn yes(&mut self, column: usize, yes: bool) {
        self.0.add(column, i64::from(yes));
    }

    /// A quantity in a column, kept in whole multiples of 10⁻⁶.
    pub fn quantity(&mut self, column: usize, value: f64) {
        // Quantities are far below 10⁹.
        #[allow(clippy::cast_possible_truncation)]
        let millionths = (value * MILLION).round() as i64;
        self.0.add(column, millionths);
    }
}

/// What [`Record::quantity`] multiplies by.
pub(crate) const MILLION: f64 = 1e6;
