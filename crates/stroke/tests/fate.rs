//! What becomes of an object ball, told from how it sets out: against the same shots played to their end.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{Posed, cases, layout, odds_world, straight_in};
use longrail_physics::Engine;
use longrail_physics::table::PocketId;
use longrail_stroke::goal::{Plan, Wish};
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Category, Goal, Hit, Nodes, Player, Setting};

/// The plan of a setting with foresight.
fn foreseeing(setting: &Setting<'_>) -> Plan {
    setting.plan.foreseeing(None, setting.world, setting.layout, &mut Engine::new()).unwrap()
}

#[test]
fn what_is_foreseen_comes_true() {
    let (world, nodes) = (odds_world(), Nodes::usual(3));
    let mut engine = Engine::new();
    let (mut squares, mut made) = (0.0, 0.0);
    for posed in cases(&world, 60) {
        let setting = posed.setting(&world);
        let plan = foreseeing(&setting);
        let foreseen = Setting { plan: &plan, ..setting };
        let hit = setting.playable(&posed.hit).unwrap();
        let (played, told) = (
            setting.odds(&mut engine, &hit, &nodes).unwrap(),
            foreseen.odds(&mut engine, &hit, &nodes).unwrap(),
        );
        // A cue ball that comes back to the object ball on its way is all that may differ: 2 points are 10 shots.
        assert!((played.made - told.made).abs() < 0.02, "{} and {}", played.made, told.made);
        squares += (played.made - told.made) * (played.made - told.made) / 60.0;
        made += played.made / 60.0;
    }
    // Less than 512 nodes err themselves, 0.4 points.
    assert!(squares.sqrt() < 0.003, "{}", squares.sqrt());
    // Neither of them all or none.
    assert!((0.1..0.9).contains(&made), "{made}");
}

#[test]
fn a_ball_on_a_rail_is_foreseen_no_better_than_it_can_be() {
    // Its spin bends its way along the rubber: what is told must not differ from what is played there either.
    let (world, nodes) = (odds_world(), Nodes::usual(3));
    let spec = world.table().spec();
    let on_rail = world.reach_m(longrail_physics::ball::RADIUS_M).unwrap() / spec.width_m * 4.0;
    let mut engine = Engine::new();
    for (reference, along) in [(Reference::Fine, 5.0), (Reference::Solid, 6.0), (Reference::Regular, 6.5)] {
        let balls = layout(&world, &[("cue", 3.0, 1.2), ("1", along, on_rail)]);
        let player = Player::with(reference.stroke());
        let goal = Goal::pot("1", PocketId::FootRight);
        let posed =
            Posed::new(&world, balls, player, goal, Hit::plain(2.0, 0.0)).aimed(&world, PocketId::FootRight);
        let setting = posed.setting(&world);
        let plan = foreseeing(&setting);
        let foreseen = Setting { plan: &plan, ..setting };
        let played = setting.odds(&mut engine, &posed.hit, &nodes).unwrap().made;
        let told = foreseen.odds(&mut engine, &posed.hit, &nodes).unwrap().made;
        assert!((played - told).abs() < 0.01 && played > 0.05, "{played} and {told}");
    }
}

#[test]
fn a_shot_that_is_decided_at_the_contact_ends_there() {
    let world = odds_world();
    let posed = straight_in(&world, 0.6, Player::with(Reference::Fine.stroke()));
    let setting = posed.setting(&world);
    let plan = foreseeing(&setting);
    let foreseen = Setting { plan: &plan, ..setting };
    let mut engine = Engine::new();
    // Half a ball off the line the ball misses: nothing is played after the contact.
    let mut hit = posed.hit;
    hit.direction_deg += 2.0;
    let played = setting.play(&mut engine, &hit).unwrap().category;
    let events = engine.events();
    let told = foreseen.play(&mut engine, &hit).unwrap().category;
    assert_eq!(played, told);
    assert!(matches!(told, Category::MissedLeft | Category::MissedRight), "{told:?}");
    assert!(engine.events() < events, "{} and {events}", engine.events());
    // Straight in, the object ball is taken off the table, and the cue ball goes on to its end.
    let (made, events) = (setting.play(&mut engine, &posed.hit).unwrap(), engine.events());
    let cue = engine.position(cue_ball(&setting));
    assert!(made.made() && foreseen.play(&mut engine, &posed.hit).unwrap().made());
    assert!(engine.events() < events);
    assert_eq!(engine.position(cue_ball(&setting)), cue);
}

/// The cue ball's place in the layout.
fn cue_ball(setting: &Setting<'_>) -> usize {
    setting.layout.cue_ball().unwrap()
}

#[test]
fn a_ball_of_which_more_is_asked_is_not_foreseen() {
    let world = odds_world();
    let posed = straight_in(&world, 0.6, Player::default());
    let mut engine = Engine::new();
    // With a wish about where the object ball ends, or about how it drops, every shot is played as it is.
    let near = Wish::StopNear { ball: "1".to_owned(), diamonds: 2.0 };
    let clean = Goal {
        wishes: vec![Wish::Pot {
            ball: "1".to_owned(),
            pocket: Some(PocketId::FootLeft),
            banks: 0,
            clean: true,
        }],
        ..posed.goal.clone()
    };
    for goal in [posed.goal.clone().and(near), clean] {
        let plan = goal.plan(&world, &posed.layout).unwrap();
        let setting = Setting { plan: &plan, ..posed.setting(&world) };
        let foreseeing = foreseeing(&setting);
        let count = |plan: &Plan, engine: &mut Engine| {
            Setting { plan, ..setting }.play(engine, &posed.hit).unwrap();
            engine.events()
        };
        assert_eq!(count(&plan, &mut engine), count(&foreseeing, &mut engine));
    }
}
