//! Goals as data, and what counts as made, on shots whose outcome is plain.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{Posed, layout, odds_world, straight_in};
use longrail_physics::Engine;
use longrail_physics::table::{PocketId, Rail};
use longrail_stroke::goal::{Wish, Zone};
use longrail_stroke::stroke::Stroke;
use longrail_stroke::{Category, Goal, Hit, Player, StrokeError};

/// How the shot ends for this goal.
fn judged(goal: &Goal, balls: &[(&str, f64, f64)], hit: Hit) -> Category {
    let world = odds_world();
    let posed =
        Posed::new(&world, layout(&world, balls), Player::with(Stroke::aim_only(0.1)), goal.clone(), hit);
    posed.setting(&world).play(&mut Engine::new(), &posed.hit).unwrap().category
}

fn wish(wish: Wish) -> Goal {
    Goal::of(wish)
}

#[test]
fn a_goal_is_written_and_read_as_json() {
    let text = r#"{"all": [
        {"pot": {"ball": "1", "pocket": "foot-left"}},
        {"rails": {"at_least": 1, "at_most": 2}},
        {"avoid_rail": {"rail": "head"}},
        {"stop": {"zone": {"circle": {"along": 2, "across": 2, "radius": 1}}}}
    ]}"#;
    let goal: Goal = serde_json::from_str(text).unwrap();
    let again: Goal = serde_json::from_str(&serde_json::to_string(&goal).unwrap()).unwrap();
    assert_eq!(goal, again);
    assert_eq!(
        goal.to_string(),
        "pot the 1 in the left foot corner; the cue ball touches 1 to 2 rails; the cue ball does not touch the head \
         rail; the cue ball stops within 1 diamond of the point 2 from the head, 2 from the right rail"
    );
}

#[test]
fn an_unknown_pocket_is_refused_with_those_there_are() {
    let text = r#"{"all": [{"pot": {"ball": "1", "pocket": "middle"}}]}"#;
    let message = serde_json::from_str::<Goal>(text).unwrap_err().to_string();
    assert!(message.contains("no pocket \"middle\"; there are head-left"), "{message}");
}

#[test]
fn a_goal_about_a_ball_that_is_not_there_is_refused() {
    let world = odds_world();
    let layout = layout(&world, &[("cue", 2.0, 2.0), ("1", 4.0, 2.0)]);
    let error = Goal::pot("7", PocketId::FootLeft).plan(&world, &layout).unwrap_err();
    assert_eq!(error, StrokeError::NoSuchBall { name: "7".to_owned(), known: "cue, 1".to_owned() });
    assert_eq!(Goal::default().plan(&world, &layout).unwrap_err(), StrokeError::EmptyGoal);
}

#[test]
fn a_straight_shot_is_made_and_a_turned_one_is_missed_on_the_other_side() {
    let world = odds_world();
    let posed = straight_in(&world, 0.6, Player::default());
    let setting = posed.setting(&world);
    let play = |by: f64| {
        let hit = Hit { direction_deg: posed.hit.direction_deg + by, ..posed.hit };
        setting.play(&mut Engine::new(), &hit).unwrap().category
    };
    assert_eq!(play(0.0), Category::Made);
    // Aimed to the left, the cue ball meets the object ball on its left and sends it right.
    assert_eq!((play(0.6), play(-0.6)), (Category::MissedRight, Category::MissedLeft));
    assert_eq!(play(8.0), Category::Astray);
}

#[test]
fn the_cue_ball_alone_meets_its_wishes_or_not() {
    let straight_up = |speed: f64| Hit::plain(speed, 0.0);
    let alone = [("cue", 2.0, 2.0)];
    let touch = wish(Wish::Touch { rail: Rail::Foot });
    assert_eq!(judged(&touch, &alone, straight_up(3.0)), Category::Made);
    assert_eq!(judged(&touch, &alone, straight_up(0.5)), Category::Short);
    let zone = || Zone::Circle { along: 5.0, across: 2.0, radius: 0.3 };
    let (pass, stop) = (wish(Wish::Pass { zone: zone() }), wish(Wish::Stop { zone: zone() }));
    assert_eq!(judged(&pass, &alone, straight_up(2.0)), Category::Made);
    assert_ne!(judged(&stop, &alone, straight_up(2.0)), Category::Made);
    let few = wish(Wish::Rails { at_least: 0, at_most: Some(1) });
    assert_eq!(judged(&few, &alone, straight_up(6.0)), Category::Long);
    let lag = wish(Wish::Lag { ball: "cue".to_owned(), rail: Rail::Foot, diamonds: 0.2 });
    assert_eq!(judged(&lag, &alone, straight_up(0.5)), Category::Short);
}

#[test]
fn first_contact_fullness_and_balls_to_avoid_are_seen() {
    let balls = [("cue", 2.0, 2.0), ("1", 4.0, 2.0), ("2", 6.0, 3.0)];
    let full = Hit::plain(1.5, 0.0);
    let first = |ball: &str| wish(Wish::First { ball: ball.to_owned() });
    assert_eq!(judged(&first("1"), &balls, full), Category::Made);
    assert_eq!(judged(&first("2"), &balls, full), Category::Astray);
    let fullness = wish(Wish::Full { ball: "1".to_owned(), within: 0.1 });
    assert_eq!(judged(&fullness, &balls, full), Category::Made);
    assert_eq!(judged(&fullness, &balls, Hit::plain(1.5, 1.0)), Category::Astray);
    assert_eq!(judged(&wish(Wish::AvoidBall { ball: "1".to_owned() }), &balls, full), Category::Off);
    // A stop shot leaves the ball that was hit in plain sight.
    assert_eq!(judged(&wish(Wish::Hide { ball: "1".to_owned() }), &balls, full), Category::Off);
}

#[test]
fn a_ball_behind_another_is_hidden() {
    // A soft hit leaves the cue ball in front of the 1, and the 2 lies behind it on the same line.
    let balls = [("cue", 3.0, 2.0), ("1", 3.5, 2.0), ("2", 4.0, 2.0)];
    let hit = Hit { tip_up: -0.2, ..Hit::plain(0.12, 0.0) };
    let goal = wish(Wish::Hide { ball: "2".to_owned() });
    assert_eq!(judged(&goal, &balls, hit), Category::Made);
}

#[test]
fn a_scratch_fails_unless_it_counts() {
    // Follow after a ball in the jaws: the cue ball goes in, too.
    let balls = [("cue", 7.0, 3.0), ("1", 7.6, 3.6)];
    let hit = Hit { tip_up: 0.45, ..Hit::plain(2.5, 45.0) };
    let mut goal = Goal::pot("1", PocketId::FootLeft);
    assert_eq!(judged(&goal, &balls, hit), Category::Scratch);
    goal.scratch_counts = true;
    assert_eq!(judged(&goal, &balls, hit), Category::Made);
}

#[test]
fn a_tip_too_far_out_is_a_miscue() {
    let goal = Goal::pot("1", PocketId::FootLeft);
    let hit = Hit { tip_up: -0.55, ..Hit::plain(2.5, 45.0) };
    assert_eq!(judged(&goal, &[("cue", 5.0, 1.0), ("1", 6.5, 2.5)], hit), Category::Miscue);
}
