//! What a practice record says.
//!
//! **Knows** players, table cards, sessions, sets, attempts; the events that tell of them, their one order, their
//! merging, and the state that follows from them.
//! **Does not know** storage, clocks, network, or any operating system: time and randomness are passed in.
//!
//! Reading order: [`id`], [`clock`], [`event`] (one fact), [`log`] (all facts, in one order), [`state`] (what follows).

pub mod card;
pub mod clock;
pub mod event;
pub mod id;
pub mod log;
pub mod player;
pub mod state;
