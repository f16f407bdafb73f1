//! What can be wrong with a table card.

use longrail_physics::ShotError;
use thiserror::Error;

use crate::field::FieldError;

/// Why a card is refused.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum CardError {
    /// A field by itself.
    #[error(transparent)]
    Field(#[from] FieldError),
    /// The parts do not fit each other, or no table is so.
    #[error(transparent)]
    Table(#[from] ShotError),
    /// A cloth that no table has.
    #[error(
        "cloth: {distance_m} m in {seconds} s would be a rolling friction of {friction:.4}; cloths have {least} to \
         {most}, so measure again, from a ball that rolls until it stops by itself"
    )]
    NoCloth {
        /// Distance rolled, in metres.
        distance_m: f64,
        /// Time, in seconds.
        seconds: f64,
        /// What would follow.
        friction: f64,
        /// Least that is taken.
        least: f64,
        /// Most.
        most: f64,
    },
    /// A ball too slow for the way.
    #[error(
        "rails.seconds is {seconds}; a ball on this cloth would stop before the rail: it must be below {most:.2} s"
    )]
    StopsBefore {
        /// What was given.
        seconds: f64,
        /// The longest that a ball can take.
        most: f64,
    },
    /// A rebound that no rail gives.
    #[error(
        "rails.back_m is {back_m}; after such a roll a ball comes back {least:.2} to {most:.2} m: measure again, to the \
         ball's centre, with a ball that rolls without side and meets no other rail"
    )]
    NoRail {
        /// What was given.
        back_m: f64,
        /// From the dullest rail that is taken.
        least: f64,
        /// From the liveliest.
        most: f64,
    },
}
