//! Scoring at the table: a full screen on which one key is one attempt.
//!
//! **Knows** keys, the layout of the screen, and how a terminal is opened and given back.
//! **Does not know** what an attempt leads to: a [`Desk`] takes every press and says what is shown.
//!
//! `view.rs` is what passes between the screen and its desk. `keys.rs` reads one key, `entry.rs` keeps what is being
//! typed, `screen.rs` says what keys mean at the moment. `draw.rs` lays the screen out, with figures from `big.rs`
//! and lines from `wrap.rs`. `terminal.rs` is the only one with input and output.
//!
//! The screen uses no colour: bold, dim and the shape of the marks say all, on dark and on light terminals, and where
//! `NO_COLOR` is set.

mod big;
mod draw;
mod entry;
mod keys;
mod screen;
mod terminal;
#[cfg(test)]
mod tests;
mod view;
mod wrap;

pub(crate) use terminal::run;
pub(crate) use view::{Desk, Flow, Mark, Press, View};
