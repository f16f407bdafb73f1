//! Statistics of made and missed.
//!
//! **Knows** counts of tries, rates and their intervals, comparisons, evidence that stays valid however often it
//! is looked at, races, information, trends, and fits of a likelihood.
//! **Does not know** pool, players, drills, dates, storage, or any operating system.
//!
//! Methods, constants and how they were chosen: the study of progression, whose sections are named where they are used.
//! Reading order: [`Count`] and [`rate`] (one rate), [`change`] (two), [`promotion`] and [`sequence`] (looking all the
//! time), [`race`], [`window`] and [`placement`] (what an attempt tells), [`trend`], [`measured`], [`fit`]; [`special`]
//! is what they stand on.
//!
//! Everything is a pure function of its arguments, and no argument makes it panic: what makes no sense is
//! refused with a [`StatsError`].

pub mod change;
mod count;
mod error;
pub mod fit;
mod interval;
pub mod measured;
pub mod placement;
pub mod promotion;
pub mod race;
pub mod rate;
pub mod sequence;
pub mod special;
pub mod trend;
pub mod window;

pub use count::Count;
pub use error::StatsError;
pub use interval::{Interval, Level};
