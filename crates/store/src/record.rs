//! One player's events with what follows from them.

use crate::{EventStore, StoreError};
use longrail_practice::event::Event;
use longrail_practice::id::PlayerId;
use longrail_practice::log::{History, Snapshot};
use longrail_practice::state::State;
use std::collections::VecDeque;

/// Events that are held, the latest ones: undoing within them needs nothing read anew. An assumption: more than an evening's
/// last sets.
const HELD: usize = 512;
/// Events read at once.
const PAGE: u32 = 4_096;
/// Events behind the last snapshot after which a new one is kept. An assumption: some hundredths of a second of work.
const APART: u64 = 4_096;

/// A player's record, open: its state follows what is appended. However long the record is, only its latest events are held.
#[derive(Debug)]
pub struct Record<S> {
    store: S,
    player: PlayerId,
    history: History,
    /// The place up to which it was read.
    head: u64,
    /// The event that erased the record, if it was.
    tombstone: Option<Event>,
}

impl<S: EventStore> Record<S> {
    /// Opens a record, from the last snapshot that is kept, and keeps a new one if that lies far back. A player without
    /// events has an empty one.
    ///
    /// # Errors
    /// If the store fails, or a line in it cannot be read.
    pub async fn open(store: S, player: PlayerId) -> Result<Self, StoreError> {
        let mut record = Self { store, player, history: History::default(), head: 0, tombstone: None };
        record.reload().await?;
        Ok(record)
    }

    async fn reload(&mut self) -> Result<(), StoreError> {
        let Self { store, player, .. } = self;
        // The head first: what comes in while the rest is read is read again by `refresh`.
        let page = store.read(*player, u64::MAX, 0).await?;
        let kept = store.kept(*player).await?.and_then(|text| Snapshot::decode(&text));
        let mut base = kept.unwrap_or_default();
        let before = base.events;
        let mut corrected = base.corrected().clone();
        corrected.extend(store.corrected(*player, base.last).await?);
        let mut waiting: VecDeque<Event> = VecDeque::new();
        let mut last = base.last;
        loop {
            let events = store.since(*player, last, PAGE).await?;
            let Some(end) = events.last() else { break };
            last = Some(end.head.position());
            waiting.extend(events);
            while waiting.len() > HELD
                && let Some(event) = waiting.pop_front()
            {
                base.take(&event, &corrected);
            }
        }
        if base.events - before >= APART {
            store.keep(*player, page.head, &base).await?;
        }
        self.history = History::resume(base, corrected);
        self.history.extend(waiting.into()).map_err(|why| StoreError::Order(why.0))?;
        self.head = page.head;
        self.tombstone = page.tombstone;
        Ok(())
    }

    /// Takes in what other programs have written.
    ///
    /// # Errors
    /// As [`Self::open`].
    pub async fn refresh(&mut self) -> Result<(), StoreError> {
        loop {
            let page = self.store.read(self.player, self.head, PAGE).await?;
            let Some((place, _)) = page.events.last() else { return Ok(()) };
            self.head = *place;
            let events = page.events.into_iter().map(|(_, event)| event).collect();
            if self.history.extend(events).is_err() {
                return self.reload().await;
            }
        }
    }

    /// Notes new events, all or none, and what follows from them.
    ///
    /// # Errors
    /// As [`EventStore::append`]; nothing was noted then.
    pub async fn append(&mut self, events: &[Event]) -> Result<(), StoreError> {
        self.store.append(events).await?;
        self.refresh().await
    }

    /// What follows from the record.
    pub const fn state(&self) -> &State {
        self.history.state()
    }

    /// The latest events.
    pub const fn history(&self) -> &History {
        &self.history
    }

    /// Whose record it is.
    pub const fn player(&self) -> PlayerId {
        self.player
    }

    /// The event that erased the record, if it was.
    pub const fn tombstone(&self) -> Option<&Event> {
        self.tombstone.as_ref()
    }

    /// The store.
    pub const fn store(&self) -> &S {
        &self.store
    }
}
