//! What people do at the desk, and what it refuses.

// Helpers of tests may stop where they stand, as tests do.
// A method of the desk itself is bound to one lifetime, so a closure stands in its place.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::redundant_closure_for_method_calls)]

use longrail_practice::clock::Stamp;
use longrail_practice::desk::{Desk, Now, Refused, Writer};
use longrail_practice::drill::{RungNumber, Setup};
use longrail_practice::event::{Aim, CueEnd, JournalEntry, Outcome, Payload, Purpose, Task, Wall};
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use longrail_practice::log::{History, Snapshot};
use longrail_stats::Count;
use longrail_stroke::infer::Seen;
use proptest::prelude::*;
use std::collections::BTreeSet;

const ANN: PlayerId = PlayerId::from_bits(1);
const BEN: PlayerId = PlayerId::from_bits(2);

/// Ann's record, written on one device by whoever is at it.
struct Record {
    history: History,
    writer: Writer,
    ms: u64,
    bits: u128,
}

impl Record {
    fn by(author: PlayerId) -> Self {
        let writer = Writer::resume(DeviceId::from_bits(7), author, Stamp::default(), 0);
        let history = History::resume(Snapshot::default(), BTreeSet::new());
        Self { history, writer, ms: 1_700_000_000_000, bits: 0 }
    }

    /// A minute later; what was refused leaves nothing behind.
    fn act<T>(&mut self, what: impl FnOnce(&mut Desk<'_>) -> Result<T, Refused>) -> Result<T, Refused> {
        self.ms += 60_000;
        let now = Now { clock_ms: self.ms, wall: Wall { ms: self.ms, offset_min: 0 } };
        let mut random = || {
            self.bits += 1;
            self.bits
        };
        let mut desk = Desk::new(&self.history, ANN, &mut self.writer, now, &mut random);
        let told = what(&mut desk)?;
        let events = desk.events();
        self.history.extend(events).unwrap();
        Ok(told)
    }
}

fn task(rung: u32) -> Task {
    Task {
        drill: "straight-stop".to_owned(),
        drill_version: 1,
        rung: RungNumber::whole(rung),
        setup: Setup::Given,
        constraints: String::new(),
        card: EventId::from_bits(5),
    }
}

fn count(made: u32, tried: u32) -> Count {
    Count::new(made, tried).unwrap()
}

#[test]
fn a_visit_comes_before_its_sets_and_ends_with_all_that_is_open() {
    let mut record = Record::by(ANN);
    let early = record.act(|desk| desk.begin_set(task(1), Aim::Work)).unwrap_err();
    assert_eq!(early, Refused::NoSession);
    record.act(|desk| desk.begin_session(Purpose::DrillWork, 60, None)).unwrap();
    let again = record.act(|desk| desk.begin_session(Purpose::Test, 60, None)).unwrap_err();
    assert!(matches!(again, Refused::SessionOpen(_)));
    assert_eq!(record.act(|desk| desk.attempt(Outcome::Made, None)).unwrap_err(), Refused::NoSet);
    let first = record.act(|desk| desk.begin_set(task(1), Aim::Work)).unwrap();
    record.act(|desk| desk.attempt(Outcome::Made, None)).unwrap();
    let second = record.act(|desk| desk.begin_set(task(2), Aim::Proof)).unwrap();
    let ended = |record: &Record, set| record.history.state().sets[&set].ended.is_some();
    assert!(ended(&record, first) && !ended(&record, second));
    record.act(|desk| desk.begin_block(Purpose::MatchPlay)).unwrap();
    assert!(ended(&record, second), "another purpose is another block");
    let blocks = record.history.state().blocks.len();
    let games = record.act(|desk| desk.begin_block(Purpose::MatchPlay)).unwrap();
    assert_eq!(record.history.state().blocks.len(), blocks, "the same purpose is the same block");
    let more = record.act(|desk| desk.begin_another_block(Purpose::MatchPlay)).unwrap();
    let state = record.history.state();
    assert!(more != games && state.blocks[&games].ended && !state.blocks[&more].ended);
    let games = record.act(|desk| desk.begin_set(task(1), Aim::Work)).unwrap_err();
    assert_eq!(games, Refused::NoDrills("match play"));
    record.act(|desk| desk.end_session(Some(4), "")).unwrap();
    assert!(record.history.state().open_session().is_none());
    assert!(record.history.state().blocks.values().all(|block| block.ended));
}

#[test]
fn undo_goes_back_entry_by_entry_and_no_farther_than_the_set() {
    let mut record = Record::by(ANN);
    record.act(|desk| desk.begin_session(Purpose::Test, 30, None)).unwrap();
    record.act(|desk| desk.begin_set(task(1), Aim::Proof)).unwrap();
    record.act(|desk| desk.attempt(Outcome::MissedLeft, None)).unwrap();
    record.act(|desk| desk.batch(count(3, 5))).unwrap();
    assert_eq!(record.act(|desk| desk.undo()).unwrap().counts(), (3, 5));
    assert_eq!(record.act(|desk| desk.undo()).unwrap().counts(), (0, 1));
    assert_eq!(record.act(|desk| desk.undo()).unwrap_err(), Refused::NothingToUndo);
    assert_eq!(record.history.state().sheets(&task(1)), []);
}

#[test]
fn where_the_cue_ball_ended_is_noted_after_a_miss() {
    let mut record = Record::by(ANN);
    record.act(|desk| desk.begin_session(Purpose::Test, 30, None)).unwrap();
    let set = record.act(|desk| desk.begin_set(task(1), Aim::Work)).unwrap();
    record.act(|desk| desk.attempt(Outcome::Missed, None)).unwrap();
    record.act(|desk| desk.cue_end(CueEnd::Long)).unwrap();
    let seen = |record: &Record| record.history.state().sets[&set].seen.counts;
    assert_eq!((seen(&record)[Seen::Long as usize], seen(&record)[Seen::Failed as usize]), (1, 0));
    record.act(|desk| desk.attempt(Outcome::Made, None)).unwrap();
    assert_eq!(record.act(|desk| desk.cue_end(CueEnd::Short)).unwrap_err(), Refused::NoMiss);
}

#[test]
fn warm_up_is_declared_before_it_is_shot() {
    let mut record = Record::by(ANN);
    record.act(|desk| desk.begin_session(Purpose::Test, 30, None)).unwrap();
    record.act(|desk| desk.begin_set(task(1), Aim::Work)).unwrap();
    assert_eq!(record.act(|desk| desk.warm_up(11)).unwrap_err(), Refused::WarmUp(11));
    record.act(|desk| desk.warm_up(2)).unwrap();
    record.act(|desk| desk.attempt(Outcome::Made, None)).unwrap();
    assert_eq!(record.act(|desk| desk.warm_up(2)).unwrap_err(), Refused::WarmUpLate(1));
}

#[test]
fn a_scorer_notes_what_is_shot_and_decides_nothing() {
    let mut record = Record::by(BEN);
    record.act(|desk| desk.begin_session(Purpose::DrillWork, 60, None)).unwrap();
    record.act(|desk| desk.begin_set(task(1), Aim::Proof)).unwrap();
    record.act(|desk| desk.attempt(Outcome::Made, None)).unwrap();
    let entry =
        JournalEntry { went_on: String::new(), worked: "x".to_owned(), next: String::new(), private: true };
    let refused = record.act(|desk| desk.note(Payload::JournalEntry(entry))).unwrap_err();
    assert!(refused.to_string().contains("a scorer may not write journal_entry"), "{refused}");
    assert!(record.act(|desk| desk.study(10, "")).is_err());
    assert!(record.history.events().all(|event| event.head.author == BEN && event.head.player == ANN));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// Whatever is pressed, refusals leave nothing, every entry is in a set of an open block, and stamps and numbers rise.
    #[test]
    fn whatever_is_pressed_the_record_hangs_together(presses in prop::collection::vec(0_u8..12, 1..80)) {
        let mut record = Record::by(ANN);
        for press in presses {
            let before = record.history.events().count();
            let outcome = record.act(|desk| match press {
                0 => desk.begin_session(Purpose::DrillWork, 60, None).map(|_| ()),
                1 => desk.begin_block(Purpose::NewSkill).map(|_| ()),
                2 => desk.begin_block(Purpose::MatchPlay).map(|_| ()),
                3 => desk.begin_set(task(1), Aim::Proof).map(|_| ()),
                4 => desk.begin_set(task(2), Aim::Work).map(|_| ()),
                5 => desk.batch(count(2, 3)).map(|_| ()),
                6 => desk.undo().map(|_| ()),
                7 => desk.end_set().map(|_| ()),
                8 => desk.warm_up(2),
                9 => desk.cue_end(CueEnd::Off),
                10 => desk.end_session(None, "").map(|_| ()),
                _ => desk.attempt(Outcome::MissedRight, None).map(|_| ()),
            });
            prop_assert!(outcome.is_ok() || record.history.events().count() == before);
        }
        let state = record.history.state();
        for set in state.sets.values() {
            let (_, began) = set.began.as_ref().expect("no entry without a set");
            let (_, block) = state.blocks[&began.block].began.as_ref().expect("no set without a block");
            prop_assert!(state.sessions.contains_key(&block.session));
            prop_assert!(block.purpose != Purpose::MatchPlay);
        }
        prop_assert!(state.sessions.values().filter(|session| session.ended.is_none()).count() <= 1);
        prop_assert!(state.sets.values().filter(|set| set.ended.is_none()).count() <= 1);
        let numbers: Vec<u64> = record.history.events().map(|event| event.head.sequence).collect();
        prop_assert!(numbers.windows(2).all(|pair| pair[0] < pair[1]));
    }
}
