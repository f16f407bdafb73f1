//! What can be wrong with a question, said so that the person can mend it.

use thiserror::Error;

/// Why a question cannot be answered.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum StatsError {
    /// More made than tried.
    #[error("{made} made of {tried} tried: made cannot exceed tried")]
    MoreMadeThanTried {
        /// Number made.
        made: u32,
        /// Number tried.
        tried: u32,
    },
    /// A sum of counts that does not fit.
    #[error("the counts add up to more than {most}")]
    TooMany {
        /// The largest number of tries that is taken.
        most: u32,
    },
    /// A number outside the range in which the question has an answer.
    #[error("{name} is {value}; it must be {allowed}")]
    OutOfRange {
        /// Which number.
        name: &'static str,
        /// What was given.
        value: f64,
        /// What is allowed, as it would stand behind "must be".
        allowed: &'static str,
    },
    /// Too few observations.
    #[error("{given} observations are too few for this; it needs {needed}")]
    TooFew {
        /// How many there are.
        given: usize,
        /// How many it takes.
        needed: usize,
    },
    /// Two lists that must be of one length.
    #[error("{name} has {given} entries; it needs {needed}")]
    WrongLength {
        /// Which list.
        name: &'static str,
        /// How many entries it has.
        given: usize,
        /// How many it must have.
        needed: usize,
    },
    /// A rate whose collection a rule ended flatters, and is not compared.
    #[error(
        "{made}/{tried} was collected until a rule stopped it, so it flatters and is not compared; \
         use attempts whose number was fixed beforehand"
    )]
    StoppedByRule {
        /// Number made.
        made: u32,
        /// Number tried.
        tried: u32,
    },
    /// An attempt on a sheet that has ended.
    #[error("this sheet ended at {tried} attempts; start a new one")]
    SheetEnded {
        /// Attempts on the sheet.
        tried: u32,
    },
    /// Too long a warm-up.
    #[error("{given} warm-up attempts in one visit; at most {most} are left out")]
    WarmUpTooLong {
        /// How many would be left out in this visit.
        given: u32,
        /// How many may be.
        most: u32,
    },
    /// A batch of which only a part is warm-up.
    #[error(
        "a batch of {batch} attempts would hold the last {left} of the warm-up; \
         enter the warm-up by itself, since nobody can tell afterwards which of its shots were made"
    )]
    WarmUpSplit {
        /// Attempts in the batch.
        batch: u32,
        /// Warm-up attempts still to come.
        left: u32,
    },
    /// A fit that did not arrive.
    #[error("the fit did not settle within {evaluations} evaluations of the likelihood")]
    NotConverged {
        /// How often the likelihood was evaluated.
        evaluations: usize,
    },
    /// A likelihood that is flat, or has no peak, in some direction.
    #[error("the data do not determine parameter {parameter}: the likelihood has no peak there")]
    NotIdentified {
        /// Index of the parameter, from 0.
        parameter: usize,
    },
}

/// Refuses a number that is not finite or for which `fits` is false.
pub(crate) fn check(
    name: &'static str,
    value: f64,
    allowed: &'static str,
    fits: impl FnOnce(f64) -> bool,
) -> Result<f64, StatsError> {
    if value.is_finite() && fits(value) {
        Ok(value)
    } else {
        Err(StatsError::OutOfRange { name, value, allowed })
    }
}

/// Refuses what is not a chance from 0 to 1.
pub(crate) fn chance(name: &'static str, value: f64) -> Result<f64, StatsError> {
    check(name, value, "from 0 to 1", |v| (0.0..=1.0).contains(&v))
}

/// Refuses what is not strictly between 0 and 1.
pub(crate) fn open_chance(name: &'static str, value: f64) -> Result<f64, StatsError> {
    check(name, value, "greater than 0 and less than 1", |v| v > 0.0 && v < 1.0)
}
