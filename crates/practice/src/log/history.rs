//! One player's events, and the state that follows from them, kept up to date.
//!
//! An event behind all others is simply applied. One that comes late restarts the state from a snapshot before its
//! place; a correction restarts it before the corrected event, which is then passed over. So the state is always what
//! [`History::rebuilt`] finds from the beginning, at a fraction of the work.

use super::Inserted;
use crate::clock::Position;
use crate::event::{Event, Payload};
use crate::id::EventId;
use crate::state::State;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Bound;
use std::sync::Arc;

/// Events between snapshots, so about half of it are applied anew when the last tap is undone. An assumption: large
/// enough that the copying of states is rare, small enough that the replay is not felt.
const SPACING: u64 = 256;

/// A state at a place in the order.
#[derive(Clone, Debug, Default)]
struct Snapshot {
    /// The last event before it; nothing at the beginning.
    last: Option<Position>,
    /// Events until then.
    events: u64,
    state: State,
}

/// One player's record.
#[derive(Clone, Debug, Default)]
pub struct History {
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
        self.events == other.events
    }
}

/// May a correction take an event of this kind out of the record?
///
/// Not a promotion: what was accepted stays, and the state notes that it was called back. Not a correction: note the
/// fact anew.
const fn can_be_undone(payload: &Payload) -> bool {
    !matches!(payload, Payload::Correction(_) | Payload::PromotionAccepted(_) | Payload::PersonErased(_))
}

impl History {
    /// Puts an event in; [`Self::project`] must follow.
    pub(super) fn add(&mut self, event: Event) -> Inserted {
        let place = event.head.position();
        if let Some(&there) = self.places.get(&event.head.id) {
            return self.settle(there, event);
        }
        if let Some(Payload::Correction(correction)) = event.payload() {
            self.corrected.insert(correction.of);
            if let Some(&target) = self.places.get(&correction.of) {
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
            let corrections = self.events.values().filter_map(|event| match event.payload() {
                Some(Payload::Correction(correction)) => Some(correction.of),
                _ => None,
            });
            self.corrected = corrections.collect();
            self.snapshots.clear();
            self.now = Snapshot::default();
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
            self.now = self.snapshots.last().cloned().unwrap_or_default();
        }
        let rest = self.now.last.map_or(Bound::Unbounded, Bound::Excluded);
        for (&place, event) in self.events.range((rest, Bound::Unbounded)) {
            if counts(&self.corrected, event) {
                self.now.state.apply(event);
            }
            self.now.last = Some(place);
            self.now.events += 1;
            // On a long way to the end, only those that the thinning would leave.
            let since = self.now.events - self.snapshots.last().map_or(0, |snapshot| snapshot.events);
            let ahead = (self.events.len() as u64).saturating_sub(self.now.events);
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

    /// The same, worked out from the first event on.
    pub fn rebuilt(&self) -> State {
        let mut state = State::default();
        for event in self.events.values().filter(|event| counts(&self.corrected, event)) {
            state.apply(event);
        }
        state
    }

    /// The events in order.
    pub fn events(&self) -> impl Iterator<Item = &Event> {
        self.events.values().map(AsRef::as_ref)
    }

    /// The event of this identifier.
    pub fn event(&self, id: EventId) -> Option<&Event> {
        self.places.get(&id).and_then(|place| self.events.get(place)).map(AsRef::as_ref)
    }
}

fn counts(corrected: &BTreeSet<EventId>, event: &Event) -> bool {
    !corrected.contains(&event.head.id) || event.payload().is_some_and(|payload| !can_be_undone(payload))
}

/// Drops snapshots so that the gap between two is no longer than the way back to them: their number grows with the
/// logarithm of the record, and a late event costs a small multiple of the events behind it.
fn thin(snapshots: &mut Vec<Snapshot>) {
    let Some(now) = snapshots.last().map(|last| last.events) else { return };
    let mut middle = 1;
    while middle + 1 < snapshots.len() {
        let (before, after) = (snapshots[middle - 1].events, snapshots[middle + 1].events);
        if after - before <= now - after {
            snapshots.remove(middle);
        } else {
            middle += 1;
        }
    }
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
