use super::ladders::{DRILLS, VERSION};
use super::{History, Settings, is_rest, truth};
use longrail_practice::drill::{Drill, SHIPPED};
use longrail_practice::event::{Event, Kind, Payload};
use longrail_practice::id::EventId;
use longrail_practice::log::Log;
use std::collections::BTreeSet;

fn settings(days: u32) -> Settings {
    Settings { days, ..Settings::default() }
}

fn events(settings: Settings) -> Vec<Event> {
    History::new(settings).unwrap().collect()
}

/// Attempts of a record, those taken back left out.
fn shot(events: &[Event]) -> u32 {
    let undone: BTreeSet<EventId> = events.iter().filter_map(Event::corrects).collect();
    let counts = |event: &&Event| !undone.contains(&event.head.id);
    let tried = events.iter().filter(counts).map(|event| match event.payload() {
        Some(Payload::Attempt(_)) => 1,
        Some(Payload::Batch(batch)) => batch.tried,
        _ => 0,
    });
    tried.sum()
}

#[test]
fn a_day_has_the_attempts_that_were_asked_for() {
    assert_eq!(shot(&events(settings(1))), 200);
    assert_eq!(shot(&events(Settings { attempts_a_day: 37, ..settings(3) })), 111);
    assert_eq!(shot(&events(Settings { attempts_a_day: 0, ..settings(3) })), 0);
    // A day of more attempts than hours would allow is still one day.
    let busy = events(Settings { attempts_a_day: 20_000, ..settings(2) });
    assert_eq!(shot(&busy), 40_000);
    let all = settings(2).from_ms..settings(2).from_ms + 2 * super::DAY_MS;
    assert!(busy.iter().all(|event| all.contains(&event.head.wall.ms)));
}

#[test]
fn ten_years_are_six_hundred_thousand_attempts() {
    let practised = (0..Settings::default().days).filter(|&day| !is_rest(day)).count();
    let attempts = practised * usize::try_from(Settings::default().attempts_a_day).unwrap();
    assert!((595_000..=605_000).contains(&attempts), "{attempts}");
}

#[test]
fn events_stand_in_their_order_and_each_has_its_own_name() {
    let events = events(settings(40));
    assert!(events.windows(2).all(|pair| pair[0].head.position() < pair[1].head.position()));
    let names: BTreeSet<EventId> = events.iter().map(|event| event.head.id).collect();
    assert_eq!(names.len(), events.len());
    let devices: BTreeSet<_> = events.iter().map(|event| event.head.device).collect();
    for device in &devices {
        let of = events.iter().filter(|event| event.head.device == *device);
        assert!(of.zip(1..).all(|(event, number)| event.head.sequence == number));
    }
    assert_eq!(devices.len(), 2);
}

#[test]
fn another_seed_is_another_player() {
    assert_eq!(events(settings(3)), events(settings(3)));
    assert_ne!(events(settings(3)), events(Settings { seed: 2, ..settings(3) }));
}

#[test]
fn the_kinds_of_a_real_record_are_there_and_can_be_written_and_read() {
    let events = events(settings(120));
    for kind in [
        Kind::ProfileChanged,
        Kind::CardAdded,
        Kind::SessionBegan,
        Kind::SessionEnded,
        Kind::BlockBegan,
        Kind::BlockEnded,
        Kind::WarmUpDeclared,
        Kind::SetBegan,
        Kind::SetEnded,
        Kind::Attempt,
        Kind::Batch,
        Kind::CueEndNoted,
        Kind::Correction,
        Kind::PromotionAccepted,
        Kind::StepBackAnswered,
        Kind::Annotation,
        Kind::Study,
        Kind::JournalEntry,
    ] {
        assert!(events.iter().any(|event| event.kind() == kind.name()), "{kind:?}");
    }
    for event in &events {
        assert_eq!(Event::decode(&event.encode().unwrap()).unwrap(), *event);
    }
}

/// The state works the sheets out by itself: both routes must come to the counts at which a promotion was accepted.
#[test]
fn promotions_rest_on_the_sheets_that_the_state_finds() {
    let settings = settings(500);
    let mut log = Log::default();
    log.merge(History::new(settings).unwrap());
    let state = log.state(settings.player).unwrap();
    assert!(state.promotions.len() >= 15, "{}", state.promotions.len());
    for promotion in &state.promotions {
        let accepted = (promotion.what.made, promotion.what.tried);
        assert_eq!(state.standing(promotion).now, accepted, "{promotion:?}");
    }
}

#[test]
fn the_player_gets_better_and_makes_what_the_truth_says() {
    assert!(truth::spread_deg(0) > 1.9 * truth::spread_deg(900));
    // Study of progression, 3.1: .474 at four diamonds for a spread of a quarter of a degree, where the player ends.
    let end = truth::chance(12, truth::spread_deg(30_000));
    assert!((end - 0.474).abs() < 0.000_51, "{end}");
}

#[test]
fn the_ladders_are_those_that_come_with_the_program() {
    for (name, rungs, _) in DRILLS {
        let file = format!("{name}.toml");
        let (file, text) = SHIPPED.iter().find(|(shipped, _)| *shipped == file).unwrap();
        let drill = Drill::read(file, text).unwrap();
        assert_eq!((drill.version, drill.rungs), (VERSION, rungs), "{name}");
    }
}
