//! Records of three devices, made from arbitrary numbers.

use longrail_practice::card::Card;
use longrail_practice::clock::Clock;
use longrail_practice::drill::{RungNumber, Setup};
use longrail_practice::event::*;
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use longrail_practice::player::Profile;

/// One thing that a device does: which device, what, how its wall clock moves, and numbers to choose by.
pub(crate) type Act = (usize, u8, i64, usize);

pub(crate) const PLAYERS: [PlayerId; 2] = [PlayerId::from_bits(101), PlayerId::from_bits(102)];

#[derive(Default)]
struct Maker {
    clocks: [Clock; 3],
    walls: [u64; 3],
    sequences: [u64; 3],
    events: Vec<Event>,
}

impl Maker {
    fn add(&mut self, device: usize, player: PlayerId, payload: Payload) {
        let wall = self.walls[device];
        let (clock, _) = self.clocks[device].tick(wall);
        self.sequences[device] += 1;
        let id = EventId::new(wall, u128::try_from(self.events.len()).unwrap());
        let head = Head {
            id,
            player,
            device: DeviceId::from_bits(u128::try_from(device).unwrap() + 1),
            author: player,
            clock,
            sequence: self.sequences[device],
            wall: Wall { ms: wall, offset_min: 60 },
        };
        self.events.push(Event::new(head, payload));
    }

    /// Some event of a kind, or one that never comes.
    fn pick(&self, kind: Kind, by: usize) -> EventId {
        let of_kind: Vec<_> = self.events.iter().filter(|event| event.kind() == kind.name()).collect();
        if of_kind.is_empty() { EventId::from_bits(77) } else { of_kind[by % of_kind.len()].head.id }
    }
}

pub(crate) fn task(by: usize) -> Task {
    Task {
        drill: "straight-stop".to_owned(),
        drill_version: 1,
        rung: RungNumber::whole(u32::try_from(by % 2).unwrap() + 1),
        setup: Setup::Given,
        constraints: String::new(),
        card: EventId::from_bits(5),
    }
}

/// The events of these acts, in the order in which they were made.
pub(crate) fn record(acts: &[Act]) -> Vec<Event> {
    let mut maker = Maker { walls: [1_700_000_000_000; 3], ..Maker::default() };
    for &(device, act, wall, by) in acts {
        let device = device % 3;
        maker.walls[device] = maker.walls[device].saturating_add_signed(wall);
        let player = PLAYERS[usize::from(by % 5 == 4)];
        let set = maker.pick(Kind::SetBegan, by);
        let outcome = [Outcome::Made, Outcome::Missed, Outcome::MissedLeft, Outcome::MissedNotSeen][by % 4];
        let payload = match act % 24 {
            0 => {
                Payload::ProfileChanged(ProfileChanged { profile: Box::new(Profile::new(&format!("n{by}"))) })
            }
            1 => Payload::CardAdded(CardAdded { card: Box::new(Card::new(&format!("t{by}"), "9ft")) }),
            2 => {
                let of = maker.pick(Kind::CardAdded, by);
                Payload::CardChanged(CardChanged { of, card: Box::new(Card::new(&format!("u{by}"), "9ft")) })
            }
            3 => Payload::CardRetired(CardRetired { of: maker.pick(Kind::CardAdded, by) }),
            4 => Payload::SessionBegan(SessionBegan { purpose: Purpose::Test, minutes_free: 60, card: None }),
            5 => {
                let session = maker.pick(Kind::SessionBegan, by);
                Payload::SessionEnded(SessionEnded { session, focus: Some(3), line: String::new() })
            }
            6 | 7 => {
                let session = maker.pick(Kind::SessionBegan, by);
                Payload::BlockBegan(BlockBegan { session, purpose: Purpose::DrillWork })
            }
            8 => Payload::BlockEnded(BlockEnded { block: maker.pick(Kind::BlockBegan, by) }),
            9..=11 => {
                let aim = if by.is_multiple_of(3) { Aim::Work } else { Aim::Proof };
                Payload::SetBegan(SetBegan { block: maker.pick(Kind::BlockBegan, by), task: task(by), aim })
            }
            12 => Payload::WarmUpDeclared(WarmUpDeclared { set, attempts: 2 }),
            13 => Payload::SetEnded(SetEnded { set }),
            14 => Payload::Batch(Batch { set, made: 30, tried: 60 }),
            15 | 16 => {
                let of = if maker.events.is_empty() {
                    EventId::from_bits(77)
                } else {
                    maker.events[by % maker.events.len()].head.id
                };
                Payload::Correction(Correction { of })
            }
            17 => Payload::PromotionAccepted(PromotionAccepted { task: task(by), made: 7, tried: 7 }),
            18 => Payload::StepBackAnswered(StepBackAnswered { task: task(by), accepted: by % 4 < 2 }),
            19 => Payload::Study(Study { minutes: 10, line: String::new() }),
            20 => Payload::JournalEntry(JournalEntry {
                went_on: format!("w{by}"),
                worked: String::new(),
                next: String::new(),
                private: true,
            }),
            _ => Payload::Attempt(Attempt { set, outcome, cue_end: None }),
        };
        maker.add(device, player, payload);
    }
    maker.events
}

/// The same events in another order, some of them more than once.
pub(crate) fn shuffled(events: &[Event], seed: u64) -> Vec<Event> {
    let mut state = seed | 1;
    let mut next = |below: usize| {
        // Knuth's linear congruential generator (TAOCP 2, section 3.3.4, MMIX); the high bits are used.
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(state >> 33).unwrap() % below
    };
    let mut all: Vec<Event> = events.to_vec();
    for _ in 0..events.len() / 3 {
        all.push(events[next(events.len())].clone());
    }
    for at in (1..all.len()).rev() {
        all.swap(at, next(at + 1));
    }
    all
}
