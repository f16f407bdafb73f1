//! Commands about odds and hits, over `longrail-stroke`.
//!
//! **Knows** the file that poses a goal, and how odds are said in words and as JSON.
//! **Does not know** a method.
//!
//! One command, one file; `posed.rs` reads the file, `say.rs` says what they all say.

pub(crate) mod chance;
pub(crate) mod hits;
pub(crate) mod infer;
pub(crate) mod ladder;
mod posed;
pub(crate) mod price;
mod say;
