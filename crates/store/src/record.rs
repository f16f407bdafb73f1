//! One player's events with what follows from them.

use crate::{EventStore, Page, StoreError};
use longrail_practice::event::Event;
use longrail_practice::id::PlayerId;
use longrail_practice::log::{History, Snapshot};
use longrail_practice::state::State;
use std::collections::VecDeque;

/// How much of a record is held, and how often a snapshot of it is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Holding {
    /// Events that are held, the latest ones: undoing within them needs nothing read anew.
    pub events: usize,
    /// Events read at once, 1 or more.
    pub page: u32,
    /// Events behind the last snapshot after which a new one is kept.
    pub apart: u64,
}

impl Default for Holding {
    /// Assumptions: more events than an evening's last sets, and snapshots some hundredths of a second of work apart.
    fn default() -> Self {
        Self { events: 512, page: 4_096, apart: 4_096 }
    }
}

/// A player's record, open: its state follows what is appended. However long the record is, only its latest events are held.
#[derive(Debug)]
pub struct Record<S> {
    store: S,
    player: PlayerId,
    holding: Holding,
    history: History,
    /// The place up to which it was read.
    head: u64,
    /// What [`Page::replaced`] was then.
    replaced: u64,
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
        Self::open_holding(store, player, Holding::default()).await
    }

    /// Opens a record of which another part is held.
    ///
    /// # Errors
    /// As [`Self::open`].
    pub async fn open_holding(store: S, player: PlayerId, holding: Holding) -> Result<Self, StoreError> {
        let history = History::default();
        let mut record = Self { store, player, holding, history, head: 0, replaced: 0, tombstone: None };
        record.load().await?;
        record.refresh().await?;
        Ok(record)
    }

    /// Works the record out up to the present head; what comes in meanwhile is left to [`Self::refresh`].
    async fn load(&mut self) -> Result<(), StoreError> {
        let Self { store, player, holding, .. } = self;
        let page = store.read(*player, u64::MAX, 0).await?;
        let kept = store.kept(*player).await?.and_then(|text| Snapshot::decode(&text));
        let mut base = kept.unwrap_or_default();
        let before = base.events;
        let mut corrected = base.corrected().clone();
        corrected.extend(store.corrected(*player, base.last).await?);
        let mut waiting: VecDeque<Event> = VecDeque::new();
        let mut last = base.last;
        loop {
            let events = store.since(*player, last, holding.page).await?;
            let Some((_, end)) = events.last() else { break };
            last = Some(end.head.position());
            // An event behind the head may be taken back by one that was not among the corrections yet.
            waiting
                .extend(events.into_iter().filter(|(place, _)| *place <= page.head).map(|(_, event)| event));
            while waiting.len() > holding.events
                && let Some(event) = waiting.pop_front()
            {
                base.take(&event, &corrected);
            }
        }
        if base.events - before >= holding.apart {
            keep(store, *player, page.head, &base).await?;
        }
        self.history = History::resume(base, corrected);
        self.history.extend(waiting.into()).map_err(|why| StoreError::Order(why.0))?;
        self.head = page.head;
        self.replaced = page.replaced;
        self.tombstone = page.tombstone;
        Ok(())
    }

    /// Takes in what other programs have written.
    ///
    /// # Errors
    /// As [`Self::open`].
    pub async fn refresh(&mut self) -> Result<(), StoreError> {
        loop {
            let page = self.store.read(self.player, self.head, self.holding.page).await?;
            if self.is_void(&page) {
                self.load().await?;
                continue;
            }
            let Some((place, _)) = page.events.last() else { return Ok(()) };
            self.head = *place;
            let events = page.events.into_iter().map(|(_, event)| event).collect();
            if self.history.extend(events).is_err() {
                self.load().await?;
            }
        }
    }

    /// Has something gone of what was read?
    fn is_void(&self, page: &Page) -> bool {
        page.replaced != self.replaced || page.tombstone != self.tombstone
    }

    /// Notes new events, all or none, and what follows from them.
    ///
    /// # Errors
    /// As [`EventStore::append`] and [`Self::open`]. Appending the same events again does no harm: those that were noted
    /// are passed over.
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

/// Keeps a snapshot where that can be done: a record in a place that cannot be written, or is full, can be read without.
async fn keep(
    store: &impl EventStore,
    player: PlayerId,
    head: u64,
    snapshot: &Snapshot,
) -> Result<(), StoreError> {
    use StoreError::{Busy, Full, Io, ReadOnly};
    match store.keep(player, head, snapshot).await {
        Ok(_) | Err(Busy(_) | Full(_) | Io { .. } | ReadOnly(_)) => Ok(()),
        Err(error) => Err(error),
    }
}
