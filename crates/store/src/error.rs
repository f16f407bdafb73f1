//! What can go wrong with a store, and what to do about it.

use longrail_practice::event::EventError;
use longrail_practice::id::{EventId, PlayerId};
use sqlx::migrate::MigrateError;
use std::path::PathBuf;
use thiserror::Error;

/// Why a store could not do what was asked. Nothing was changed then, unless it says so.
#[derive(Debug, Error)]
#[non_exhaustive]
pub enum StoreError {
    /// Another program writes, and did not finish in time.
    #[error("{0} is busy: another program writes in it; try again, or close that program")]
    Busy(String),
    /// The file is no database any more.
    #[error("{0} is damaged or is no record; nothing was changed. Rescue what can be read into a new file")]
    Damaged(String),
    /// Writing is not allowed.
    #[error("{0} cannot be written: make the file and its folder writable, or choose another place")]
    ReadOnly(String),
    /// The disk is full.
    #[error("{0} cannot grow: the disk is full; free some space and try again")]
    Full(String),
    /// Reading or writing failed below the engine.
    #[error(
        "{place} could not be read or written ({why}): the disk may be full or failing, a limit on the size of files \
         reached, or the place no longer there; see to that and try again. What was noted before is kept"
    )]
    Io {
        /// The file or server.
        place: String,
        /// What the system says.
        why: String,
    },
    /// The place cannot be opened.
    #[error("{place} cannot be opened: {why}. Is it the right place, and may you read and write there?")]
    Closed {
        /// The file or server.
        place: String,
        /// What the system says.
        why: String,
    },
    /// Written by a newer program.
    #[error("{0} was written by a newer version of this program; use that version")]
    Newer(String),
    /// Rescue never writes over a file.
    #[error("{} is there already: choose a new file", .0.display())]
    Exists(PathBuf),
    /// Not the address of a store.
    #[error("`{0}` is no address of a store: give a file, or a URL that begins with `postgres://`")]
    Address(String),
    /// A line in the store cannot be read.
    #[error("event {place} of player {player} cannot be read: {why}; check the store")]
    Line {
        /// Whose event.
        player: PlayerId,
        /// Its place in order of arrival.
        place: u64,
        /// What is wrong.
        why: EventError,
    },
    /// An event that cannot be written.
    #[error(transparent)]
    Event(#[from] EventError),
    /// An event has a number that no store holds.
    #[error("event {0} has a clock or a number above {max}: its device is at fault", max = i64::MAX)]
    Number(EventId),
    /// Events that were handed out in order are not.
    #[error("event {0} stands where no event can stand: check the store")]
    Order(EventId),
    /// Two events have one identifier.
    #[error("another event is called {0}: nothing was noted; give the new one an identifier of its own")]
    Conflict(EventId),
    /// The record was erased.
    #[error("the record of player {0} was erased: nothing was noted")]
    Erased(PlayerId),
    /// Asked to erase by an event that does not.
    #[error("an event of kind `{0}` erases nobody: `person_erased` does")]
    NoErasure(String),
    /// An erasure among other events that are to be noted all or none.
    #[error("an erasure is noted alone, not among other events: nothing was noted")]
    Mixed,
    /// The record is erased, its bytes are not yet.
    #[error(
        "the record is erased, but {0} is in use by another program and keeps its bytes until then: close that \
         program and erase again"
    )]
    Unpacked(String),
    /// Anything else.
    #[error("{place}: {why}")]
    Engine {
        /// The file or server.
        place: String,
        /// What the engine says.
        why: String,
    },
}

/// Primary result codes of SQLite, <https://www.sqlite.org/rescode.html>; the low byte of an extended code.
mod code {
    pub(super) const BUSY: u32 = 5;
    pub(super) const LOCKED: u32 = 6;
    pub(super) const READONLY: u32 = 8;
    pub(super) const IOERR: u32 = 10;
    pub(super) const CORRUPT: u32 = 11;
    pub(super) const FULL: u32 = 13;
    pub(super) const CANTOPEN: u32 = 14;
    pub(super) const NOTADB: u32 = 26;
}

impl StoreError {
    /// What an error of the engine means for the store at `place`.
    // By value, as `map_err` hands it over.
    #[allow(clippy::needless_pass_by_value)]
    pub(crate) fn of(place: &str, error: sqlx::Error) -> Self {
        let place = place.to_owned();
        let why = match &error {
            sqlx::Error::Database(database) => {
                // PostgreSQL's codes have five characters, SQLite's are numbers.
                let number = database.code().filter(|code| code.len() < 5 || code.parse::<u32>().is_ok());
                match number.and_then(|code| code.parse::<u32>().ok()).map(|code| code & 0xFF) {
                    Some(code::BUSY | code::LOCKED) => return Self::Busy(place),
                    Some(code::READONLY) => return Self::ReadOnly(place),
                    Some(code::CORRUPT | code::NOTADB) => return Self::Damaged(place),
                    Some(code::FULL) => return Self::Full(place),
                    Some(code::CANTOPEN) => {
                        return Self::Closed { place, why: database.message().to_owned() };
                    }
                    Some(code::IOERR) => return Self::Io { place, why: database.message().to_owned() },
                    _ => database.message().to_owned(),
                }
            }
            sqlx::Error::Io(error) => return Self::Closed { place, why: error.to_string() },
            sqlx::Error::PoolTimedOut => return Self::Busy(place),
            other => other.to_string(),
        };
        Self::Engine { place, why }
    }

    /// What an error of a migration means.
    pub(crate) fn migrating(place: &str, error: MigrateError) -> Self {
        match error {
            MigrateError::VersionMissing(_)
            | MigrateError::VersionMismatch(_)
            | MigrateError::VersionTooNew(..) => Self::Newer(place.to_owned()),
            MigrateError::Execute(error) | MigrateError::ExecuteMigration(error, _) => Self::of(place, error),
            other => Self::Engine { place: place.to_owned(), why: other.to_string() },
        }
    }
}
