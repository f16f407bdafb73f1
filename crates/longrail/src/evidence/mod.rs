//! Commands about made and missed, over `longrail-stats`.
//!
//! **Knows** how counts are typed, and how numbers are said in words and as JSON.
//! **Does not know** a method: every figure comes from the statistics.
//!
//! One command, one file; `typed.rs` and `entries.rs` read what was typed, `words.rs` says numbers, `../page.rs` lays them out.

pub(crate) mod compare;
pub(crate) mod counts;
pub(crate) mod entries;
pub(crate) mod proof;
pub(crate) mod race;
pub(crate) mod rate;
pub(crate) mod typed;
mod words;
