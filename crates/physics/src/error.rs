//! What can be wrong with a shot, said so that the person can mend it.

use thiserror::Error;

/// Why a shot is refused, or why the engine gave up on it.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum ShotError {
    /// A quantity is outside the range in which the models mean anything.
    #[error("{field} is {value}{}; it must be from {} to {}{}", after(unit), short(*low), short(*high), after(unit))]
    OutOfRange {
        /// Name of the quantity, as in the JSON contract.
        field: String,
        /// What was given.
        value: f64,
        /// Smallest value allowed.
        low: f64,
        /// Largest value allowed.
        high: f64,
        /// Unit of all three; "" for a plain number.
        unit: &'static str,
    },
    /// A quantity is not a finite number.
    #[error("{field} is not a finite number")]
    NotFinite {
        /// Name of the quantity, as in the JSON contract.
        field: String,
    },
    /// A table size that has no name here.
    #[error("there is no table size {given:?}; the names are {known}")]
    UnknownSize {
        /// What was given.
        given: String,
        /// The names there are, separated by commas.
        known: String,
    },
    /// Parts of the table do not fit each other.
    #[error("the table does not fit together: {reason}")]
    TableDoesNotFit {
        /// Which parts, and what to change.
        reason: String,
    },
    /// A layout without any ball.
    #[error("there is no ball on the table; \"balls\" needs at least one")]
    NoBalls,
    /// More balls than a rack and a cue ball.
    #[error("{given} balls are more than the {most} that the engine takes")]
    TooManyBalls {
        /// How many were given.
        given: usize,
        /// How many are taken.
        most: usize,
    },
    /// Two balls with one name.
    #[error("two balls are called {id:?}; each ball needs an id of its own")]
    SameId {
        /// The name.
        id: String,
    },
    /// A stroke, but nothing to hit.
    #[error("the stroke needs a ball with the id \"cue\"")]
    NoCueBall,
    /// Two balls in one place.
    #[error("balls {first:?} and {second:?} overlap by {overlap_mm:.3} mm; move one")]
    Overlap {
        /// One of them.
        first: String,
        /// The other.
        second: String,
        /// How far the nearer must move, in millimetres.
        overlap_mm: f64,
    },
    /// A ball that is not on the bed.
    #[error("ball {id:?} at x {x_m} m, y {y_m} m {reason}")]
    OffBed {
        /// The ball.
        id: String,
        /// Where its centre is, along the table.
        x_m: f64,
        /// Where its centre is, across the table.
        y_m: f64,
        /// What it is in, and where centres may be.
        reason: String,
    },
    /// The tip would slide off the ball.
    #[error(
        "miscue: the tip is {offset:.3} of the ball's radius from its centre; \
         beyond {limit} it slides off, so aim nearer the middle"
    )]
    Miscue {
        /// Distance of the contact point from the cue's axis through the centre, in radii.
        offset: f64,
        /// The largest that holds.
        limit: f64,
    },
    /// No way to lay a cue there.
    #[error("the cue cannot get there: {reason}")]
    Cueing {
        /// What is in the way, and what would help.
        reason: String,
    },
    /// The integration of a cushion impact did not finish; never seen, and never passed over in silence.
    #[error("the cushion model did not settle after {steps} steps (ball {id:?}, at {t_s:.4} s)")]
    Stalled {
        /// The ball.
        id: String,
        /// When, in seconds after the strike.
        t_s: f64,
        /// Steps spent.
        steps: u32,
    },
    /// More events than any real shot has.
    #[error("the shot has more than {limit} events by {t_s:.4} s; it was stopped")]
    TooManyEvents {
        /// The bound.
        limit: u32,
        /// Time reached, in seconds after the strike.
        t_s: f64,
    },
}

/// A bound as a person would write it: at most six decimals, no zeros behind.
fn short(x: f64) -> String {
    let text = format!("{x:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A unit as it stands behind a number.
fn after(unit: &str) -> String {
    if unit.is_empty() { String::new() } else { format!(" {unit}") }
}

/// Checks that `value` is a finite number from `low` to `high`; `field` names it in the message.
pub(crate) fn check(
    field: &str,
    value: f64,
    low: f64,
    high: f64,
    unit: &'static str,
) -> Result<(), ShotError> {
    if !value.is_finite() {
        return Err(ShotError::NotFinite { field: field.to_owned() });
    }
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(ShotError::OutOfRange { field: field.to_owned(), value, low, high, unit })
    }
}
