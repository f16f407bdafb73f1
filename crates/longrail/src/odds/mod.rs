//! Commands about odds and hits, over `longrail-stroke`.
//!
//! **Knows** the file that poses a goal, and how odds are said in words and as JSON.
//! **Does not know** a method.
//!
//! One command, one file; `posed.rs` reads the file, `attempts.rs` what was tried, `say.rs` says what they
//! all say, `drawing.rs` draws a hit with what it is for.

mod attempts;
pub(crate) mod chance;
mod day;
pub(crate) mod drawing;
mod elsewhere;
pub(crate) mod hits;
pub(crate) mod infer;
mod inferred;
pub(crate) mod ladder;
pub(crate) mod map;
mod map_text;
pub(crate) mod placement;
pub(crate) mod posed;
pub(crate) mod price;
pub(crate) mod rails;
mod rungs;
pub(crate) mod say;
mod workers;
