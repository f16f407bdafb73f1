//! The event log on SQLite (one file, the default) and PostgreSQL (by URL).
//!
//! **Knows** how events are kept safe: transactions, places in order of arrival, erasing, checking, rescuing.
//! **Does not know** what events mean, beyond their heads and that one kind erases a person.
//!
//! [`SqlStore::open`] takes a file or a URL; [`EventStore`] is what can be done with it. An event whose [`append`] has
//! returned is on the disk: it survives the end of the program, and of the power, the next moment.
//!
//! [`append`]: EventStore::append

mod error;
mod on_postgres;
mod on_sqlite;
mod open;
mod rescue;

pub use error::StoreError;
pub use open::SqlStore;
pub use rescue::{Rescued, rescue};

use longrail_practice::clock::Stamp;
use longrail_practice::event::Event;
use longrail_practice::id::{DeviceId, PlayerId};
use longrail_practice::log::Merged;
use std::future::Future;

/// Events of one player, in order of arrival.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Page {
    /// The events, each with its place. Places rise, and may leave gaps.
    pub events: Vec<(u64, Event)>,
    /// The place of the player's latest event: what to read after if the page holds all.
    pub head: u64,
    /// The event that erased the record, if it was.
    pub tombstone: Option<Event>,
}

/// Where a device goes on when its program starts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Resume {
    /// The greatest stamp that it wrote.
    pub clock: Stamp,
    /// The greatest number that it gave.
    pub sequence: u64,
}

/// What [`EventStore::check`] found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    /// Players with a record.
    pub players: u64,
    /// Events that were read and are sound.
    pub events: u64,
    /// What is wrong, a line each; empty if nothing is.
    pub faults: Vec<String>,
}

/// What can be done with a store. Any number of programs may do it at once.
pub trait EventStore: Send + Sync {
    /// Notes new events, all or none. Those that are there already are passed over.
    ///
    /// # Errors
    /// If one belongs to an erased record, or has the identifier of another event: nothing was noted then. Or if the
    /// store fails.
    fn append(&self, events: &[Event]) -> impl Future<Output = Result<(), StoreError>> + Send;

    /// Takes in events of another device, in any order, any number of times.
    ///
    /// # Errors
    /// If the store fails; nothing was taken in then.
    fn merge(&self, events: &[Event]) -> impl Future<Output = Result<Merged, StoreError>> + Send;

    /// The events of a player that came after a place, at most `limit`.
    ///
    /// # Errors
    /// If the store fails, or a line in it cannot be read.
    fn read(
        &self,
        player: PlayerId,
        after: u64,
        limit: u32,
    ) -> impl Future<Output = Result<Page, StoreError>> + Send;

    /// Everyone who has, or had, a record.
    ///
    /// # Errors
    /// If the store fails.
    fn players(&self) -> impl Future<Output = Result<Vec<PlayerId>, StoreError>> + Send;

    /// Where a device goes on.
    ///
    /// # Errors
    /// If the store fails.
    fn resume(&self, device: DeviceId) -> impl Future<Output = Result<Resume, StoreError>> + Send;

    /// Erases a person: `erasure` is an event of kind `person_erased`, and all that stays.
    ///
    /// On SQLite the bytes are overwritten and the file is packed. On PostgreSQL the rows are gone for everyone, and
    /// their bytes when the server's own cleaning comes by; its backups are the administrator's.
    ///
    /// # Errors
    /// If the event is of another kind, or the store fails.
    fn erase(&self, erasure: &Event) -> impl Future<Output = Result<(), StoreError>> + Send;

    /// Reads everything and says what is wrong with it.
    ///
    /// # Errors
    /// If the store cannot be read at all.
    fn check(&self) -> impl Future<Output = Result<Report, StoreError>> + Send;
}
