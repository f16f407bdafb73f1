//! The text of constraints, and rungs under them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_practice::card::Card;
use longrail_practice::constraints::{Constraints, ConstraintsError};
use longrail_practice::drill::{Drill, RungError, SHIPPED, Setup};
use longrail_practice::ladder::Posed;
use longrail_stroke::constraint::{Constraint, EXAMPLES};
use longrail_stroke::{Player, StrokeError};
use proptest::prelude::*;

fn constraint() -> impl Strategy<Value = Constraint> {
    prop_oneof![
        (0.5..=1.0).prop_map(Constraint::NarrowerPocket),
        (0.1..=1.0).prop_map(Constraint::SmallerZone),
        (2_u32..=20).prop_map(Constraint::Streak),
        (0.1..=10.0, 10.0..=20.0)
            .prop_map(|(softest_mps, hardest_mps)| Constraint::Speed { softest_mps, hardest_mps }),
        Just(Constraint::NoSide),
        // Corners of the range, and a zero with a sign, too.
        (prop_oneof![0.0..=8.0, Just(-0.0), Just(8.0)], prop_oneof![0.0..=4.0, Just(-0.0)])
            .prop_map(|(along, across)| Constraint::Blocker { along, across }),
    ]
}

proptest! {
    #[test]
    fn equal_sets_have_one_text_and_it_reads_as_the_same_set(
        all in prop::collection::vec(constraint(), 0..5),
        twice in any::<prop::sample::Index>(),
    ) {
        let Ok(constraints) = Constraints::new(all.clone()) else { return Ok(()) };
        let text = constraints.to_string();
        let read: Constraints = text.parse().unwrap();
        prop_assert_eq!(&read, &constraints);
        prop_assert_eq!(read.to_string(), text.clone());
        prop_assert!(!text.contains("-0"), "{}", text);
        // Turned round and with one of them once more it is the same set.
        let mut other: Vec<Constraint> = all.iter().rev().cloned().collect();
        if !all.is_empty() {
            other.push(all[twice.index(all.len())].clone());
        }
        prop_assert_eq!(Constraints::new(other).unwrap().to_string(), text);
    }

    #[test]
    fn no_text_breaks_the_reader(text in "[a-z0-9 ;/.\\-]{0,40}") {
        if let Ok(constraints) = text.parse::<Constraints>() {
            prop_assert_eq!(constraints.to_string().parse::<Constraints>().unwrap(), constraints);
        }
    }
}

#[test]
fn the_text_is_in_one_order_and_empty_for_none() {
    let backwards = EXAMPLES.iter().rev().copied().collect::<Vec<_>>().join("; ");
    let constraints: Constraints = backwards.parse().unwrap();
    assert_eq!(
        constraints.to_string(),
        "pocket 0.9; zone 0.5; speed 1.5 to 3; no side; blocker at 4.5/2; streak 3"
    );
    assert_eq!(constraints.in_a_row(), 3);
    assert!((constraints.chance(0.5) - 0.125).abs() < 1e-12);
    assert_eq!(
        constraints.words(false),
        "pocket 90 % as wide, zone 50 % of its size, 1.5 to 3.0 m/s, no side, a blocker 3½ from the foot, 2 from the right rail, 3 in a row"
    );
    // A mile is 1,609.344 m.
    assert!(constraints.words(true).contains(", 3.4 to 6.7 mph, "), "{}", constraints.words(true));
    assert_eq!((Constraints::default().to_string(), Constraints::default().in_a_row()), (String::new(), 1));
    // As JSON it is the text, too.
    let json = serde_json::to_string(&constraints).unwrap();
    assert_eq!(serde_json::from_str::<Constraints>(&json).unwrap(), constraints);
    assert!(serde_json::from_str::<Constraints>("\"pocket 2\"").is_err());
}

#[test]
fn two_of_a_kind_are_refused_and_two_blockers_are_not() {
    let said = |text: &str| text.parse::<Constraints>().unwrap_err().to_string();
    assert_eq!(
        said("pocket 0.9; pocket 0.8"),
        "\"pocket 0.8\" and \"pocket 0.9\" are two of one kind; keep one of them"
    );
    assert!(said("streak 3; no side; streak 2").contains("two of one kind"));
    assert!(said("no side;").starts_with("\"\" is not understood"));
    assert_eq!("blocker at 1/1; blocker at 1/2".parse::<Constraints>().unwrap().all().len(), 2);
    let many = (0..7).map(|k| Constraint::Blocker { along: f64::from(k), across: 1.0 });
    assert_eq!(Constraints::new(many), Err(ConstraintsError::Blockers { count: 7 }));
    let range = Constraints::new([Constraint::NarrowerPocket(0.2)]).unwrap_err().to_string();
    assert!(range.starts_with("narrower_pocket is 0.2; it must be 0.5 to 1"), "{range}");
}

fn drill(start: &str) -> Drill {
    let (file, text) = SHIPPED.iter().find(|(file, _)| file.starts_with(start)).unwrap();
    Drill::read(file, text).unwrap()
}

fn posed(drill: &Drill, setup: Setup, text: &str) -> Result<Posed, RungError> {
    let card = Card::new("T", "9ft");
    let constraints = text.parse().unwrap();
    Posed::new(drill, &card.world().unwrap(), card.cue_ball(), setup, &Player::default(), &constraints)
}

#[test]
fn a_constrained_ladder_has_the_table_goal_player_and_balls_of_its_constraints() {
    let stop = drill("straight-stop");
    let plain = posed(&stop, Setup::Given, "").unwrap();
    let all = posed(&stop, Setup::Given, "pocket 0.8; zone 0.5; speed 1.5 to 3; blocker at 1/2").unwrap();
    let mouth = |posed: &Posed| posed.world.table().spec().corner_mouth_m;
    assert!((mouth(&all) - 0.8 * mouth(&plain)).abs() < 1e-12);
    assert_eq!((all.player.limits.softest_mps, all.player.limits.hardest_mps), (1.5, 3.0));
    assert_eq!(all.layouts.len(), 9);
    assert!(all.layouts.iter().all(|layout| layout.balls().len() == 3));
    // The drill says 0.5 diamonds.
    assert!(all.goal.to_string() != plain.goal.to_string() && plain.goal.wishes.len() == 2);
    assert_eq!(all.goal.wishes.len(), 3);
    // A streak is no other task; each of the others is.
    assert_eq!(posed(&stop, Setup::Given, "streak 4").unwrap().key(), plain.key());
    for text in ["pocket 0.8", "zone 0.5", "speed 1.5 to 3", "blocker at 1/2"] {
        assert_ne!(posed(&stop, Setup::Given, text).unwrap().key(), plain.key(), "{text}");
    }
}

#[test]
fn a_blocker_is_turned_with_the_layout() {
    let stop = drill("straight-stop");
    let at = |setup| {
        let posed = posed(&stop, setup, "blocker at 1/0.5").unwrap();
        let spec = *posed.world.table().spec();
        let balls = posed.layouts[0].balls();
        let ball = balls.iter().find(|ball| ball.id.starts_with("blocker")).unwrap();
        (ball.position.x / spec.diamond_m(), ball.position.y / spec.diamond_across_m())
    };
    for (setup, place) in [
        (Setup::Given, (1.0, 0.5)),
        (Setup::Turned, (7.0, 3.5)),
        (Setup::Mirrored, (1.0, 3.5)),
        (Setup::TurnedMirrored, (7.0, 0.5)),
    ] {
        let found = at(setup);
        assert!((found.0 - place.0).abs() < 1e-9 && (found.1 - place.1).abs() < 1e-9, "{setup:?} {found:?}");
    }
}

#[test]
fn what_does_not_go_with_a_drill_says_so() {
    // A pot alone has no zone; a blocker on the object ball is on no rung legal.
    let pot = drill("long-straight");
    let error = posed(&pot, Setup::Given, "zone 0.5").unwrap_err();
    assert_eq!(error, RungError::Goal(StrokeError::NothingSmaller));
    let error = posed(&drill("straight-stop"), Setup::Given, "blocker at 7.25/3.25").unwrap_err();
    assert!(error.to_string().starts_with("rung 1 of straight-stop-lengthening cannot be set up"), "{error}");
}
