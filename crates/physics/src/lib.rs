//! One pool shot, from the strike of the cue to rest.
//!
//! **Knows** tables, cloth, balls, cushions, pockets and the cue's strike.
//! **Does not know** players, odds, statistics, drills, pictures, or any operating system.
//!
//! Frame: x along the table from the head rail's nose, y across from the right long rail's nose as seen from
//! the head end, z up; metres, seconds, kilograms, radians unless a name says otherwise. Reading order:
//! [`table`] and [`conditions`] (data), [`motion`] (between events), [`cue`], [`cushion`] and the impacts (at
//! events), [`Engine`] (from one to the next).

pub mod ball;
pub mod conditions;
pub mod cue;
pub mod cushion;
pub mod digest;
mod engine;
mod error;
mod impact;
#[cfg(feature = "json")]
pub mod json;
mod layout;
pub mod motion;
mod path;
mod search;
pub mod table;
mod world;

pub use ball::Ball;
pub use conditions::Conditions;
pub use cue::{Cue, Stroke};
pub use engine::{End, Engine, Event, Kind, Leg, Log, MOST_EVENTS, Record};
pub use error::ShotError;
pub use layout::Layout;
pub use motion::{Phase, State};
pub use path::{Point, sample};
pub use table::{Table, TableSpec};
pub use world::World;
