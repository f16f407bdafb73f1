//! Calibration: is the tool right as often as it says?
//!
//! **Knows** simulated players whose truth is known, the statistics under test, published figures to hold them against,
//! and how to count; and the record that such a player would leave in years of practice ([`history`]).
//! **Does not know** real players, files, clocks, threads, or how figures are shown.
//!
//! A [`Plan`] is a list of [`Scenario`]s cut into units of work. A unit is a pure function of plan and number, and its
//! [`Tally`] holds whole numbers only, so that tallies may be added in any order and on any number of threads and
//! still give the same figures to the last bit. Every run draws from a stream named by seed, scenario and number of
//! the run: any single player can be called up again.

mod figure;
pub mod history;
mod plan;
pub mod players;
mod scenario;
pub mod scenarios;
mod tally;

pub use figure::{Agreement, Figure, Kind, Reference};
pub use plan::{Done, Plan, Results, SHORT};
pub use scenario::{Fault, Record, Scenario};
pub use tally::{Counts, Estimate, Tally};
