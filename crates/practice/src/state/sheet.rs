//! Sheets: what the promotion rule reads.
//!
//! A sheet goes on until it has 100 attempts, ends in an accepted promotion or step back, or nothing was tried on it for
//! 28 days (study of progression, section 1.3). It is never discarded by hand, and resumed on return.

use super::{Entry, State};
use crate::clock::Position;
use crate::event::{Aim, Task};
use crate::id::EventId;
use longrail_stats::promotion::{LAY_OFF_DAYS, SHEET};

/// Milliseconds in a day.
const DAY_MS: f64 = 86_400_000.0;

/// Why a sheet is over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// This promotion was accepted.
    Promoted(EventId),
    /// The player stepped back with this event.
    SteppedBack(EventId),
    /// It reached 100 attempts.
    Full,
    /// Nothing was tried for 28 days or more.
    LayOff,
}

/// An entry of a sheet. Warm-up is among them, marked; leave it out of the rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SheetEntry {
    /// What was entered.
    pub entry: Entry,
    /// The visit in which it was, from 1 within the sheet.
    pub visit: u32,
}

/// The entries that the promotion rule looks at, one after the other.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sheet {
    /// In order.
    pub entries: Vec<SheetEntry>,
    /// Made, without warm-up.
    pub made: u32,
    /// Tried, without warm-up.
    pub tried: u32,
    /// Why it is over; nothing while it is open.
    pub ended: Option<Ended>,
}

/// What the making of sheets walks over.
enum Step {
    Entry(Entry, EventId),
    End(Ended),
}

impl State {
    /// The sheets of a task, the oldest first. The last may be open; one that is full stays open until the next entry
    /// or decision, so that a promotion on the hundredth attempt belongs to it.
    pub fn sheets(&self, task: &Task) -> Vec<Sheet> {
        let mut steps = self.steps(task);
        steps.sort_by_key(|(at, _)| *at);
        let mut sheets = Vec::new();
        let mut sheet = Sheet::default();
        let mut visits: Vec<EventId> = Vec::new();
        for (_, step) in steps {
            let ended = match &step {
                Step::End(ended) => Some(*ended),
                Step::Entry(..) if sheet.tried >= SHEET => Some(Ended::Full),
                Step::Entry(entry, _) if laid_off(&sheet, entry) => Some(Ended::LayOff),
                Step::Entry(..) => None,
            };
            if ended.is_some() {
                sheet.ended = ended;
                sheets.push(std::mem::take(&mut sheet));
                visits.clear();
            }
            if let Step::Entry(entry, visit) = step {
                if visits.last() != Some(&visit) && !visits.contains(&visit) {
                    visits.push(visit);
                }
                let number = visits.iter().position(|known| *known == visit).map_or(1, |at| at + 1);
                sheet.enter(entry, u32::try_from(number).unwrap_or(u32::MAX));
            }
        }
        if !sheet.entries.is_empty() {
            sheets.push(sheet);
        }
        sheets
    }

    /// Entries of the task's proof sets, and decisions about it.
    fn steps(&self, task: &Task) -> Vec<(Position, Step)> {
        let mut steps = Vec::new();
        for (id, set) in self.sets_of(task) {
            let Some((_, began)) = set.began.as_ref().filter(|(_, began)| began.aim == Aim::Proof) else {
                continue;
            };
            // A set whose block never arrived is a visit of its own.
            let block = self.blocks.get(&began.block).and_then(|block| block.began.as_ref());
            let visit = block.map_or(id, |(_, block)| block.session);
            steps.extend(set.entries.iter().map(|entry| (entry.at, Step::Entry(*entry, visit))));
        }
        for promotion in self.promotions.iter().filter(|promotion| promotion.what.task == *task) {
            steps.push((promotion.at, Step::End(Ended::Promoted(promotion.event))));
        }
        for answer in
            self.step_backs.iter().filter(|answer| answer.what.accepted && answer.what.task == *task)
        {
            steps.push((answer.at, Step::End(Ended::SteppedBack(answer.event))));
        }
        steps
    }
}

impl Sheet {
    fn enter(&mut self, entry: Entry, visit: u32) {
        if !entry.warm_up {
            let (made, tried) = entry.what.counts();
            self.made = self.made.saturating_add(made);
            self.tried = self.tried.saturating_add(tried);
        }
        self.entries.push(SheetEntry { entry, visit });
    }
}

fn laid_off(sheet: &Sheet, next: &Entry) -> bool {
    sheet.entries.last().is_some_and(|last| {
        let ms = next.wall.ms.saturating_sub(last.entry.wall.ms);
        // Exact: times of this century in milliseconds are below 2^53.
        #[allow(clippy::cast_precision_loss)]
        let days = ms as f64 / DAY_MS;
        days >= LAY_OFF_DAYS
    })
}
