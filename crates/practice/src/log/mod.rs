//! All facts, and their merging.
//!
//! A log is a set of events: merging is union, so it does not matter in what order, how often, or by which way they
//! arrive. What follows from them is read in the one order of [`Position`](crate::clock::Position).
//!
//! ```
//! # use longrail_practice::{clock::Clock, event::*, id::*, log::Log};
//! # fn noted(device: u128, wall: u64, minutes: u32) -> Event {
//! #     let (clock, _) = Clock::default().tick(wall);
//! #     let player = PlayerId::from_bits(1);
//! #     let head = Head { id: EventId::new(wall, device), player, device: DeviceId::from_bits(device),
//! #         author: player, clock, sequence: 1, wall: Wall { ms: wall, offset_min: 0 } };
//! #     Event::new(head, Payload::Study(Study { minutes, line: String::new() }))
//! # }
//! let (on_the_phone, on_the_tablet) = (noted(1, 1_000, 20), noted(2, 2_000, 30));
//! let (mut phone, mut tablet) = (Log::default(), Log::default());
//! phone.insert(on_the_phone.clone());
//! tablet.insert(on_the_tablet.clone());
//! // Each sends what it has; sending it twice changes nothing.
//! phone.merge([on_the_tablet.clone(), on_the_tablet]);
//! tablet.merge([on_the_phone]);
//! assert_eq!(phone, tablet);
//! ```

mod history;
mod snapshot;

pub use history::{History, TooEarly};
pub use snapshot::{Snapshot, spared};

use crate::event::{Event, Payload};
use crate::id::PlayerId;
use crate::state::State;
use std::collections::BTreeMap;

/// What became of an event that was put in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Inserted {
    /// It is new.
    New,
    /// It was there already.
    Known,
    /// Its player's record was erased, before or by this very event; it is not kept.
    Erased,
    /// Another event has its identifier, which no sound device causes. Every log keeps the same one of the two.
    Conflict,
}

/// What became of several events.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Merged {
    /// New ones.
    pub new: usize,
    /// Those that were there already.
    pub known: usize,
    /// Those of erased records.
    pub erased: usize,
    /// Those whose identifier another event has.
    pub conflicts: usize,
}

impl Merged {
    const fn note(&mut self, inserted: Inserted) {
        match inserted {
            Inserted::New => self.new += 1,
            Inserted::Known => self.known += 1,
            Inserted::Erased => self.erased += 1,
            Inserted::Conflict => self.conflicts += 1,
        }
    }
}

/// The events of any number of players.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    players: BTreeMap<PlayerId, History>,
    erased: BTreeMap<PlayerId, Event>,
}

impl Log {
    /// Puts one event in.
    pub fn insert(&mut self, event: Event) -> Inserted {
        let player = event.head.player;
        let inserted = self.add(event);
        self.players.entry(player).and_modify(History::project);
        inserted
    }

    /// Puts several events in, in any order. Much quicker than one by one if they come before what is there.
    pub fn merge(&mut self, events: impl IntoIterator<Item = Event>) -> Merged {
        let mut merged = Merged::default();
        for event in events {
            merged.note(self.add(event));
        }
        self.players.values_mut().for_each(History::project);
        merged
    }

    fn add(&mut self, event: Event) -> Inserted {
        let player = event.head.player;
        if matches!(event.payload(), Some(Payload::PersonErased(_))) {
            self.players.remove(&player);
            // Erased twice, on two devices: every log keeps the earlier.
            let kept = self.erased.entry(player).or_insert_with(|| event.clone());
            if event.head.position() < kept.head.position() {
                *kept = event;
            }
            return Inserted::Erased;
        }
        if self.erased.contains_key(&player) {
            return Inserted::Erased;
        }
        self.players.entry(player).or_default().add(event)
    }

    /// The record of a player, if there is one.
    pub fn history(&self, player: PlayerId) -> Option<&History> {
        self.players.get(&player)
    }

    /// What follows from a player's record.
    pub fn state(&self, player: PlayerId) -> Option<&State> {
        self.players.get(&player).map(History::state)
    }

    /// The players who have a record.
    pub fn players(&self) -> impl Iterator<Item = PlayerId> {
        self.players.keys().copied()
    }

    /// What is left of erased records: the event that erased each.
    pub fn tombstones(&self) -> impl Iterator<Item = &Event> {
        self.erased.values()
    }

    /// Every event, tombstones first, then player by player in order.
    pub fn events(&self) -> impl Iterator<Item = &Event> {
        self.erased.values().chain(self.players.values().flat_map(History::events))
    }
}
