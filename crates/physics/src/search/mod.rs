//! The search for the next contact: with balls, noses, jaws, facings and drop edges.

pub(crate) mod balls;
pub(crate) mod bed;
pub(crate) mod flight;

use crate::table::{PocketId, Rail};

/// What a ball meets by itself next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Meeting {
    /// Nothing: the phase runs out.
    RunOut,
    /// A nose.
    Nose(Rail),
    /// A jaw point of a pocket, 0 or 1.
    Jaw(PocketId, usize),
    /// A facing of a pocket, 0 or 1.
    Facing(PocketId, usize),
    /// The drop edge of a pocket.
    Drop(PocketId),
    /// The bed, after a flight.
    Bed,
    /// The outside.
    Outside,
}

/// The earlier of two meetings.
#[inline]
pub(crate) fn sooner(best: &mut (f64, Meeting), time: Option<f64>, meeting: Meeting) {
    if let Some(time) = time
        && time < best.0
    {
        *best = (time, meeting);
    }
}
