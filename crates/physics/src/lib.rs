//! One pool shot, from the strike of the cue to rest.
//!
//! **Knows** tables, cloth, balls, cushions, pockets and the cue's strike.
//! **Does not know** players, odds, statistics, drills, pictures, or any operating system.

pub mod ball;
pub mod conditions;
pub mod cushion;
mod error;
pub mod table;

pub use error::ShotError;
