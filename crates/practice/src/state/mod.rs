//! What follows from a record.
//!
//! [`State::apply`] takes the events of one player in their order; [`crate::log`] sees to the order and passes over what
//! was corrected. Nothing is refused: an event that names something unknown waits for it, or changes nothing.

mod kept;
mod ledger;
mod set;
mod task;
mod week;

pub use ledger::{Block, Spent};
pub use set::{Entry, Set, What};
pub use task::{Ended, Sheet, SheetEntry, Shots, Tally};
pub use week::Week;

use crate::card::Card;
use crate::clock::Position;
use crate::event::{
    Event, Head, JournalEntry, Payload, PromotionAccepted, SessionBegan, SessionEnded, SetBegan,
    StepBackAnswered, Study, Task, Wall,
};
use crate::id::{EventId, PlayerId};
use crate::player::Profile;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A table card and whether it is still offered.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CardState {
    /// The card as it is now.
    pub card: Card,
    /// The card with every measurement as it was first made: against it a change is judged, since many small ones add up.
    pub first: Card,
    /// No longer offered.
    pub retired: bool,
}

/// A visit to the table.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Session {
    /// When it began; nothing until that event arrives.
    pub began: Option<(Wall, SessionBegan)>,
    /// When it ended, and the reflection.
    pub ended: Option<(Wall, SessionEnded)>,
    /// Its blocks, in order.
    pub blocks: Vec<EventId>,
}

/// Something written down, with who wrote it and when.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Noted<T> {
    /// The event.
    pub event: EventId,
    /// Its place in the order.
    pub at: Position,
    /// What the clock showed.
    pub wall: Wall,
    /// Who wrote it.
    pub author: PlayerId,
    /// What was written.
    pub what: T,
}

impl<T> Noted<T> {
    const fn new(head: &Head, what: T) -> Self {
        Self { event: head.id, at: head.position(), wall: head.wall, author: head.author, what }
    }
}

/// How an accepted promotion stands today. It stays accepted whatever this says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Standing {
    /// Made and tried on its sheet, by the record as it is now; other than what was accepted where attempts of another
    /// device arrived later, or were corrected.
    pub now: (u32, u32),
    /// Somebody asked to undo the promotion.
    pub called_back: bool,
}

/// What follows from one player's record. Its JSON is a way to keep it, of this version of the program alone.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct State {
    /// The profile, once there is one.
    pub profile: Option<Profile>,
    /// Table cards.
    pub cards: BTreeMap<EventId, CardState>,
    /// Visits.
    pub sessions: BTreeMap<EventId, Session>,
    /// Their parts.
    pub blocks: BTreeMap<EventId, Block>,
    /// Sets with their attempts. Shared between copies of the state, which makes copies cheap.
    pub sets: BTreeMap<EventId, Arc<Set>>,
    /// Accepted promotions, in order. Never revoked.
    pub promotions: Vec<Noted<PromotionAccepted>>,
    /// Answers to the advice to step back, in order.
    pub step_backs: Vec<Noted<StepBackAnswered>>,
    /// The journal, in order.
    pub journal: Vec<Noted<JournalEntry>>,
    /// Study away from the table, in order.
    pub study: Vec<Noted<Study>>,
    /// The comparisons that were opened: each one raises the bar for all.
    pub comparisons: BTreeSet<String>,
    /// Remarks, by what they are on.
    pub remarks: BTreeMap<EventId, Vec<Noted<String>>>,
    /// Events of kinds that this program does not know yet.
    pub unknown: u64,
    /// What was shot, by task.
    tasks: BTreeMap<Task, Shots>,
    /// What corrections name.
    corrected: BTreeSet<EventId>,
}

impl State {
    /// Takes the next event.
    pub fn apply(&mut self, event: &Event) {
        let head = &event.head;
        let Some(payload) = event.payload() else {
            self.unknown += 1;
            return;
        };
        match payload {
            Payload::ProfileChanged(x) => self.profile = Some((*x.profile).clone()),
            Payload::CardAdded(x) => {
                let card = (*x.card).clone();
                self.cards.insert(head.id, CardState { first: card.clone(), card, retired: false });
            }
            Payload::CardChanged(x) => {
                if let Some(known) = self.cards.get_mut(&x.of) {
                    known.first.fill(&x.card);
                    known.card = (*x.card).clone();
                }
            }
            Payload::CardRetired(x) => {
                if let Some(known) = self.cards.get_mut(&x.of) {
                    known.retired = true;
                }
            }
            Payload::SessionBegan(x) => {
                self.sessions.entry(head.id).or_default().began = Some((head.wall, x.clone()));
            }
            Payload::SessionEnded(x) => self.end_session(head, x),
            Payload::BlockBegan(x) => {
                self.blocks.entry(head.id).or_default().begin(head.wall, x.clone());
                self.sessions.entry(x.session).or_default().blocks.push(head.id);
            }
            Payload::BlockEnded(x) => self.blocks.entry(x.block).or_default().end(head.wall),
            Payload::SetBegan(x) => self.begin_set(head, x),
            Payload::SetEnded(x) => {
                self.set(x.set).end(head.wall);
                self.touch_block_of(x.set, head.wall);
            }
            Payload::WarmUpDeclared(x) => self.set(x.set).declare(x.attempts),
            Payload::Attempt(x) => {
                self.enter(x.set, head, What::Attempt { outcome: x.outcome, cue_end: x.cue_end });
            }
            Payload::Batch(x) => self.enter(x.set, head, What::Batch { made: x.made, tried: x.tried }),
            Payload::CueEndNoted(x) => self.set(x.set).note(x.of, x.cue_end),
            Payload::Correction(x) => {
                self.corrected.insert(x.of);
            }
            Payload::PromotionAccepted(x) => {
                self.end_sheet(&x.task, Ended::Promoted(head.id));
                self.promotions.push(Noted::new(head, x.clone()));
            }
            Payload::StepBackAnswered(x) => {
                if x.accepted {
                    self.end_sheet(&x.task, Ended::SteppedBack(head.id));
                }
                self.step_backs.push(Noted::new(head, x.clone()));
            }
            Payload::ComparisonOpened(x) => {
                self.comparisons.insert(x.what.clone());
            }
            Payload::Annotation(x) => {
                self.remarks.entry(x.of).or_default().push(Noted::new(head, x.text.clone()));
            }
            Payload::Study(x) => self.study.push(Noted::new(head, x.clone())),
            Payload::JournalEntry(x) => self.journal.push(Noted::new(head, x.clone())),
            // The log removes the whole record.
            Payload::PersonErased(_) => {}
        }
    }

    fn set(&mut self, id: EventId) -> &mut Set {
        Arc::make_mut(self.sets.entry(id).or_default())
    }

    fn begin_set(&mut self, head: &Head, began: &SetBegan) {
        let waited = self.set(head.id).begin(head.wall, began.clone());
        let visit = self.visit(head.id, began.block);
        let shots = self.tasks.entry(began.task.clone()).or_default();
        shots.sets.push(head.id);
        for shot in waited {
            shots.take(began.aim, shot, visit);
        }
        self.blocks.entry(began.block).or_default().touch(head.wall);
    }

    fn enter(&mut self, set: EventId, head: &Head, what: What) {
        let shot = self.set(set).enter(head, what);
        let Some(began) = self.sets.get(&set).and_then(|set| set.began.as_ref()).map(|(_, began)| began)
        else {
            return;
        };
        let (block, aim, visit) = (began.block, began.aim, self.visit(set, began.block));
        if let Some(shots) = self.tasks.get_mut(&began.task) {
            shots.take(aim, shot, visit);
        }
        self.blocks.entry(block).or_default().touch(head.wall);
    }

    /// The visit of a set; one whose block is not known is a visit of its own.
    fn visit(&self, set: EventId, block: EventId) -> EventId {
        let block = self.blocks.get(&block).and_then(|block| block.began.as_ref());
        block.map_or(set, |(_, began)| began.session)
    }

    fn end_sheet(&mut self, task: &Task, why: Ended) {
        if let Some(shots) = self.tasks.get_mut(task) {
            shots.end(why);
        }
    }

    fn touch_block_of(&mut self, set: EventId, wall: Wall) {
        let block = self.sets.get(&set).and_then(|set| set.began.as_ref()).map(|(_, began)| began.block);
        if let Some(block) = block {
            self.blocks.entry(block).or_default().touch(wall);
        }
    }

    fn end_session(&mut self, head: &Head, ended: &SessionEnded) {
        let session = self.sessions.entry(ended.session).or_default();
        session.ended = Some((head.wall, ended.clone()));
        for block in &session.blocks {
            self.blocks.entry(*block).or_default().end(head.wall);
        }
    }

    /// The tasks that were ever begun, with what was shot at each.
    pub fn tasks(&self) -> impl Iterator<Item = (&Task, &Shots)> {
        self.tasks.iter()
    }

    /// What was shot at a task, if anything.
    pub fn shots(&self, task: &Task) -> Option<&Shots> {
        self.tasks.get(task)
    }

    /// The counts of a task: of one drill, rung, corner, constraints and card, never of several.
    pub fn tally(&self, task: &Task) -> Tally {
        self.shots(task).map(|shots| shots.tally).unwrap_or_default()
    }

    /// The sheets of a task, the oldest first.
    pub fn sheets(&self, task: &Task) -> &[Sheet] {
        self.shots(task).map(|shots| shots.sheets.as_slice()).unwrap_or_default()
    }

    /// How an accepted promotion stands.
    pub fn standing(&self, promotion: &Noted<PromotionAccepted>) -> Standing {
        let ended = Some(Ended::Promoted(promotion.event));
        let its = self.sheets(&promotion.what.task).iter().find(|sheet| sheet.ended == ended);
        Standing {
            now: its.map_or((0, 0), |sheet| (sheet.made, sheet.tried)),
            called_back: self.corrected.contains(&promotion.event),
        }
    }

    /// What corrections name, whether it has arrived or not.
    pub(crate) const fn corrected(&self) -> &BTreeSet<EventId> {
        &self.corrected
    }
}

#[cfg(test)]
mod tests;
