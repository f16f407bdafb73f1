//! What can be wrong with a question about a stroke, said so that the person can mend it.

use longrail_physics::ShotError;
use thiserror::Error;

/// Why a question cannot be answered.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum StrokeError {
    /// A number outside its range, or not a number.
    #[error("{field} is {value}; it must be {least} to {most} {unit}")]
    OutOfRange {
        /// Which field.
        field: &'static str,
        /// What was given.
        value: f64,
        /// The least that is taken.
        least: f64,
        /// The most.
        most: f64,
        /// Unit, or what it is a share of.
        unit: &'static str,
    },
    /// A goal that asks for nothing.
    #[error("the goal asks for nothing; name a ball to pot or a place for the cue ball")]
    EmptyGoal,
    /// A goal, a ladder or a question names a ball which is not there.
    #[error("ball {name:?} is named, and the layout has {known}")]
    NoSuchBall {
        /// The name.
        name: String,
        /// The balls there are.
        known: String,
    },
    /// The goal is about the cue ball, and there is none.
    #[error("the layout has no cue ball; name one ball \"cue\"")]
    NoCueBall,
    /// A polygon that is none.
    #[error("a zone needs at least three corners; this one has {corners}")]
    FlatZone {
        /// Corners given.
        corners: usize,
    },
    /// A smaller zone is asked for, and there is none.
    #[error(
        "the goal has no zone or distance that could be smaller; leave the smaller zone out, or take a goal with a place for the cue ball"
    )]
    NothingSmaller,
    /// A ladder on which every rung is the same.
    #[error("the ladder moves no ball; give its \"moves\" an along or across other than 0")]
    StillLadder,
    /// The engine refused or gave up.
    #[error(transparent)]
    Shot(#[from] ShotError),
    /// No hit reaches the goal; `why` says what fails and by how much.
    #[error("no hit within the player's limits reaches the goal: {why}")]
    OutOfReach {
        /// What fails, and by how much.
        why: String,
    },
}

/// Checks that `value` is a number from `least` to `most`.
pub(crate) fn check(
    field: &'static str,
    value: f64,
    (least, most): (f64, f64),
    unit: &'static str,
) -> Result<(), StrokeError> {
    // Written so that what is not a number fails, too.
    if value >= least && value <= most {
        return Ok(());
    }
    Err(StrokeError::OutOfRange { field, value, least, most, unit })
}
