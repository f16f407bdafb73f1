//! Reading and writing events.

use super::*;
use crate::card::Card;
use crate::drill::{RungNumber, Setup};
use crate::player::Profile;

fn head() -> Head {
    Head {
        id: "017f22e2-79b0-7cc3-98c4-dc0c0c07398f".parse().unwrap(),
        player: PlayerId::from_bits(1),
        device: DeviceId::from_bits(2),
        author: PlayerId::from_bits(1),
        clock: Stamp { ms: 5, count: 1 },
        sequence: 7,
        wall: Wall { ms: 4, offset_min: -300 },
    }
}

fn task() -> Task {
    Task {
        drill: "straight-stop".to_owned(),
        drill_version: 1,
        rung: RungNumber::whole(3),
        setup: Setup::Turned,
        constraints: "pocket 0.9".to_owned(),
        card: EventId::from_bits(9),
    }
}

/// One payload of every kind, optional fields filled.
fn every_kind() -> Vec<Payload> {
    let of = EventId::from_bits(3);
    let card = Box::new(Card::new("home", "9ft"));
    vec![
        Payload::ProfileChanged(ProfileChanged { profile: Box::new(Profile::new("A")) }),
        Payload::CardAdded(CardAdded { card: card.clone() }),
        Payload::CardChanged(CardChanged { of, card }),
        Payload::CardRetired(CardRetired { of }),
        Payload::SessionBegan(SessionBegan { purpose: Purpose::Test, minutes_free: 45, card: Some(of) }),
        Payload::SessionEnded(SessionEnded { session: of, focus: Some(5), line: "calm".to_owned() }),
        Payload::BlockBegan(BlockBegan { session: of, purpose: Purpose::DrillWork }),
        Payload::BlockEnded(BlockEnded { block: of }),
        Payload::WarmUpDeclared(WarmUpDeclared { set: of, attempts: 5 }),
        Payload::SetBegan(SetBegan { block: of, task: task(), aim: Aim::Proof }),
        Payload::SetEnded(SetEnded { set: of }),
        Payload::Attempt(Attempt { set: of, outcome: Outcome::MissedLeft, cue_end: Some(CueEnd::Short) }),
        Payload::Batch(Batch { set: of, made: 6, tried: 10 }),
        Payload::CueEndNoted(CueEndNoted { set: of, of, cue_end: CueEnd::Long }),
        Payload::Correction(Correction { of }),
        Payload::PromotionAccepted(PromotionAccepted { task: task(), made: 7, tried: 7 }),
        Payload::StepBackAnswered(StepBackAnswered { task: task(), accepted: false }),
        Payload::ComparisonOpened(ComparisonOpened { what: "set 1, set 2".to_owned() }),
        Payload::Annotation(Annotation { of, text: "wet cloth".to_owned() }),
        Payload::Study(Study { minutes: 20, line: "throw".to_owned() }),
        Payload::JournalEntry(JournalEntry {
            went_on: "a".to_owned(),
            worked: "b".to_owned(),
            next: "c".to_owned(),
            private: false,
        }),
        Payload::PersonErased(PersonErased {}),
    ]
}

#[test]
fn every_kind_comes_back_as_it_was_written() {
    let payloads = every_kind();
    assert_eq!(payloads.iter().map(Payload::kind).collect::<Vec<_>>(), Kind::ALL);
    for payload in payloads {
        let event = Event::new(head(), payload);
        let line = event.encode().unwrap();
        let back = Event::decode(&line).unwrap();
        assert_eq!(back, event);
        assert_eq!(back.encode().unwrap(), line);
    }
}

#[test]
fn names_of_kinds_are_snake_case_and_unique() {
    for (at, kind) in Kind::ALL.iter().enumerate() {
        assert!(kind.name().chars().all(|c| c.is_ascii_lowercase() || c == '_'));
        assert_eq!(Kind::from_name(kind.name()), Some(*kind));
        assert!(Kind::ALL[..at].iter().all(|other| other.name() != kind.name()));
    }
}

#[test]
fn the_line_is_the_one_that_the_format_shows() {
    let attempt = Attempt { set: EventId::from_bits(3), outcome: Outcome::MissedLeft, cue_end: None };
    let line = Event::new(head(), Payload::Attempt(attempt)).encode().unwrap();
    let expected = concat!(
        r#"{"id":"017f22e2-79b0-7cc3-98c4-dc0c0c07398f","player":"00000000-0000-0000-0000-000000000001","#,
        r#""device":"00000000-0000-0000-0000-000000000002","author":"00000000-0000-0000-0000-000000000001","#,
        r#""clock":{"ms":5,"count":1},"sequence":7,"wall":{"ms":4,"offset_min":-300},"schema":1,"kind":"attempt","#,
        r#""body":{"set":"00000000-0000-0000-0000-000000000003","outcome":"missed_left"}}"#
    );
    assert_eq!(line, expected);
}

fn line_with(kind: &str, schema: u32, body: &str) -> String {
    let line = Event::new(head(), Payload::PersonErased(PersonErased {})).encode().unwrap();
    let (start, _) = line.split_once("\"schema\"").unwrap();
    format!(r#"{start}"schema":{schema},"kind":"{kind}","body":{body}}}"#)
}

#[test]
fn an_unknown_field_of_a_known_kind_is_an_error_that_names_it() {
    let body = r#"{"set":"00000000-0000-0000-0000-000000000003","made":1,"tried":2,"colour":"red"}"#;
    let message = Event::decode(&line_with("batch", 1, body)).unwrap_err().to_string();
    assert!(message.contains("`batch`") && message.contains("`colour`"), "{message}");
    let line = line_with("set_ended", 1, r#"{"set":"00000000-0000-0000-0000-000000000003"}"#);
    let message = Event::decode(&line.replacen('{', r#"{"mood":1,"#, 1)).unwrap_err().to_string();
    assert!(message.contains("`mood`"), "{message}");
}

#[test]
fn a_newer_kind_or_schema_is_kept_byte_for_byte() {
    let newer = [
        line_with("wager", 1, r#"{ "a" :  1.50, "a": [ ] }"#),
        line_with("attempt", 2, r#"{"spin": "left"}"#),
        line_with("attempt", 2, "7").replacen('{', r#"{ "mood":1 ,"#, 1),
    ];
    for line in newer {
        let event = Event::decode(&line).unwrap();
        assert_eq!((event.payload(), event.head), (None, head()));
        assert_eq!(event.encode().unwrap(), line);
    }
}

#[test]
fn impossible_values_are_refused_with_what_is_allowed() {
    let set = r#""set":"00000000-0000-0000-0000-000000000003""#;
    let session = r#""session":"00000000-0000-0000-0000-000000000003""#;
    let cases = [
        ("batch", format!(r#"{{{set},"made":3,"tried":2}}"#), "`made` of this `batch` event is 3"),
        ("batch", format!(r#"{{{set},"made":0,"tried":0}}"#), "it must be 1 to 10000"),
        ("session_ended", format!(r#"{{{session},"focus":6}}"#), "it must be 1 to 5"),
        ("warm_up_declared", format!(r#"{{{set},"attempts":11}}"#), "it must be 1 to 10"),
        ("study", r#"{"minutes":0}"#.to_owned(), "it must be 1 to 1440"),
        ("attempt", format!(r#"{{{set},"outcome":"lucky"}}"#), "`lucky`"),
    ];
    for (kind, body, words) in cases {
        let message = Event::decode(&line_with(kind, 1, &body)).unwrap_err().to_string();
        assert!(message.contains(words), "{message}");
    }
}

#[test]
fn what_is_no_event_is_told_and_nothing_panics() {
    for line in ["", "{", "null", "[]", "{}", "\u{0}", r#"{"id":"x"}"#] {
        assert!(matches!(Event::decode(line), Err(EventError::Head(_))), "{line}");
    }
    assert!(matches!(Event::decode(&" ".repeat(LONGEST + 1)), Err(EventError::TooLong(_))));
}

#[test]
fn a_journal_is_private_unless_it_says_otherwise() {
    let event = Event::decode(&line_with("journal_entry", 1, "{}")).unwrap();
    assert!(matches!(event.payload(), Some(Payload::JournalEntry(JournalEntry { private: true, .. }))));
}
