//! Commands about odds and hits, over `longrail-stroke`.
//!
//! **Knows** the file that poses a goal, and how odds are said in words and as JSON.
//! **Does not know** a method.
//!
//! One command, one file; `posed.rs` reads the file, `say.rs` says what they all say,
//! `drawing.rs` shows what a goal is on the table.

pub(crate) mod chance;
mod drawing;
mod elsewhere;
pub(crate) mod hits;
pub(crate) mod infer;
pub(crate) mod ladder;
pub(crate) mod map;
mod map_text;
mod posed;
pub(crate) mod price;
mod rails;
mod say;
mod workers;
