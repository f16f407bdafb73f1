//! The statements, for SQLite.

/// The engine.
pub(crate) type Db = sqlx::Sqlite;

/// A transaction that will write takes the lock at once: one that first reads may be refused in the middle.
const BEGIN: &str = "BEGIN IMMEDIATE";

// One text for both engines; what differs is the types, which the compiler checks once for each.
#[path = "statements.rs"]
mod statements;

pub(crate) use statements::{check, device, erase, merge, players, read};
