//! The domain of practice.
//!
//! **Knows** table cards, players, drills and their ladders, and what the record advises.
//! **Does not know** storage, clocks, network, pictures, or any operating system.
//!
//! Reading order: [`card`] (a table), [`player`] (who plays on it), [`drill`] (what to play),
//! [`ladder`] (on which rung), [`advice`] (what the record says).

pub mod advice;
pub mod card;
pub mod drill;
pub mod field;
pub mod ladder;
pub mod player;
