//! Sets, their entries and their counts.

use super::task::Shot;
use crate::event::{CueEnd, Head, Outcome, SetBegan, Wall};
use crate::id::EventId;
use longrail_stats::Count;
use longrail_stroke::infer::{Seen, Tally};
use serde::{Deserialize, Serialize};

/// What was entered at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum What {
    /// One attempt.
    Attempt {
        /// How it went.
        outcome: Outcome,
        /// Where the cue ball ended, if it was noted.
        cue_end: Option<CueEnd>,
    },
    /// A count.
    Batch {
        /// Made.
        made: u32,
        /// Tried.
        tried: u32,
    },
}

impl What {
    /// Made and tried.
    pub const fn counts(self) -> (u32, u32) {
        match self {
            Self::Attempt { outcome, .. } => (if outcome.made() { 1 } else { 0 }, 1),
            Self::Batch { made, tried } => (made, tried),
        }
    }

    fn tally(self) -> Tally {
        match self {
            Self::Attempt { outcome, cue_end } => {
                let mut tally = Tally::default();
                tally.add(outcome.seen(cue_end));
                tally
            }
            Self::Batch { made, tried } => Tally::of(made, tried),
        }
    }
}

/// One entry of a set. A promotion rule looks once per entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// The event.
    pub event: EventId,
    /// What the clock showed.
    pub wall: Wall,
    /// What was entered.
    pub what: What,
    /// Declared warm-up: it is not counted.
    pub warm_up: bool,
}

impl Entry {
    const fn shot(&self) -> Shot {
        let (made, tried) = self.what.counts();
        Shot { made, tried, warm_up: self.warm_up, wall: self.wall }
    }
}

/// Consecutive attempts at one task.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Set {
    /// When it began, and with what; nothing until that event arrives.
    pub began: Option<(Wall, SetBegan)>,
    /// When it ended.
    pub ended: Option<Wall>,
    /// Its entries in order, while it has not ended; corrected ones are not among them.
    pub entries: Vec<Entry>,
    /// What was seen of its attempts, without warm-up.
    pub seen: Tally,
    /// Attempts still to be left out as warm-up.
    pub warm_up_left: u32,
    /// When the latest entry was made.
    pub last: Option<Wall>,
}

impl Set {
    /// Made of tried, without warm-up.
    pub fn count(&self) -> Count {
        let made = self.seen.counts[Seen::Made as usize];
        Count::new(made, self.seen.tried()).unwrap_or_default()
    }

    /// Begins, and hands out what waited for it.
    pub(super) fn begin(&mut self, wall: Wall, began: SetBegan) -> Vec<Shot> {
        self.began = Some((wall, began));
        let waited = self.entries.iter().map(Entry::shot).collect();
        self.forget();
        waited
    }

    pub(super) fn end(&mut self, wall: Wall) {
        self.ended = Some(wall);
        self.forget();
    }

    /// Nobody goes back to the single attempts of a set that has ended: its counts stay, and the log has the rest.
    fn forget(&mut self) {
        if self.began.is_some() && self.ended.is_some() {
            self.entries = Vec::new();
        }
    }

    pub(super) const fn declare(&mut self, attempts: u32) {
        self.warm_up_left = self.warm_up_left.saturating_add(attempts);
    }

    /// Takes an entry, and says what a sheet takes of it. A batch that is larger than the warm-up that is left counts whole:
    /// nobody can say which part came first.
    pub(super) fn enter(&mut self, head: &Head, what: What) -> Shot {
        let (_, tried) = what.counts();
        let warm_up = self.warm_up_left > 0 && tried <= self.warm_up_left;
        if warm_up {
            self.warm_up_left -= tried;
        } else {
            self.warm_up_left = 0;
            self.seen.merge(&what.tally());
        }
        self.last = Some(head.wall);
        let entry = Entry { event: head.id, wall: head.wall, what, warm_up };
        self.entries.push(entry);
        self.forget();
        entry.shot()
    }

    /// Notes where the cue ball ended in an attempt of a set that has not ended.
    pub(super) fn note(&mut self, of: EventId, end: CueEnd) {
        let Some(entry) = self.entries.iter_mut().find(|entry| entry.event == of) else { return };
        let What::Attempt { outcome, cue_end } = &mut entry.what else { return };
        let before = outcome.seen(*cue_end);
        *cue_end = Some(end);
        if !entry.warm_up {
            let count = &mut self.seen.counts[before as usize];
            *count = count.saturating_sub(1);
            self.seen.add(outcome.seen(Some(end)));
        }
    }
}
