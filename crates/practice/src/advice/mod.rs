//! What the record advises: promote, stay, step back, or not decided, each with the numbers it rests on.
//!
//! The rules are those of `longrail_stats::promotion`; here they get their words. A sheet decides promotion, the player decides
//! everything: a step back comes with "stay" beside it.

mod like;
mod lines;
mod outlook;
mod sheet;

pub use like::{CompareError, Label, Recorded, compare};
pub use lines::{Lines, Moved, Set, after_proof, after_work, basis};
pub use outlook::{Outlook, before_proof};
pub use sheet::{judged, range};
