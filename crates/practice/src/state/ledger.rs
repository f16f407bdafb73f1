//! The ledger: minutes by purpose and week.

use super::{State, Week};
use crate::event::{BlockBegan, Purpose, Wall};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The longest that one block counts, milliseconds: a day. An assumption, against clocks that are put forward meanwhile.
const LONGEST_MS: u64 = 86_400_000;

/// A part of a visit.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// When it began, and for what; nothing until that event arrives.
    pub began: Option<(Wall, BlockBegan)>,
    /// Was it ended, rather than left?
    pub ended: bool,
    /// The wall clock at its end, or at its last event if it was left.
    last_ms: u64,
}

impl Block {
    pub(super) fn begin(&mut self, wall: Wall, began: BlockBegan) {
        self.began = Some((wall, began));
        self.touch(wall);
    }

    pub(super) fn touch(&mut self, wall: Wall) {
        if !self.ended {
            self.last_ms = self.last_ms.max(wall.ms);
        }
    }

    pub(super) fn end(&mut self, wall: Wall) {
        self.touch(wall);
        self.ended = true;
    }

    /// How long it lasted, milliseconds. One that was left counts until its last entry.
    pub fn lasted_ms(&self) -> u64 {
        let Some((wall, _)) = &self.began else { return 0 };
        self.last_ms.saturating_sub(wall.ms).min(LONGEST_MS)
    }
}

/// What time went into.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spent {
    /// At the table.
    Table(Purpose),
    /// Away from it.
    Study,
}

impl State {
    /// Milliseconds by what they went into, in each week. A block belongs to the week in which it began.
    pub fn ledger(&self) -> BTreeMap<Week, BTreeMap<Spent, u64>> {
        let mut ledger: BTreeMap<Week, BTreeMap<Spent, u64>> = BTreeMap::new();
        let mut spend = |wall: Wall, on: Spent, ms: u64| {
            let sum = ledger.entry(Week::of(wall)).or_default().entry(on).or_default();
            *sum = sum.saturating_add(ms);
        };
        for block in self.blocks.values() {
            if let Some((wall, began)) = &block.began {
                spend(*wall, Spent::Table(began.purpose), block.lasted_ms());
            }
        }
        for study in &self.study {
            spend(study.wall, Spent::Study, u64::from(study.what.minutes) * 60_000);
        }
        ledger
    }
}
