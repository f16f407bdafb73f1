//! The form in which a state is kept.
//!
//! A record of ten years has some forty thousand sets. Each written out whole would name its drill, its table and its block
//! anew; here a set is a short list that points to its task, and tasks point to their sets.

use super::{Block, CardState, Entry, Noted, Session, Set, Sheet, Shots, State, Tally};
use crate::event::{Aim, JournalEntry, PromotionAccepted, SetBegan, StepBackAnswered, Study, Task, Wall};
use crate::id::EventId;
use crate::player::Profile;
use longrail_stroke::infer::Tally as Seen;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Milliseconds and minutes of a [`Wall`].
type Moment = (u64, i16);

/// A set: its name; when, in which block, at which of the tasks and with what aim it began; when it ended; its entries; what
/// was seen; warm-up that is left; the latest entry.
#[derive(Serialize, Deserialize)]
struct Row<'a>(
    EventId,
    Option<(Moment, EventId, usize, Aim)>,
    Option<Moment>,
    Cow<'a, [Entry]>,
    Cow<'a, Seen>,
    u32,
    Option<Moment>,
);

/// A task, its counts and sheets, and which of the sets are its own.
#[derive(Serialize, Deserialize)]
struct Shot<'a>(Cow<'a, Task>, Tally, Cow<'a, [Sheet]>, Vec<usize>);

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Kept<'a> {
    profile: Cow<'a, Option<Profile>>,
    cards: Cow<'a, BTreeMap<EventId, CardState>>,
    sessions: Cow<'a, BTreeMap<EventId, Session>>,
    blocks: Cow<'a, BTreeMap<EventId, Block>>,
    promotions: Cow<'a, [Noted<PromotionAccepted>]>,
    step_backs: Cow<'a, [Noted<StepBackAnswered>]>,
    journal: Cow<'a, [Noted<JournalEntry>]>,
    study: Cow<'a, [Noted<Study>]>,
    comparisons: Cow<'a, BTreeSet<String>>,
    remarks: Cow<'a, BTreeMap<EventId, Vec<Noted<String>>>>,
    unknown: u64,
    corrected: Cow<'a, BTreeSet<EventId>>,
    tasks: Vec<Shot<'a>>,
    sets: Vec<Row<'a>>,
}

const fn moment(wall: Wall) -> Moment {
    (wall.ms, wall.offset_min)
}

const fn wall((ms, offset_min): Moment) -> Wall {
    Wall { ms, offset_min }
}

impl Serialize for State {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let (mut at, mut of) = (BTreeMap::new(), BTreeMap::new());
        at.extend(self.sets.keys().copied().zip(0_usize..));
        of.extend(self.tasks.keys().zip(0_usize..));
        let sets = self.sets.iter().map(|(id, set)| {
            let began = set.began.as_ref().map(|(wall, began)| {
                // Every task of a set that began is among them.
                (moment(*wall), began.block, of.get(&began.task).copied().unwrap_or(usize::MAX), began.aim)
            });
            let (ended, last) = (set.ended.map(moment), set.last.map(moment));
            let (entries, seen) = (Cow::Borrowed(set.entries.as_slice()), Cow::Borrowed(&set.seen));
            Row(*id, began, ended, entries, seen, set.warm_up_left, last)
        });
        let tasks = self.tasks.iter().map(|(task, shots)| {
            let sets = shots.sets.iter().filter_map(|set| at.get(set).copied()).collect();
            Shot(Cow::Borrowed(task), shots.tally, Cow::Borrowed(&shots.sheets), sets)
        });
        let kept = Kept {
            profile: Cow::Borrowed(&self.profile),
            cards: Cow::Borrowed(&self.cards),
            sessions: Cow::Borrowed(&self.sessions),
            blocks: Cow::Borrowed(&self.blocks),
            promotions: Cow::Borrowed(&self.promotions),
            step_backs: Cow::Borrowed(&self.step_backs),
            journal: Cow::Borrowed(&self.journal),
            study: Cow::Borrowed(&self.study),
            comparisons: Cow::Borrowed(&self.comparisons),
            remarks: Cow::Borrowed(&self.remarks),
            unknown: self.unknown,
            corrected: Cow::Borrowed(&self.corrected),
            tasks: tasks.collect(),
            sets: sets.collect(),
        };
        kept.serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for State {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let kept = Kept::deserialize(deserializer)?;
        let names: Vec<EventId> = kept.sets.iter().map(|row| row.0).collect();
        let nothing = || D::Error::custom("a number points to nothing");
        let mut sets = BTreeMap::new();
        for Row(id, began, ended, entries, seen, warm_up_left, last) in kept.sets {
            let began = match began {
                Some((at, block, task, aim)) => {
                    let Shot(task, ..) = kept.tasks.get(task).ok_or_else(nothing)?;
                    Some((wall(at), SetBegan { block, task: task.as_ref().clone(), aim }))
                }
                None => None,
            };
            let (ended, last) = (ended.map(wall), last.map(wall));
            let (entries, seen) = (entries.into_owned(), seen.into_owned());
            sets.insert(id, Arc::new(Set { began, ended, entries, seen, warm_up_left, last }));
        }
        let mut tasks = BTreeMap::new();
        for Shot(task, tally, sheets, own) in kept.tasks {
            let own = own.into_iter().map(|at| names.get(at).copied().ok_or_else(nothing));
            let shots = Shots { sets: own.collect::<Result<_, _>>()?, tally, sheets: sheets.into_owned() };
            tasks.insert(task.into_owned(), shots);
        }
        Ok(Self {
            profile: kept.profile.into_owned(),
            cards: kept.cards.into_owned(),
            sessions: kept.sessions.into_owned(),
            blocks: kept.blocks.into_owned(),
            sets,
            promotions: kept.promotions.into_owned(),
            step_backs: kept.step_backs.into_owned(),
            journal: kept.journal.into_owned(),
            study: kept.study.into_owned(),
            comparisons: kept.comparisons.into_owned(),
            remarks: kept.remarks.into_owned(),
            unknown: kept.unknown,
            tasks,
            corrected: kept.corrected.into_owned(),
        })
    }
}
