//! One player's events, and the state that follows from them, kept up to date.
//!
//! An event behind all others is simply applied. One that comes late restarts the state from a snapshot before its
//! place; a correction restarts it before the corrected event, which is then passed over. So the state is always what
//! [`History::rebuilt`] finds from the beginning, at a fraction of the work. A long record is resumed from a snapshot that a
//! store kept, and holds only the events behind it.

use super::snapshot::{Snapshot, spared};
use super::{Inserted, Merged};
use crate::clock::Position;
use crate::event::Event;
use crate::id::EventId;
use crate::state::State;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Bound;
use std::sync::Arc;
use thiserror::Error;

/// Events between snapshots, so about half of it are applied anew when the last tap is undone. An assumption: large
/// enough that the copying of states is rare, small enough that the replay is not felt.
const SPACING: u64 = 256;

/// Something stands before the place from which a record was resumed: it must be resumed from an earlier one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
#[error("event {0} reaches back before the place from which the record was resumed")]
pub struct TooEarly(pub EventId);

/// One player's record.
#[derive(Clone, Debug, Default)]
pub struct History {
    /// What the events led to that are not held.
    base: Snapshot,
    /// What corrections name that are minded in the base.
    minded: BTreeSet<EventId>,
    events: BTreeMap<Position, Arc<Event>>,
    places: BTreeMap<EventId, Position>,
    /// Events that a correction names, whether they have arrived or not.
    corrected: BTreeSet<EventId>,
    now: Snapshot,
    snapshots: Vec<Snapshot>,
    /// The first place from which `now` no longer holds.
    stale: Option<Position>,
}

/// The same events: what follows from them, and how far it was worked out, is no difference.
impl PartialEq for History {
    fn eq(&self, other: &Self) -> bool {
        self.events == other.events && self.base == other.base
    }
}

impl History {
    /// The record that goes on behind a snapshot, in which the corrections that name `corrected` are minded, wherever they
    /// stand; the events before it are not held.
    pub fn resume(base: Snapshot, corrected: BTreeSet<EventId>) -> Self {
        Self { corrected: corrected.clone(), minded: corrected, now: base.clone(), base, ..Self::default() }
    }

    /// Takes in events, in any order.
    ///
    /// # Errors
    /// [`TooEarly`] if one stands before the place from which the record was resumed, or corrects what may stand there. The
    /// record is as it was.
    pub fn extend(&mut self, events: Vec<Event>) -> Result<Merged, TooEarly> {
        if let Some(event) = self.too_early(&events) {
            return Err(TooEarly(event));
        }
        let mut merged = Merged::default();
        for event in events {
            merged.note(self.add(event));
        }
        self.project();
        Ok(merged)
    }

    fn too_early(&self, events: &[Event]) -> Option<EventId> {
        let last = self.base.last?;
        let mut new: BTreeSet<EventId> = BTreeSet::new();
        new.extend(events.iter().map(|event| event.head.id));
        let early = |event: &&Event| {
            event.head.position() <= last
                || event.corrects().is_some_and(|of| {
                    !self.places.contains_key(&of) && !new.contains(&of) && !self.corrected.contains(&of)
                })
        };
        events.iter().find(early).map(|event| event.head.id)
    }

    /// Puts an event in; [`Self::project`] must follow.
    pub(super) fn add(&mut self, event: Event) -> Inserted {
        let place = event.head.position();
        if let Some(&there) = self.places.get(&event.head.id) {
            return self.settle(there, event);
        }
        if let Some(of) = event.corrects() {
            self.corrected.insert(of);
            if let Some(&target) = self.places.get(&of) {
                self.touch(target);
            }
        }
        self.places.insert(event.head.id, place);
        self.events.insert(place, Arc::new(event));
        self.touch(place);
        Inserted::New
    }

    /// Two events of one identifier: equal, or the one with the lesser line stays.
    fn settle(&mut self, there: Position, event: Event) -> Inserted {
        let Some(kept) = self.events.get(&there) else { return Inserted::Known };
        if **kept == event {
            return Inserted::Known;
        }
        let lesser = match (event.encode(), kept.encode()) {
            (Ok(new), Ok(old)) => new < old,
            _ => false,
        };
        if lesser {
            let place = event.head.position();
            self.events.remove(&there);
            self.places.insert(event.head.id, place);
            self.events.insert(place, Arc::new(event));
            // The one that went may have been a correction.
            self.corrected = self.minded.clone();
            self.corrected.extend(self.events.values().filter_map(|event| event.corrects()));
            self.snapshots.clear();
            self.now = self.base.clone();
        }
        Inserted::Conflict
    }

    fn touch(&mut self, place: Position) {
        self.stale = Some(self.stale.map_or(place, |stale| stale.min(place)));
    }

    /// Brings the state up to date.
    pub(super) fn project(&mut self) {
        if let Some(stale) = self.stale.take()
            && self.now.last.is_some_and(|last| stale <= last)
        {
            self.snapshots.retain(|snapshot| snapshot.last < Some(stale));
            self.now = self.snapshots.last().unwrap_or(&self.base).clone();
        }
        let rest = self.now.last.map_or(Bound::Unbounded, Bound::Excluded);
        let end = self.base.events + self.events.len() as u64;
        for event in self.events.range((rest, Bound::Unbounded)).map(|(_, event)| event) {
            self.now.take(event, &self.corrected);
            // On a long way to the end, only those that the thinning would leave.
            let since = self.now.events - self.snapshots.last().unwrap_or(&self.base).events;
            let ahead = end.saturating_sub(self.now.events);
            if since >= SPACING.max(ahead / 2) {
                self.snapshots.push(self.now.clone());
                thin(&mut self.snapshots);
            }
        }
    }

    /// What follows from the record.
    pub const fn state(&self) -> &State {
        &self.now.state
    }

    /// Where the record stands.
    pub const fn now(&self) -> &Snapshot {
        &self.now
    }

    /// What follows from the record, worked out from the first event on that is held.
    pub fn rebuilt(&self) -> State {
        let mut rebuilt = self.base.clone();
        for event in self.events.values() {
            rebuilt.take(event, &self.corrected);
        }
        rebuilt.state
    }

    /// The events in order, as far as they are held.
    pub fn events(&self) -> impl DoubleEndedIterator<Item = &Event> {
        self.events.values().map(AsRef::as_ref)
    }

    /// Whether a correction names this event.
    pub fn is_corrected(&self, id: EventId) -> bool {
        self.corrected.contains(&id)
    }

    /// The event of this identifier.
    pub fn event(&self, id: EventId) -> Option<&Event> {
        self.places.get(&id).and_then(|place| self.events.get(place)).map(AsRef::as_ref)
    }
}

/// Drops snapshots so that the gap between two is no longer than the way back to them: their number grows with the
/// logarithm of the record, and a late event costs a small multiple of the events behind it.
fn thin(snapshots: &mut Vec<Snapshot>) {
    let events: Vec<u64> = snapshots.iter().map(|snapshot| snapshot.events).collect();
    let mut kept = spared(&events, 1).into_iter();
    snapshots.retain(|_| kept.next().unwrap_or(true));
}

#[cfg(test)]
mod tests {
    use super::{SPACING, Snapshot, thin};

    #[test]
    fn snapshots_are_few_and_near_to_what_is_recent() {
        let mut snapshots = Vec::new();
        for n in 1..=3_000_u64 {
            snapshots.push(Snapshot { events: n * SPACING, ..Snapshot::default() });
            thin(&mut snapshots);
            let kept: Vec<u64> = snapshots.iter().map(|snapshot| snapshot.events / SPACING).collect();
            // Twice the binary logarithm of their number, and a few.
            assert!(kept.len() <= 2 * (n.ilog2() as usize) + 3, "{kept:?}");
            assert!(kept.contains(&n) && (n == 1 || kept.contains(&(n - 1))), "{kept:?}");
            for pair in kept.windows(2) {
                assert!(pair[1] - pair[0] <= (n - pair[1]).max(1), "{kept:?}");
            }
        }
    }
}
