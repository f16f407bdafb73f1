//! What unknown rails leave open.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{Posed, layout, odds_world};
use longrail_physics::Engine;
use longrail_physics::table::Rail;
use longrail_stroke::cushions::extremes;
use longrail_stroke::goal::Wish;
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Goal, Hit, Nodes, Player};

/// A lag up the table and back; or along it without a rail.
fn lag(world: &longrail_physics::World, rails: u32) -> Posed {
    let mut goal = Goal::of(Wish::Lag { ball: "cue".into(), rail: Rail::Head, diamonds: 1.0 })
        .and(Wish::Rails { at_least: rails, at_most: Some(rails) });
    if rails > 0 {
        goal = goal.and(Wish::Touch { rail: Rail::Foot });
    }
    let player = Player::with(Reference::Solid.stroke());
    let hit = Hit { tip_up: 0.2, ..if rails == 0 { Hit::plain(0.32, 180.0) } else { Hit::plain(1.9, 0.0) } };
    Posed::new(world, layout(world, &[("cue", 2.0, 2.0)]), player, goal, hit)
}

#[test]
fn a_shot_without_a_rail_does_not_care_and_a_lag_off_one_does() {
    let world = odds_world();
    let mut engine = Engine::new();
    let mut nodes = |posed: &Posed| -> Vec<f64> {
        extremes(&world)
            .unwrap()
            .iter()
            .map(|world| posed.setting(world).odds(&mut engine, &posed.hit, &Nodes::usual(1)).unwrap().made)
            .collect()
    };
    let (plain, mut banked) = (lag(&world, 0), lag(&world, 1));
    // The hit that is right on the rails assumed.
    banked.hit = banked.setting(&world).best_hits(&mut Engine::new(), &Nodes::usual(1), 1).unwrap()[0].hit;
    assert!(!plain.setting(&world).needs_rails(&mut Engine::new(), &plain.hit).unwrap());
    assert!(banked.setting(&world).needs_rails(&mut Engine::new(), &banked.hit).unwrap());
    let same = nodes(&plain);
    assert!(same.iter().all(|made| *made == same[0]), "{same:?}");
    // A rail that gives back less leaves the ball shorter (mechanics): the speed that is right for one is wrong for another.
    let open = nodes(&banked);
    let (low, high) =
        open.iter().fold((1.0, 0.0), |(low, high), &made| (f64::min(low, made), f64::max(high, made)));
    assert!(high > low + 0.1, "{open:?}");
}
