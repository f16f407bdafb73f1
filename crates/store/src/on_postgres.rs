//! The statements, for PostgreSQL.

/// The engine.
pub(crate) type Db = sqlx::Postgres;

/// What else begins a transaction.
const BEGIN: &str = "BEGIN";

// See on_sqlite.rs.
#[allow(clippy::duplicate_mod)]
#[path = "statements.rs"]
mod statements;

pub(crate) use statements::{check, device, erase, merge, players, read};
