//! Surfaces: what they say of any stroke, their names, and how they are stored.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{cases, odds_world, straight_in, world_of};
use longrail_physics::Engine;
use longrail_stroke::infer::{Surface, key};
use longrail_stroke::stroke::{Reference, Stroke};
use longrail_stroke::{Goal, Hit, Nodes, Player, Setting};

#[test]
fn surfaces_say_the_same_as_odds() {
    // Against 4,096 shots with the very stroke, whose own error is about .1 points. Surfaces of some 9,000 shots err by .3
    // points and to neither side. With shots that serve several cells alike and lie evenly in each it would be .9, and .3 too
    // low on average.
    let nodes = Nodes::sobol(4, 1024, 3);
    let (mut sum, mut squares, mut count) = (0.0, 0.0, 0.0);
    for size in ["9ft", "7ft"] {
        let world = world_of(size);
        for posed in
            cases(&world, 10).chain([0.3, 0.45, 0.6].map(|far| straight_in(&world, far, Player::default())))
        {
            let setting = posed.setting(&world);
            let hit = setting.playable(&posed.hit).unwrap();
            let surface = Surface::of(&setting, &hit).unwrap();
            for (aim_sd_deg, aim_bias_deg, speed_sd) in
                [(0.12, 0.0, 0.1), (0.3, 0.08, 0.05), (0.3, 0.0, 0.2), (0.7, -0.1, 0.1)]
            {
                let stroke = Stroke { aim_sd_deg, aim_bias_deg, speed_sd, lapse: 0.0, ..posed.player.stroke };
                let player = Player { stroke, ..posed.player };
                let odds =
                    Setting { player: &player, ..setting }.odds(&mut Engine::new(), &hit, &nodes).unwrap();
                let chances = surface.chances(aim_sd_deg, aim_bias_deg, speed_sd);
                let off = chances.made - odds.made;
                assert!(off.abs() < 0.02, "{:?} {stroke:?}: {} {}", posed.goal, chances.made, odds.made);
                assert!((chances.made + chances.left + chances.right + chances.strayed - 1.0).abs() < 1e-9);
                sum += off;
                squares += off * off;
                count += 1.0;
            }
        }
    }
    let (mean, rms): (f64, f64) = (sum / count, (squares / count).sqrt());
    assert!(mean.abs() < 0.0015 && rms < 0.005, "mean {mean}, root mean square {rms} over {count}");
}

#[test]
fn aimed_to_the_left_the_ball_is_missed_on_the_right() {
    let world = odds_world();
    let posed = straight_in(&world, 0.6, Player::with(Reference::Solid.stroke()));
    let surface = Surface::of(&posed.setting(&world), &posed.hit).unwrap();
    let biased = surface.chances(0.2, 0.6, 0.1);
    assert!(biased.right > 3.0 * biased.left, "{biased:?}");
}

#[test]
fn a_key_changes_with_what_a_surface_depends_on_and_with_nothing_else() {
    let world = odds_world();
    let posed = straight_in(&world, 0.6, Player::default());
    let name = key(&posed.setting(&world), &posed.goal, &posed.hit);
    assert!(name.len() == 32 && name.chars().all(|digit| digit.is_ascii_hexdigit()));
    let with = |player: Player| {
        let setting = Setting { player: &player, ..posed.setting(&world) };
        key(&setting, &posed.goal, &posed.hit)
    };
    let stroke = posed.player.stroke;
    let aim = Stroke { aim_sd_deg: 0.1, aim_bias_deg: 0.2, speed_sd: 0.3, lapse: 0.1, ..stroke };
    assert_eq!(name, with(Player::with(aim)));
    assert_ne!(name, with(Player::with(Stroke { tip_up_sd: 0.01, ..stroke })));
    assert_ne!(name, with(Player { reach_m: 0.8, ..posed.player }));
    let harder = Hit { speed_mps: posed.hit.speed_mps + 1e-9, ..posed.hit };
    assert_ne!(name, key(&posed.setting(&world), &posed.goal, &harder));
    let other = Goal { scratch_counts: true, ..posed.goal.clone() };
    assert_ne!(name, key(&posed.setting(&world), &other, &posed.hit));
    let small = world_of("7ft");
    let elsewhere = straight_in(&small, 0.6, Player::default());
    assert_ne!(name, key(&elsewhere.setting(&small), &posed.goal, &posed.hit));
}

#[test]
fn a_stored_surface_comes_back_and_a_damaged_one_is_refused() {
    let surface = Surface::window(0.3);
    let text = serde_json::to_string(&surface).unwrap();
    assert_eq!(serde_json::from_str::<Surface>(&text).unwrap(), surface);
    for (from, to) in [("0.3]", "-0.4]"), ("1.0,", "0.0,"), ("LMR", "LMRR"), ("LMR", "LXR")] {
        let damaged = text.replacen(from, to, 1);
        assert!(damaged != text && serde_json::from_str::<Surface>(&damaged).is_err(), "{damaged}");
    }
}
