//! What follows from small records, told in full.

use crate::card::{Card, Change, Stopwatch};
use crate::clock::Stamp;
use crate::drill::{RungNumber, Setup};
use crate::event::*;
use crate::id::{DeviceId, EventId, PlayerId};
use crate::log::Log;
use crate::state::{Ended, Spent, Standing, State, Tally, Week};

const PLAYER: PlayerId = PlayerId::from_bits(1);
const MINUTE: u64 = 60_000;
/// Wednesday, 3 January 2024, 12:00 UTC: in the first week of 2024.
const START: u64 = 1_704_283_200_000;

/// A record written on one device, a minute a step.
#[derive(Default)]
struct Record {
    log: Log,
    written: u64,
    minutes: u64,
}

impl Record {
    fn add(&mut self, payload: Payload) -> EventId {
        self.minutes += 1;
        self.add_at(self.written + 1, payload)
    }

    fn add_at(&mut self, clock: u64, payload: Payload) -> EventId {
        self.written += 1;
        let id = EventId::from_bits(u128::from(self.written));
        let wall = Wall { ms: START + self.minutes * MINUTE, offset_min: 0 };
        let clock = Stamp { ms: clock, count: 0 };
        let device = DeviceId::from_bits(1);
        let head = Head { id, player: PLAYER, device, author: PLAYER, clock, sequence: self.written, wall };
        self.log.insert(Event::new(head, payload));
        id
    }

    fn begin(&mut self, aim: Aim) -> EventId {
        let session = self.add(Payload::SessionBegan(SessionBegan {
            purpose: Purpose::DrillWork,
            minutes_free: 60,
            card: None,
        }));
        let block = self.add(Payload::BlockBegan(BlockBegan { session, purpose: Purpose::DrillWork }));
        self.add(Payload::SetBegan(SetBegan { block, task: task(), aim }))
    }

    fn attempt(&mut self, set: EventId, made: bool) -> EventId {
        let outcome = if made { Outcome::Made } else { Outcome::MissedRight };
        self.add(Payload::Attempt(Attempt { set, outcome, cue_end: None }))
    }

    fn state(&self) -> &State {
        self.log.state(PLAYER).unwrap()
    }
}

fn task() -> Task {
    Task {
        drill: "straight-stop".to_owned(),
        drill_version: 1,
        rung: RungNumber::FIRST,
        setup: Setup::Given,
        constraints: String::new(),
        card: EventId::from_bits(500),
    }
}

#[test]
fn an_undone_attempt_is_out_of_set_tally_and_sheet() {
    let mut record = Record::default();
    let set = record.begin(Aim::Proof);
    record.attempt(set, true);
    let wrong = record.attempt(set, false);
    record.attempt(set, true);
    record.add(Payload::Correction(Correction { of: wrong }));
    let state = record.state();
    assert_eq!(state.tally(&task()), Tally { proof_made: 2, proof_tried: 2, ..Tally::default() });
    assert_eq!(state.sheets(&task())[0].entries.len(), 2);
}

#[test]
fn a_correction_that_comes_before_what_it_corrects_holds_too() {
    let mut record = Record::default();
    let set = record.begin(Aim::Work);
    let coming = EventId::from_bits(u128::from(record.written) + 2);
    record.add(Payload::Correction(Correction { of: coming }));
    assert_eq!(record.attempt(set, true), coming);
    assert_eq!(record.state().tally(&task()), Tally::default());
}

#[test]
fn attempts_wait_for_their_set() {
    let mut record = Record::default();
    let set = EventId::from_bits(2);
    record.attempt(set, true);
    assert_eq!(record.state().tally(&task()), Tally::default());
    let began = SetBegan { block: EventId::from_bits(400), task: task(), aim: Aim::Work };
    assert_eq!(record.add(Payload::SetBegan(began)), set);
    assert_eq!(record.state().tally(&task()), Tally { work_made: 1, work_tried: 1, ..Tally::default() });
}

#[test]
fn declared_warm_up_is_kept_and_not_counted() {
    let mut record = Record::default();
    let set = record.begin(Aim::Proof);
    record.add(Payload::WarmUpDeclared(WarmUpDeclared { set, attempts: 2 }));
    for made in [false, false, true] {
        record.attempt(set, made);
    }
    let sheets = record.state().sheets(&task());
    assert_eq!((sheets[0].made, sheets[0].tried), (1, 1));
    let warm: Vec<bool> = sheets[0].entries.iter().map(|entry| entry.warm_up).collect();
    assert_eq!(warm, [true, true, false]);
}

#[test]
fn work_sets_never_reach_a_sheet() {
    let mut record = Record::default();
    let set = record.begin(Aim::Work);
    record.attempt(set, true);
    assert!(record.state().sheets(&task()).is_empty());
}

#[test]
fn a_sheet_ends_at_the_first_entry_that_brings_it_to_100_or_more() {
    // Study of progression, section 1: the 100th may come inside a batch, and the next entry opens a new sheet.
    let mut record = Record::default();
    let set = record.begin(Aim::Proof);
    for tried in [60, 60, 10] {
        record.add(Payload::Batch(Batch { set, made: tried / 2, tried }));
    }
    let sheets = record.state().sheets(&task());
    let tried: Vec<u32> = sheets.iter().map(|sheet| sheet.tried).collect();
    assert_eq!(tried, [120, 10]);
    assert_eq!((sheets[0].ended, sheets[1].ended), (Some(Ended::Full), None));
}

#[test]
fn a_sheet_is_resumed_in_the_next_visit_and_not_after_28_days() {
    let mut record = Record::default();
    let first = record.begin(Aim::Proof);
    record.attempt(first, true);
    record.minutes += 27 * 1440;
    let second = record.begin(Aim::Proof);
    record.attempt(second, true);
    let visits: Vec<u32> =
        record.state().sheets(&task())[0].entries.iter().map(|entry| entry.visit).collect();
    assert_eq!(visits, [1, 2]);
    record.minutes += 28 * 1440;
    let third = record.begin(Aim::Proof);
    record.attempt(third, true);
    let sheets = record.state().sheets(&task());
    assert_eq!((sheets.len(), sheets[0].ended), (2, Some(Ended::LayOff)));
}

#[test]
fn an_accepted_promotion_stands_and_is_annotated_when_the_counts_move() {
    let mut record = Record::default();
    let set = record.begin(Aim::Proof);
    let attempts: Vec<EventId> = (0..7).map(|_| record.attempt(set, true)).collect();
    let accepted = PromotionAccepted { task: task(), made: 7, tried: 7 };
    let promotion = record.add(Payload::PromotionAccepted(accepted));
    let standing = |record: &Record| {
        let state = record.state();
        assert_eq!(state.promotions.len(), 1);
        state.standing(&state.promotions[0])
    };
    assert_eq!(standing(&record), Standing { now: (7, 7), called_back: false });
    // A miss of another device, noted before the promotion, arrives after it.
    let clock = record.written - 2;
    let late = Attempt { set, outcome: Outcome::Missed, cue_end: None };
    record.add_at(clock, Payload::Attempt(late));
    assert_eq!(standing(&record), Standing { now: (7, 8), called_back: false });
    record.add(Payload::Correction(Correction { of: attempts[0] }));
    record.add(Payload::Correction(Correction { of: promotion }));
    assert_eq!(standing(&record), Standing { now: (6, 7), called_back: true });
}

#[test]
fn the_ledger_sums_blocks_and_study_by_week() {
    let mut record = Record::default();
    let session = record.add(Payload::SessionBegan(SessionBegan {
        purpose: Purpose::DrillWork,
        minutes_free: 90,
        card: None,
    }));
    let first = record.add(Payload::BlockBegan(BlockBegan { session, purpose: Purpose::DrillWork }));
    record.minutes += 29;
    record.add(Payload::BlockEnded(BlockEnded { block: first }));
    // Not ended by hand: the visit's end does.
    record.add(Payload::BlockBegan(BlockBegan { session, purpose: Purpose::MatchPlay }));
    record.minutes += 9;
    record.add(Payload::SessionEnded(SessionEnded { session, focus: Some(4), line: String::new() }));
    record.minutes += 7 * 1440;
    record.add(Payload::Study(Study { minutes: 20, line: String::new() }));
    let ledger = record.state().ledger();
    let week = |number| &ledger[&Week { year: 2024, number }];
    assert_eq!(week(1)[&Spent::Table(Purpose::DrillWork)], 30 * MINUTE);
    assert_eq!(week(1)[&Spent::Table(Purpose::MatchPlay)], 10 * MINUTE);
    assert_eq!(week(2)[&Spent::Study], 20 * MINUTE);
    assert_eq!(ledger.len(), 2);
}

#[test]
fn a_table_that_was_measured_late_becomes_another_one_all_the_same() {
    let mut record = Record::default();
    let plain = Card::new("hall", "9ft");
    let cloth = |seconds| Card { cloth: Some(Stopwatch { distance_m: 2.54, seconds }), ..plain.clone() };
    let of = record.add(Payload::CardAdded(CardAdded { card: Box::new(plain.clone()) }));
    record.add(Payload::CardChanged(CardChanged { of, card: Box::new(cloth(7.2)) }));
    // A measurement that is taken out again is not forgotten.
    record.add(Payload::CardChanged(CardChanged { of, card: Box::new(plain.clone()) }));
    let known = record.state().cards[&of].clone();
    assert_eq!(known.first, cloth(7.2));
    assert!(matches!(known.first.change(&cloth(7.1)).unwrap(), Change::Keeps { .. }));
    assert!(matches!(known.first.change(&cloth(5.0)).unwrap(), Change::NewCard { .. }));
}

#[test]
fn a_card_changes_and_retires_and_an_unknown_one_changes_nothing() {
    let mut record = Record::default();
    let named = |name: &str| Box::new(Card::new(name, "9ft"));
    let of = record.add(Payload::CardAdded(CardAdded { card: named("hall") }));
    record.add(Payload::CardChanged(CardChanged { of, card: named("hall, new cloth") }));
    record.add(Payload::CardChanged(CardChanged { of: EventId::from_bits(999), card: named("?") }));
    record.add(Payload::CardRetired(CardRetired { of }));
    let state = record.state();
    assert_eq!(state.cards.len(), 1);
    assert_eq!((state.cards[&of].card.name.as_str(), state.cards[&of].retired), ("hall, new cloth", true));
}
