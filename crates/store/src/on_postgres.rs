//! The statements, for PostgreSQL.

/// The engine.
pub(crate) type Db = sqlx::Postgres;

/// What else begins a transaction.
const BEGIN: &str = "BEGIN";

// See on_sqlite.rs.
#[allow(clippy::duplicate_mod)]
#[path = "statements/checking.rs"]
mod checking;
#[allow(clippy::duplicate_mod)]
#[path = "statements/derived.rs"]
mod derived;
#[allow(clippy::duplicate_mod)]
#[path = "statements/names.rs"]
mod names;
#[allow(clippy::duplicate_mod)]
#[path = "statements/reading.rs"]
mod reading;
#[allow(clippy::duplicate_mod)]
#[path = "statements/writing.rs"]
mod writing;

pub(crate) use checking::check;
pub(crate) use derived::{computed, keep, keep_computed, kept};
pub(crate) use reading::{corrected, device, players, read, since};
pub(crate) use writing::{erase, merge};
