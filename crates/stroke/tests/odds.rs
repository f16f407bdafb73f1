//! Odds by quasi-random nodes against plain Monte Carlo, which is the textbook method and shares nothing with them but
//! the engine; and facts of the trade.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{Posed, cases, odds_world, straight_in};
use longrail_physics::Engine;
use longrail_physics::table::PocketId;
use longrail_stroke::odds::scattered;
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Category, Goal, Hit, Nodes, Player};

/// Layouts compared.
const LAYOUTS: u64 = 50;

#[test]
fn quasi_random_odds_agree_with_plain_ones_and_their_errors_cover() {
    compare(20_000);
}

#[test]
#[ignore = "takes ten minutes: run by `cargo xtask soak odds`"]
fn quasi_random_odds_agree_with_a_million_plain_shots() {
    compare(1_000_000);
}

/// Every layout with the usual nodes and with `shots` plain ones.
fn compare(shots: u32) {
    let world = odds_world();
    let mut engine = Engine::new();
    let (mut squares, mut count, mut outside) = (0.0, 0.0, 0);
    for (index, posed) in cases(&world, LAYOUTS).enumerate() {
        let setting = posed.setting(&world);
        // Other nodes each time: the same everywhere would be one draw, and not fifty.
        let quick =
            setting.odds(&mut engine, &posed.hit, &Nodes::usual(17 + u32::try_from(index).unwrap())).unwrap();
        let plain = setting.odds(&mut engine, &posed.hit, &Nodes::plain(shots, index as u64)).unwrap();
        let error = (quick.standard_error * quick.standard_error
            + plain.standard_error * plain.standard_error)
            .sqrt();
        let apart = (quick.made - plain.made) / error;
        // With eight blocks a standard error is itself uncertain: t with 7 degrees of freedom goes beyond 4 in 0.5 %.
        assert!(apart.abs() < 6.0, "{index}: {quick:?} {plain:?}");
        outside += u32::from(apart.abs() > 3.0);
        squares += apart * apart;
        count += 1.0;
    }
    // The mean square of t with 7 degrees of freedom is 7/5.
    assert!(squares / count < 2.5, "mean square {}", squares / count);
    assert!(outside <= 3, "{outside} of {LAYOUTS} beyond three standard errors");
}

#[test]
fn categories_add_up_and_mirror_with_the_table() {
    let world = odds_world();
    let mut engine = Engine::new();
    // The axis from the foot spot to a corner is one of mirror symmetry of the shot, so both sides are missed alike.
    let posed = straight_in(&world, 0.6, Player::with(Reference::Regular.stroke()));
    let odds = posed.setting(&world).odds(&mut engine, &posed.hit, &Nodes::sobol(8, 1024, 3)).unwrap();
    assert!((odds.shares.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    let (left, right) = (odds.share(Category::MissedLeft), odds.share(Category::MissedRight));
    assert!((left - right).abs() < 0.01 && left > 0.05, "{left} {right}");
}

#[test]
fn a_bias_to_the_left_sends_the_ball_to_the_right_of_its_pocket() {
    // Hit too far on the left, the object ball leaves to the right (geometry of the contact).
    let world = odds_world();
    let mut player = Player::with(Reference::Solid.stroke());
    player.stroke.aim_bias_deg = 0.4;
    let posed = straight_in(&world, 0.6, player);
    let odds = posed.setting(&world).odds(&mut Engine::new(), &posed.hit, &Nodes::usual(3)).unwrap();
    assert!(odds.share(Category::MissedRight) > 3.0 * odds.share(Category::MissedLeft), "{odds:?}");
}

#[test]
fn a_lapse_takes_its_share_of_everything() {
    let world = odds_world();
    let odds = |lapse: f64| {
        let mut player = Player::with(Reference::Solid.stroke());
        player.stroke.lapse = lapse;
        let posed = straight_in(&world, 0.6, player);
        posed.setting(&world).odds(&mut Engine::new(), &posed.hit, &Nodes::usual(3)).unwrap().made
    };
    assert!((odds(0.1) - 0.9 * odds(0.0)).abs() < 1e-12);
}

#[test]
fn the_mean_of_scattered_hits_is_the_intended_one() {
    let stroke = Reference::Regular.stroke();
    let hit = Hit { tip_up: -0.2, ..Hit::plain(2.5, 33.0) };
    let nodes = Nodes::sobol(1, 4096, 1);
    let (mut speed, mut direction) = (0.0, 0.0);
    for node in nodes.all() {
        let one = scattered(&hit, &stroke, node);
        speed += one.speed_mps / 4096.0;
        direction += one.direction_deg / 4096.0;
    }
    assert!((speed - 2.5).abs() < 1e-3 && (direction - 33.0).abs() < 1e-3, "{speed} {direction}");
}

#[test]
fn longer_shots_smaller_mouths_and_larger_tables_are_harder() {
    // Common practice, no source: the same stroke pots less from farther away, and less at the same diamonds of a larger
    // table.
    let world = odds_world();
    let player = Player::with(Reference::Solid.stroke());
    let mut engine = Engine::new();
    let mut made = Vec::new();
    for distance in [0.3, 0.5, 0.7, 0.85] {
        let posed = straight_in(&world, distance, player);
        made.push(posed.setting(&world).odds(&mut engine, &posed.hit, &Nodes::usual(3)).unwrap().made);
    }
    assert!(made.windows(2).all(|pair| pair[0] > pair[1] + 0.01), "{made:?}");
    let on = |size: &str| {
        let world = common::world_of(size);
        let layout = common::layout(&world, &[("cue", 4.0, 1.0), ("1", 6.0, 2.0)]);
        let posed =
            Posed::new(&world, layout, player, Goal::pot("1", PocketId::FootLeft), Hit::plain(2.0, 0.0));
        let aimed = posed.aimed(&world, PocketId::FootLeft);
        aimed.setting(&world).odds(&mut Engine::new(), &aimed.hit, &Nodes::usual(3)).unwrap().made
    };
    assert!(on("7ft") > on("9ft") + 0.05, "{} {}", on("7ft"), on("9ft"));
}

#[test]
fn even_from_half_way_is_far_from_even_from_afar_and_each_quarter_diamond_costs_a_little() {
    // Common practice, no source: who is about even on a straight draw with the ball half-way to its pocket is far from even
    // with most of the table between the balls; and a quarter diamond costs a little.
    let world = odds_world();
    let at = |quarters: f64| {
        // From 5/1 backwards along the straight line through the ball at 6.5/2.5.
        let (along, across) = (5.0 - 0.25 * quarters, 1.0 - 0.25 * quarters);
        common::layout(&world, &[("cue", along, across), ("1", 6.5, 2.5)])
    };
    let made = |layout: longrail_physics::Layout, sd: f64| {
        let mut player = Player::with(Reference::Solid.stroke());
        player.stroke.aim_sd_deg = sd;
        let hit = Hit { tip_up: -0.3, ..Hit::plain(2.5, 0.0) };
        let posed = Posed::new(&world, layout, player, Goal::pot("1", PocketId::FootLeft), hit)
            .aimed(&world, PocketId::FootLeft);
        posed.setting(&world).odds(&mut Engine::new(), &posed.hit, &Nodes::usual(3)).unwrap().made
    };
    // The spread with which it is about even from half-way.
    let (mut low, mut high) = (0.1, 2.0);
    for _ in 0..12 {
        let middle = 0.5 * (low + high);
        if made(at(0.0), middle) > 0.5 { low = middle } else { high = middle }
    }
    let sd = 0.5 * (low + high);
    // A whole diamond back on both axes is as far as this line goes on the bed.
    let row: Vec<f64> = [0.0, 1.0, 2.0, 3.0].map(|quarters| made(at(quarters), sd)).to_vec();
    assert!((row[0] - 0.5).abs() < 0.03, "{row:?}");
    assert!(row.windows(2).all(|pair| pair[0] > pair[1] && pair[0] - pair[1] < 0.10), "{row:?}");
    let afar = common::layout(&world, &[("cue", 1.0, 2.5), ("1", 6.5, 2.5)]);
    assert!(made(afar, sd) < 0.25, "far from even");
}
