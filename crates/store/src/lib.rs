//! The event log on SQLite (one file, the default) and PostgreSQL (by URL).
//!
//! **Knows** how events are kept safe: transactions, places in order of arrival, erasing, checking, rescuing.
//! **Does not know** what events mean, beyond their heads and that one kind erases a person.
//!
//! [`SqlStore::open`] takes a file or a URL; [`EventStore`] is what can be done with it. An event whose [`append`] has
//! returned is on the disk: it survives the end of the program, and of the power, the next moment. [`Record`] is one
//! player's events with what follows from them, opened from the last snapshot that was kept.
//!
//! [`append`]: EventStore::append

mod error;
mod known;
mod on_postgres;
mod on_sqlite;
mod open;
mod packed;
mod pages;
mod record;
mod rescue;
mod row;
mod statement;

pub use error::StoreError;
pub use open::SqlStore;
pub use record::{Holding, Record};
pub use rescue::{Rescued, rescue};

use longrail_practice::clock::{Position, Stamp};
use longrail_practice::event::Event;
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use longrail_practice::log::{Merged, Snapshot};
use std::collections::BTreeSet;
use std::future::Future;

/// Events of one player, in order of arrival.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Page {
    /// The events, each with its place. Places rise, and may leave gaps.
    pub events: Vec<(u64, Event)>,
    /// The place of the player's latest event: what to read after if the page holds all.
    pub head: u64,
    /// How often an event of the record gave way to another one of its identifier, which no sound device causes. Whoever
    /// has read events while it was less may hold one that has gone, and reads all anew.
    pub replaced: u64,
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

    /// A player's events behind a position in the one order, in that order, each with its place in order of arrival: some
    /// `limit` of them, or a few more; none only if there are none.
    ///
    /// # Errors
    /// As [`Self::read`].
    fn since(
        &self,
        player: PlayerId,
        after: Option<Position>,
        limit: u32,
    ) -> impl Future<Output = Result<Vec<(u64, Event)>, StoreError>> + Send;

    /// What the corrections of a player's record name, as far as these stand behind a position in the order, or in the same
    /// millisecond of its clock.
    ///
    /// # Errors
    /// As [`Self::read`].
    fn corrected(
        &self,
        player: PlayerId,
        after: Option<Position>,
    ) -> impl Future<Output = Result<BTreeSet<EventId>, StoreError>> + Send;

    /// The latest snapshot that is kept of a record. One that an event has reached back before is not kept any more.
    ///
    /// # Errors
    /// If the store fails.
    fn kept(&self, player: PlayerId) -> impl Future<Output = Result<Option<String>, StoreError>> + Send;

    /// Keeps a snapshot of a record that was read up to the place `head`, and drops older ones that stand close together.
    /// Says whether it was kept: not if events have come in meanwhile.
    ///
    /// # Errors
    /// If the store fails.
    fn keep(
        &self,
        player: PlayerId,
        head: u64,
        snapshot: &Snapshot,
    ) -> impl Future<Output = Result<bool, StoreError>> + Send;

    /// The result of a computation that was kept under a key.
    ///
    /// # Errors
    /// If the store fails.
    fn computed(&self, key: &str) -> impl Future<Output = Result<Option<String>, StoreError>> + Send;

    /// Keeps the result of a computation under a key that says all it depends on.
    ///
    /// # Errors
    /// If the store fails.
    fn keep_computed(&self, key: &str, result: &str) -> impl Future<Output = Result<(), StoreError>> + Send;

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
