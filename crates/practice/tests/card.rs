//! Table cards: what is measured, what is assumed, what is like.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_physics::table::PocketId;
use longrail_practice::card::{Card, Change, CueBall, Mouth, Mouths, Rebound, Size, Stopwatch};

fn measured() -> Card {
    Card {
        place: "Club, by the window".to_owned(),
        size: Size::Measured { length_m: 2.54, width_m: 1.27 },
        mouths: Mouths::alike(Some(Mouth::Width(0.117)), Some(Mouth::Fit { balls: 2, room_mm: 12.0 })),
        cloth: Some(Stopwatch { distance_m: 2.54, seconds: 7.2 }),
        cue_ball: Some(CueBall { radius_m: 0.0286, mass_kg: 0.172 }),
        ..Card::new("Table 3", "9ft")
    }
}

#[test]
fn a_card_takes_a_name_and_a_size_and_says_what_it_assumes() {
    let card = Card::new("Table 1", "7ft");
    assert_eq!(card.world().unwrap().table().spec().length_m, 78.0 * 0.0254);
    let list = card.unmeasured(false);
    assert_eq!(list.len(), 6, "{list:?}");
    assert!(list.contains(&"mouths of the corner pockets (taken as 114.3 mm)".to_owned()), "{list:?}");
    let rest = measured().unmeasured(false);
    assert_eq!(rest, ["rebound of the rails (restitution taken as 0.98)"]);
}

#[test]
fn two_balls_that_just_go_in_are_as_wide_as_geometry_says() {
    // Drawn on paper: centres 57.15 mm apart, and each jaw point touches its ball 7.715 mm above the middle, where the ball is
    // half as wide as √(28.575² − 7.715²) = 27.514 mm. Together 112.18 mm.
    let mut card = measured();
    card.mouths.foot_left = Some(Mouth::Fit { balls: 2, room_mm: 0.0 });
    let world = card.world().unwrap();
    assert!((world.table().spec().mouth_m(PocketId::FootLeft) - 0.112_18).abs() < 1e-5);
    card.mouths.foot_left = Some(Mouth::Fit { balls: 1, room_mm: 50.0 });
    let world = card.world().unwrap();
    assert!((world.table().spec().mouth_m(PocketId::FootLeft) - 0.105_03).abs() < 1e-5);
}

#[test]
fn the_stopwatch_gives_the_reference_value() {
    // Physics reference, check M17: 2.54 m in 7.2 s.
    let world = measured().world().unwrap();
    assert!((world.conditions().rolling_friction - 0.009_992_59).abs() < 1e-7);
}

#[test]
fn the_rebound_test_finds_the_restitution_of_the_reference() {
    // Physics reference, 5.2, pool geometry, e 0.98 and friction 0.14 at the rail: a ball that rolls straight in leaves with
    // 0.960 of its speed and rolls again with 0.615 of it. With sliding friction 0.2 and rolling friction 0.01 it then comes
    // back (0.960² − 0.615²) v²/(2·0.2 g) + 0.615² v²/(2·0.01 g), v its speed at the rail after 0.8 m in 0.8 s.
    let g = 9.80665;
    let (way, seconds) = (0.8, 0.8);
    let v = way / seconds - 0.5 * 0.01 * g * seconds;
    let slides = (0.960 * 0.960 - 0.615 * 0.615) * v * v / (2.0 * 0.2 * g);
    let rolls = 0.615 * 0.615 * v * v / (2.0 * 0.01 * g);
    // From the nose to the middle of a ball that touches it.
    let reach = 0.027_514;
    let rails = Rebound { away_m: way + reach, seconds, back_m: reach + slides + rolls };
    let card = Card { rails: Some(rails), ..measured() };
    let restitution = card.world().unwrap().conditions().cushion.restitution;
    // The reference gives the ratios to three digits: 0.0005 of 0.615 is 0.2 % of the way back.
    assert!((restitution - 0.98).abs() < 0.005, "{restitution}");
}

#[test]
fn a_farther_rebound_is_a_livelier_rail() {
    let with = |back_m| Card { rails: Some(Rebound { away_m: 1.2, seconds: 1.3, back_m }), ..measured() };
    let found: Vec<f64> = [0.6, 0.8, 1.0]
        .into_iter()
        .map(|back_m| with(back_m).world().unwrap().conditions().cushion.restitution)
        .collect();
    assert!(found.is_sorted_by(|a, b| a < b), "{found:?}");
}

#[test]
fn what_cannot_be_is_refused_with_field_value_and_range() {
    let says = |card: Card| card.check().unwrap_err().to_string();
    let good = measured();
    assert!(says(Card { name: String::new(), ..good.clone() }).starts_with("name is empty"));
    assert!(says(Card::new("T", "11ft")).contains("there is no table size \"11ft\""));
    let size = Size::Measured { length_m: f64::NAN, width_m: 1.2 };
    assert_eq!(says(Card { size, ..good.clone() }), "size.length_m is NaN; it must be 1 to 4 m");
    let mouths = Mouths { side_left: Some(Mouth::Width(0.3)), ..Mouths::default() };
    assert_eq!(
        says(Card { mouths, ..good.clone() }),
        "mouths.side-left is 0.3; it must be 0.07 to 0.2 m from jaw to jaw"
    );
    let mouths = Mouths { side_left: Some(Mouth::Fit { balls: 0, room_mm: 90.0 }), ..Mouths::default() };
    assert!(says(Card { mouths, ..good.clone() }).contains("fit.balls is 0; it must be 1 to 2"));
    let cloth = Some(Stopwatch { distance_m: 2.54, seconds: 2.0 });
    assert!(says(Card { cloth, ..good.clone() }).contains("measure again"));
    let rails = Some(Rebound { away_m: 1.0, seconds: 9.0, back_m: 0.5 });
    assert!(says(Card { rails, ..good.clone() }).contains("would stop before the rail"));
    let rails = Some(Rebound { away_m: 1.0, seconds: 0.9, back_m: 2.4 });
    assert!(says(Card { rails, ..good.clone() }).contains("rails.back_m is 2.4"));
    let cue_ball = Some(CueBall { radius_m: 0.05, mass_kg: 0.17 });
    assert!(says(Card { cue_ball, ..good }).starts_with("cue_ball.radius_m is 0.05"));
}

#[test]
fn to_measure_what_was_assumed_keeps_the_records() {
    let before = Card::new("Table 3", "9ft");
    let change = before.change(&measured()).unwrap();
    let Change::Keeps { changed } = change else { panic!("{change:?}") };
    assert_eq!(changed, ["place", "playing surface", "mouths", "cloth", "cue ball"]);
    assert_eq!(before.change(&before).unwrap(), Change::Keeps { changed: Vec::new() });
    // "9ft" turns out to be an inch shorter; but a 7-ft table is another table.
    let size = Size::Measured { length_m: 2.515, width_m: 1.26 };
    assert!(matches!(before.change(&Card { size, ..before.clone() }).unwrap(), Change::Keeps { .. }));
    let change = before.change(&Card::new("Table 3", "7ft")).unwrap();
    assert!(matches!(change, Change::NewCard { .. }));
}

#[test]
fn a_new_cloth_or_narrower_pockets_need_a_new_card() {
    let before = measured();
    let cloth = Some(Stopwatch { distance_m: 2.54, seconds: 9.0 });
    let why = match before.change(&Card { cloth, ..before.clone() }).unwrap() {
        Change::NewCard { why } => why,
        keeps @ Change::Keeps { .. } => panic!("{keeps:?}"),
    };
    assert!(why[0].words(false).starts_with("rolling friction of the cloth: 0.0100 and 0.0064"), "{why:?}");
    // The same cloth, timed a tenth of a second off.
    let cloth = Some(Stopwatch { distance_m: 2.54, seconds: 7.3 });
    assert!(matches!(before.change(&Card { cloth, ..before.clone() }).unwrap(), Change::Keeps { .. }));
    let mouths = Mouths::alike(Some(Mouth::Width(0.1105)), before.mouths.side_left);
    let change = before.change(&Card { mouths, ..before.clone() }).unwrap();
    assert!(matches!(change, Change::NewCard { why } if why.len() == 4));
    // 114.3 and 110.5 mm are 4½ and 4.35 in, and 2 mm are .08 in.
    let before =
        Card { mouths: Mouths::alike(Some(Mouth::Width(0.1143)), before.mouths.side_left), ..before };
    let change = before.change(&Card { mouths, ..before.clone() }).unwrap();
    let Change::NewCard { why } = change else { panic!("{change:?}") };
    assert!(why[0].words(true).ends_with(": 4.50 and 4.35 in, more than 0.08 in apart"), "{why:?}");
}

#[test]
fn two_tables_are_alike_only_where_both_are_measured() {
    let (one, other) = (Card::new("Table 1", "9ft"), Card::new("Table 2", "9ft"));
    let found = one.key().unwrap().differences(&other.key().unwrap());
    assert!(found.iter().all(|one| one.words(false).ends_with("not measured on both tables")), "{found:?}");
    assert_eq!(found.len(), 10);
    assert_eq!(one.key().unwrap().differences(&one.key().unwrap()), []);
}

#[test]
fn a_card_survives_being_written_down() {
    let card = Card { rails: Some(Rebound { away_m: 1.2, seconds: 1.3, back_m: 0.8 }), ..measured() };
    let text = serde_json::to_string(&card).unwrap();
    assert_eq!(serde_json::from_str::<Card>(&text).unwrap(), card);
    let short = r#"{"name": "Bar", "size": {"named": "7ft"}}"#;
    assert_eq!(serde_json::from_str::<Card>(short).unwrap(), Card::new("Bar", "7ft"));
    assert!(
        serde_json::from_str::<Card>(r#"{"name": "Bar", "size": {"named": "7ft"}, "cloths": 1}"#).is_err()
    );
}
