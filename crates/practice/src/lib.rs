//! The domain of practice.
//!
//! **Knows** table cards, players, drills and their ladders, and what the record advises; sessions, sets and attempts as
//! events, their one order, their merging, and the state that follows from them.
//! **Does not know** storage, clocks, network, pictures, or any operating system: time and randomness are passed in.
//!
//! Reading order: [`card`] (a table), [`player`] (who plays on it), [`drill`] (what to play), [`constraints`] (what makes
//! it harder), [`ladder`] (on which rung), [`form`] (what the stroke is now), [`advice`] (what the record says), [`guide`] (all of
//! these asked of one record); then the record itself: [`id`], [`clock`], [`event`] (one fact), [`log`] (all facts, in one order), [`state`] (what follows),
//! [`desk`] (what people do, turned into events).

pub mod advice;
pub mod card;
pub mod clock;
pub mod constraints;
pub mod desk;
pub mod drill;
pub mod event;
pub mod field;
pub mod form;
pub mod guide;
pub mod id;
pub mod ladder;
pub mod log;
pub mod measure;
pub mod player;
pub mod state;
