//! Sets, their entries and their counts.

use super::State;
use crate::clock::Position;
use crate::event::{Aim, CueEnd, Head, Outcome, SetBegan, Task, Wall};

/// What was entered at once.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
}

/// One entry of a set. A promotion rule looks once per entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its place in the order, with the event's identifier.
    pub at: Position,
    /// What the clock showed.
    pub wall: Wall,
    /// What was entered.
    pub what: What,
    /// Declared warm-up: it is not counted.
    pub warm_up: bool,
}

/// Consecutive attempts at one task.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Set {
    /// When it began, and with what; nothing until that event arrives.
    pub began: Option<(Wall, SetBegan)>,
    /// When it ended.
    pub ended: Option<Wall>,
    /// Its entries, in order; corrected ones are not among them.
    pub entries: Vec<Entry>,
    /// Made, without warm-up.
    pub made: u32,
    /// Tried, without warm-up.
    pub tried: u32,
    warm_up_left: u32,
}

impl Set {
    pub(super) fn begin(&mut self, wall: Wall, began: SetBegan) {
        self.began = Some((wall, began));
    }

    pub(super) const fn declare(&mut self, attempts: u32) {
        self.warm_up_left = self.warm_up_left.saturating_add(attempts);
    }

    /// A batch that is larger than the warm-up that is left counts whole: nobody can say which part came first.
    pub(super) fn enter(&mut self, head: &Head, what: What) {
        let (made, tried) = what.counts();
        let warm_up = self.warm_up_left > 0 && tried <= self.warm_up_left;
        if warm_up {
            self.warm_up_left -= tried;
        } else {
            self.warm_up_left = 0;
            self.made = self.made.saturating_add(made);
            self.tried = self.tried.saturating_add(tried);
        }
        self.entries.push(Entry { at: head.position(), wall: head.wall, what, warm_up });
    }
}

/// Counts of one task, without warm-up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Made in proof sets.
    pub proof_made: u32,
    /// Tried in proof sets. The collection of these is ended by a rule; see `longrail_stats::change::Collection`.
    pub proof_tried: u32,
    /// Made in work sets.
    pub work_made: u32,
    /// Tried in work sets.
    pub work_tried: u32,
}

impl State {
    /// The counts of a task: of one drill, rung, orientation, constraints and card, never of several.
    pub fn tally(&self, task: &Task) -> Tally {
        let mut tally = Tally::default();
        for (_, set) in self.sets_of(task) {
            let proof = set.began.as_ref().is_some_and(|(_, began)| began.aim == Aim::Proof);
            let (made, tried) = if proof {
                (&mut tally.proof_made, &mut tally.proof_tried)
            } else {
                (&mut tally.work_made, &mut tally.work_tried)
            };
            *made = made.saturating_add(set.made);
            *tried = tried.saturating_add(set.tried);
        }
        tally
    }
}
