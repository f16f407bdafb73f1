//! Drill files: what is read, and what is said where it cannot be.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_physics::table::{PocketId, Rail};
use longrail_practice::card::Card;
use longrail_practice::drill::{Drill, Family, Place, RungError, Setup, Step};
use longrail_stroke::goal::Wish;
use proptest::prelude::*;

const FILE: &str = r#"version = 1
family = "along-the-rail"
title = "A test"
why = "To test."
harder = "Farther away."
seconds_to_reset = 15
cautions = ["Mind the lamp."]
sizes = ["9ft"]

[balls]
cue = { along = 5.0, across = 2.0 }
1 = { along = 6.5, frozen = "left" }

[goal]
all = [{ pot = { ball = "1", pocket = "foot-left" } }]

[ladder]
rungs = 5
moves = { cue = { along = -0.25 } }
"#;

#[test]
fn a_file_becomes_a_drill() {
    let drill = Drill::read("drills/a-test.toml", FILE).unwrap();
    assert_eq!((drill.id.as_str(), drill.family, drill.rungs), ("a-test", Family::AlongTheRail, 5));
    assert_eq!(drill.balls["1"], Place::Frozen { rail: Rail::Left, at: 6.5 });
    assert_eq!(drill.moves["cue"], Step { along: -0.25, across: 0.0 });
    assert_eq!(drill.balls_needed(), 2);
    // 15 s to set up and 15 s for the shot.
    assert_eq!(drill.attempts_an_hour(), 120);
    assert_eq!(drill.step_diamonds(), 0.25);
    assert_eq!(drill.cautions, ["Mind the lamp."]);
}

/// The error of the file with `from` replaced by `to`.
fn refused(from: &str, to: &str) -> String {
    assert!(FILE.contains(from), "{from}");
    Drill::read("a-test.toml", &FILE.replacen(from, to, 1)).unwrap_err().to_string()
}

#[test]
fn what_is_wrong_is_said_with_line_and_column_and_what_is_expected() {
    for (from, to, place, words) in [
        ("version = 1", "version = 0", "1:11", "version is 0; it must be 1 to 1000"),
        ("version = 1", "version = 1.5", "1:11", "expected a whole number"),
        ("version = 1\n", "", "1:1", "missing field `version`"),
        ("\"along-the-rail\"", "\"railing\"", "2:10", "unknown variant `railing`, expected one of"),
        ("\"To test.\"", "\"\"", "4:7", "why is empty"),
        ("harder =", "colour =", "5:1", "unknown field `colour`"),
        ("\"9ft\"", "\"11ft\"", "8:10", "there is no table size \"11ft\"; the names are"),
        ("[\"9ft\"]", "[]", "8:9", "expected at least one table size"),
        ("cue = { along = 5.0, across", "white = { along = 5.0, across", "10:1", "there is no cue ball"),
        (
            "along = 5.0, across = 2.0",
            "along = 9.0, across = 2.0",
            "11:7",
            "along is 9; it must be 0 to 8 diamonds",
        ),
        ("along = 5.0, across = 2.0", "along = 5.0", "11:7", "expected along and across"),
        ("along = 5.0", "along = \"5\"", "11:17", "expected a number"),
        ("frozen = \"left\"", "frozen = \"top\"", "12:5", "no rail \"top\"; expected one of head, foot"),
        ("frozen = \"left\"", "frozen = \"left\", across = 1.0", "12:5", "expected along, and no across"),
        ("\"foot-left\"", "\"corner\"", "15:", "no pocket \"corner\"; there are head-left"),
        ("ball = \"1\"", "ball = \"7\"", "14:1", "ball \"7\" is named"),
        ("rungs = 5", "rungs = 1", "18:9", "ladder.rungs is 1; it must be 2 to 60"),
        ("cue = { along = -0.25 }", "2 = { along = -0.25 }", "19:", "expected one of 1, cue"),
        ("cue = { along = -0.25 }", "cue = { along = -0.5 }", "19:", "it must be -0.25 to 0.25 diamonds"),
        ("cue = { along = -0.25 }", "cue = { along = 0.0 }", "19:", "no ball moves"),
        ("cue = { along = -0.25 }", "1 = { across = 0.1 }", "19:", "expected a step along that rail"),
        ("rungs = 5", "rungs = 40", "17:1", "rung 21 of a-test cannot be set up"),
        ("along = 5.0, across = 2.0", "along = 6.5, across = 3.8", "10:1", "overlap"),
        ("[goal]", "[goal", "14:6", "expected"),
    ] {
        let said = refused(from, to);
        assert!(said.starts_with(&format!("a-test.toml:{place}")), "{to}: {said}");
        assert!(said.contains(words), "{to}: {said}");
        assert!(!said.contains('\n'), "{said}");
    }
}

#[test]
fn the_place_is_shown_under_its_line() {
    let text = FILE.replace("rungs = 5", "rungs = 1");
    let error = Drill::read("a-test.toml", &text).unwrap_err();
    let lines: Vec<&str> = error.shown.lines().collect();
    let at = lines.iter().position(|line| line.ends_with("rungs = 1")).unwrap();
    // The mark stands under the number.
    assert_eq!(
        lines[at].find('1').map(|_| lines[at].rfind('1')),
        Some(lines[at + 1].find('^')),
        "{}",
        error.shown
    );
}

#[test]
fn a_file_needs_a_plain_name() {
    let error = Drill::read("My drill.toml", FILE).unwrap_err();
    assert!(error.message.contains("expected 1 to 60 small letters"), "{error}");
}

#[test]
fn a_longer_step_has_to_be_asked_for() {
    let text = FILE.replace("rungs = 5", "rungs = 5\nlongest_step = 0.5").replace("-0.25", "-0.5");
    assert_eq!(Drill::read("a-test.toml", &text).unwrap().step_diamonds(), 0.5);
}

#[test]
fn a_frozen_ball_touches_the_nose_whatever_the_table() {
    let drill = Drill::read("a-test.toml", FILE).unwrap();
    for size in ["7ft", "9ft", "10ft"] {
        let card = Card::new("T", size);
        let world = card.world().unwrap();
        let rung = drill.rung(&world, card.cue_ball(), Setup::Turned, 1.0).unwrap();
        let ball = rung.layout.balls().iter().find(|ball| ball.id == "1").unwrap();
        let spec = world.table().spec();
        // Turned, it lies on the right rail, 1.5 diamonds from the head; √(28.575² − 7.715²) = 27.514 mm.
        assert!((ball.position.y - 0.027_514).abs() < 1e-6, "{}", ball.position.y);
        assert!((ball.position.x - 1.5 * spec.length_m / 8.0).abs() < 1e-12);
        assert!(matches!(rung.goal.wishes[0], Wish::Pot { pocket: Some(PocketId::HeadRight), .. }));
    }
}

#[test]
fn a_rung_may_lie_between_two_and_not_beyond_the_last() {
    let drill = Drill::read("a-test.toml", FILE).unwrap();
    let card = Card::new("T", "9ft");
    let world = card.world().unwrap();
    let along = |number: f64| {
        let rung = drill.rung(&world, card.cue_ball(), Setup::Given, number)?;
        Ok::<f64, RungError>(rung.layout.balls()[rung.layout.cue_ball().unwrap()].position.x * 8.0 / 2.54)
    };
    assert!((along(2.5).unwrap() - 4.625).abs() < 1e-12);
    for number in [0.5, 5.5, f64::NAN] {
        assert!(matches!(along(number), Err(RungError::NoSuchRung { .. })), "{number}");
    }
}

proptest! {
    #[test]
    fn no_text_makes_the_reader_panic(cut in 0..FILE.len(), what in "\\PC{0,6}", skip in 0_usize..8) {
        if FILE.is_char_boundary(cut) {
            let end = (cut + skip).min(FILE.len());
            let text = format!("{}{what}{}", &FILE[..cut], &FILE[end..]);
            if let Err(error) = Drill::read("a-test.toml", &text) {
                prop_assert!(error.line >= 1 && error.column >= 1);
                prop_assert!(!error.message.is_empty());
            }
        }
    }

    #[test]
    fn setting_up_twice_the_same_way_gives_the_layout_back(along in 0.0..8.0_f64, across in 0.0..4.0_f64) {
        for setup in Setup::ALL {
            let Place::At { along: a, across: b } = setup.place(setup.place(Place::At { along, across }))
            else { panic!("a place in diamonds stays one") };
            prop_assert!((a - along).abs() < 1e-12 && (b - across).abs() < 1e-12);
        }
    }
}
