//! The statements, for SQLite.

/// The engine.
pub(crate) type Db = sqlx::Sqlite;

/// A transaction that will write takes the lock at once: one that first reads may be refused in the middle.
const BEGIN: &str = "BEGIN IMMEDIATE";

// One text for both engines; what differs is the types, which the compiler checks once for each.
#[path = "statements/checking.rs"]
mod checking;
#[path = "statements/derived.rs"]
mod derived;
#[path = "statements/names.rs"]
mod names;
#[path = "statements/reading.rs"]
mod reading;
#[path = "statements/writing.rs"]
mod writing;

pub(crate) use checking::check;
pub(crate) use derived::{computed, keep, keep_computed, kept};
pub(crate) use reading::{corrected, device, players, read, since};
pub(crate) use writing::{erase, merge};
