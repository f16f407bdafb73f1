//! What a record has led to at one place of its order, to go on from there.

use crate::clock::Position;
use crate::event::{Event, Payload};
use crate::id::EventId;
use crate::state::State;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// Raised whenever the same events lead to another [`State`], or it is written otherwise: older texts are then worked out
/// anew.
const VERSION: u32 = 3;

/// A state at a place in the order.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Snapshot {
    /// The last event before it; nothing at the beginning.
    pub last: Option<Position>,
    /// Events until then.
    pub events: u64,
    /// What they led to.
    pub state: State,
}

#[derive(Serialize)]
struct Written<'a> {
    version: u32,
    snapshot: &'a Snapshot,
}

#[derive(Deserialize)]
struct Read {
    snapshot: Snapshot,
}

impl Snapshot {
    /// Takes the next event, which must stand behind all before it. `corrected` are the events that corrections name,
    /// wherever these stand.
    pub fn take(&mut self, event: &Event, corrected: &BTreeSet<EventId>) {
        if counts(corrected, event) {
            self.state.apply(event);
        }
        self.last = Some(event.head.position());
        self.events += 1;
    }

    /// What corrections among its events name.
    pub const fn corrected(&self) -> &BTreeSet<EventId> {
        self.state.corrected()
    }

    /// A text to keep it by. It can always be worked out anew from the events.
    ///
    /// # Errors
    /// None that the types of this program can cause.
    pub fn encode(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string(&Written { version: VERSION, snapshot: self })
    }

    /// Reads such a text; nothing if it is of another version, or damaged.
    pub fn decode(text: &str) -> Option<Self> {
        // By its beginning, which is how it is written: the rest of another version need not be read.
        if !text.starts_with(&format!("{{\"version\":{VERSION},")) {
            return None;
        }
        serde_json::from_str(text).ok().map(|Read { snapshot }| snapshot)
    }
}

/// Which of some snapshots to keep, given how many events lie before each, rising: so that the gap between two is at most
/// `share` times the way from the later one to the last. The first and the last two stay.
///
/// ```
/// use longrail_practice::log::spared;
/// assert_eq!(spared(&[10, 20, 30, 40, 50], 1), [true, false, true, true, true]);
/// ```
pub fn spared(events: &[u64], share: u64) -> Vec<bool> {
    let mut kept = vec![true; events.len()];
    let Some(last) = events.last() else { return kept };
    let mut before = 0;
    for middle in 1..events.len().saturating_sub(1) {
        let (gap, way) = (events[middle + 1] - events[before], last - events[middle + 1]);
        if gap <= share * way {
            kept[middle] = false;
        } else {
            before = middle;
        }
    }
    kept
}

/// May a correction take an event of this kind out of the record?
///
/// Not a promotion: what was accepted stays, and the state notes that it was called back. Not a correction: note the
/// fact anew.
const fn can_be_undone(payload: &Payload) -> bool {
    !matches!(payload, Payload::Correction(_) | Payload::PromotionAccepted(_) | Payload::PersonErased(_))
}

fn counts(corrected: &BTreeSet<EventId>, event: &Event) -> bool {
    !corrected.contains(&event.head.id) || event.payload().is_some_and(|payload| !can_be_undone(payload))
}
