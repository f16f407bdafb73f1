//! The hit with the best odds, against a search by brute force; and what hits must be by the mechanics of the game.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{Posed, cases, layout, odds_world, straight_in};
use longrail_physics::Engine;
use longrail_physics::table::{PocketId, Rail};
use longrail_stroke::goal::{Wish, Zone};
use longrail_stroke::player::Limits;
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Category, Goal, Hit, Nodes, Player, Setting, StrokeError};

/// The best odds on a grid of directions, speeds and tips, refined twice around the best. No knowledge of pool is used.
fn brute_force(setting: &Setting<'_>, engine: &mut Engine, around_deg: f64) -> (Hit, f64) {
    let limits = setting.player.limits;
    let few = Nodes::sobol(1, 64, 9);
    let mut best = (Hit::plain(1.0, around_deg), -1.0);
    let (mut aim, mut factor, mut tip) = (1.2, (limits.hardest_mps / limits.softest_mps).sqrt(), 0.4);
    let mut centre = (around_deg, (limits.hardest_mps * limits.softest_mps).sqrt(), 0.0);
    for round in 0..4 {
        let points = if round == 0 { 10 } else { 3 };
        for i in -points..=points {
            for j in -points..=points {
                for k in -3..=3 {
                    let share = |k: i32, n: i32| f64::from(k) / f64::from(n);
                    let hit = Hit {
                        direction_deg: centre.0 + aim * share(i, points),
                        speed_mps: (centre.1 * longrail_math::fx::pow(factor, share(j, points)))
                            .clamp(limits.softest_mps, limits.hardest_mps),
                        tip_up: (centre.2 + tip * share(k, 3)).clamp(-limits.most_draw, limits.most_follow),
                        ..Hit::plain(1.0, 0.0)
                    };
                    let hit = setting.playable(&hit).unwrap();
                    let made = setting.odds(engine, &hit, &few).unwrap().made;
                    if made > best.1 {
                        best = (hit, made);
                    }
                }
            }
        }
        centre = (best.0.direction_deg, best.0.speed_mps, best.0.tip_up);
        (aim, factor, tip) = (0.25 * aim, factor.sqrt().sqrt(), 0.3 * tip);
    }
    best
}

/// The best odds over a wide fan of directions around the object ball, with few speeds and tips: for what goes by way of a rail.
fn brute_force_fan(setting: &Setting<'_>, engine: &mut Engine) -> Hit {
    let balls = setting.layout.balls();
    let object = usize::from(balls[0].id == longrail_physics::ball::CUE);
    let way = balls[object].position - balls[1 - object].position;
    let around_deg = longrail_math::fx::atan2(way.y, way.x).to_degrees();
    let few = Nodes::sobol(1, 64, 9);
    let mut best = (Hit::plain(1.0, around_deg), -1.0);
    for speed_mps in [1.0, 1.5, 2.2, 3.2] {
        for tip_up in [-0.3, 0.0, 0.3] {
            for k in -80..=80 {
                let direction_deg = around_deg + 0.1 * f64::from(k);
                let hit = setting.playable(&Hit { tip_up, ..Hit::plain(speed_mps, direction_deg) }).unwrap();
                let made = setting.odds(engine, &hit, &few).unwrap().made;
                if made > best.1 {
                    best = (hit, made);
                }
            }
        }
    }
    best.0
}

/// The solver's best hit is at least as good as brute force's, but for a point.
fn compare(layouts: u64) {
    let world = odds_world();
    let mut engine = Engine::new();
    // Other nodes than either search has seen: what is good by chance with those is not good with these.
    let many = Nodes::sobol(8, 512, 21);
    for (index, posed) in cases(&world, layouts).enumerate() {
        let setting = posed.setting(&world);
        let solved = match setting.best_hits(&mut engine, &Nodes::usual(1), 3) {
            Ok(found) => setting.odds(&mut engine, &found[0].hit, &many).unwrap().made,
            Err(StrokeError::OutOfReach { .. }) => 0.0,
            Err(error) => panic!("{index}: {error}"),
        };
        let (hit, _) = brute_force(&setting, &mut engine, posed.hit.direction_deg);
        let brute = setting.odds(&mut engine, &hit, &many).unwrap().made;
        assert!(solved > brute - 0.01, "{index}: solved {solved:.4}, by brute force {brute:.4} with {hit:?}");
    }
}

#[test]
fn the_solver_is_as_good_as_brute_force() {
    compare(8);
}

#[test]
#[ignore = "takes minutes: run by `cargo xtask soak odds`"]
fn the_solver_is_as_good_as_brute_force_on_thirty_layouts() {
    compare(30);
}

/// Cue ball at 5/1, object ball at 6.5/2.5, straight into the left foot corner; the cue ball to stop around a point.
fn straight(world: &longrail_physics::World, along: f64, across: f64, radius: f64) -> Posed {
    let balls = [("cue", 5.0, 1.0), ("1", 6.5, 2.5)];
    let goal =
        Goal::pot("1", PocketId::FootLeft).and(Wish::Stop { zone: Zone::Circle { along, across, radius } });
    let player = Player::with(Reference::Solid.stroke());
    Posed::new(world, layout(world, &balls), player, goal, Hit::plain(1.0, 0.0))
}

fn best(
    world: &longrail_physics::World,
    posed: &Posed,
) -> Result<Vec<longrail_stroke::solve::Found>, StrokeError> {
    posed.setting(world).best_hits(&mut Engine::new(), &Nodes::usual(1), 4)
}

#[test]
fn coming_back_takes_draw_and_going_on_takes_follow() {
    // Common practice, no source; and the mechanics of a full hit: the cue ball goes where its spin takes it.
    let world = odds_world();
    let back = best(&world, &straight(&world, 5.0, 1.0, 0.75)).unwrap();
    assert!(back[0].hit.tip_up < -0.1, "{back:?}");
    let on = best(&world, &straight(&world, 7.2, 3.2, 0.4)).unwrap();
    // A soft hit rolls by itself before it gets there, so even the middle of the ball follows.
    assert!(on[0].hit.tip_up > back[0].hit.tip_up + 0.1, "{on:?}");
}

#[test]
fn found_hits_differ_in_kind_and_stay_within_the_limits() {
    let world = odds_world();
    let mut posed = straight(&world, 6.2, 2.2, 0.8);
    posed.player.limits = Limits { hardest_mps: 3.0, most_draw: 0.2, ..Limits::default() };
    let found = best(&world, &posed).unwrap();
    for (i, one) in found.iter().enumerate() {
        assert!(one.hit.speed_mps <= 3.0 && one.hit.tip_up >= -0.2 && one.hit.tip_right == 0.0, "{one:?}");
        assert!(found[..i].iter().all(|other| other.kind != one.kind));
    }
    assert!(found.windows(2).all(|pair| pair[0].odds.made >= pair[1].odds.made));
}

#[test]
fn what_cannot_be_reached_is_told_with_what_is_lacking() {
    let world = odds_world();
    let mut posed = straight(&world, 1.0, 3.0, 0.2);
    posed.player.limits = Limits { hardest_mps: 1.5, ..Limits::default() };
    let Err(StrokeError::OutOfReach { why }) = best(&world, &posed) else { panic!("it was reached") };
    assert!(why.contains("pots the ball, but the cue ball") && why.contains("diamonds"), "{why}");
}

#[test]
fn a_window_ends_where_the_goal_fails() {
    let world = odds_world();
    let posed = straight(&world, 5.0, 1.0, 0.75);
    let setting = posed.setting(&world);
    let mut engine = Engine::new();
    let found = &best(&world, &posed).unwrap()[0];
    let mut made = |hit: Hit| setting.play(&mut engine, &hit).unwrap().made();
    let aim = |by: f64| Hit { direction_deg: found.hit.direction_deg + by, ..found.hit };
    let window = found.windows.aim_deg;
    assert!(window.below < 0.0 && window.above > 0.0);
    assert!(made(aim(window.above - 1e-4)) && !made(aim(window.above + 1e-4)));
    assert!(made(aim(window.below + 1e-4)) && !made(aim(window.below - 1e-4)));
}

#[test]
fn a_bank_is_found_off_one_rail_and_misses_are_told_by_side() {
    let world = odds_world();
    // From the middle of the table back off the foot rail to the side pocket's half: any legal bank will do.
    let balls = [("cue", 4.0, 2.0), ("1", 6.0, 2.0)];
    let goal = Goal::of(Wish::Pot { ball: "1".to_owned(), pocket: None, banks: 1, clean: false });
    let player = Player::with(Reference::Fine.stroke());
    let posed = Posed::new(&world, layout(&world, &balls), player, goal, Hit::plain(1.0, 0.0));
    let found = best(&world, &posed).unwrap();
    let odds = found[0].odds;
    assert!(odds.made > 0.05, "{odds:?}");
    assert!(odds.share(Category::MissedLeft) + odds.share(Category::MissedRight) > 0.0);
}

#[test]
fn a_lag_goes_to_the_far_rail_and_back() {
    let world = odds_world();
    let goal = Goal::of(Wish::Lag { ball: "cue".to_owned(), rail: Rail::Head, diamonds: 1.0 })
        .and(Wish::Touch { rail: Rail::Foot })
        .and(Wish::AvoidRail { rail: Rail::Left })
        .and(Wish::AvoidRail { rail: Rail::Right });
    let player = Player::with(Reference::Regular.stroke());
    let posed = Posed::new(&world, layout(&world, &[("cue", 2.0, 1.0)]), player, goal, Hit::plain(1.0, 0.0));
    let found = best(&world, &posed).unwrap();
    assert!(found[0].hit.direction_deg.abs() < 10.0 || found[0].hit.direction_deg > 350.0, "{found:?}");
    assert!(found[0].odds.made > 0.3, "{found:?}");
}

#[test]
fn an_easy_straight_shot_has_many_ways() {
    let world = odds_world();
    let posed = straight_in(&world, 0.5, Player::with(Reference::Fine.stroke()));
    let found = best(&world, &posed).unwrap();
    assert!(found.len() > 1 && found[0].odds.made > 0.8, "{found:?}");
}

#[test]
fn a_ball_frozen_to_a_rail_is_potted_along_it() {
    // Common practice, no source: it is one of the first shots anyone learns, and near the pocket it is easy.
    let world = odds_world();
    let spec = *world.table().spec();
    let reach = world.reach_m(longrail_physics::ball::RADIUS_M).unwrap();
    let diamond = spec.length_m / 8.0;
    let place = |x: f64, y: f64| longrail_math::Vec2::new(x, y);
    for player in [Reference::Regular, Reference::Solid] {
        let balls = [
            longrail_physics::Ball::at_rest("cue", 4.5 * diamond, 1.0 * diamond),
            longrail_physics::Ball {
                position: place(6.5 * diamond, reach),
                ..longrail_physics::Ball::at_rest("1", 0.0, 0.0)
            },
        ];
        let layout = longrail_physics::Layout::new(&world, &balls).unwrap();
        let player = Player::with(player.stroke());
        let posed =
            Posed::new(&world, layout, player, Goal::pot("1", PocketId::FootRight), Hit::plain(1.0, 0.0));
        let found = best(&world, &posed).unwrap();
        assert!(found[0].odds.made > 0.25, "{found:?}");
    }
}

#[test]
fn balls_near_a_rail_are_potted_as_well_as_by_brute_force() {
    // Frozen, so near that the cue ball meets both at once, and a ball's width off; cut along the rail from full to thin. The
    // best hit meets the ball, the rail, or both at once.
    let world = odds_world();
    let spec = *world.table().spec();
    let (reach, diamond) = (world.reach_m(longrail_physics::ball::RADIUS_M).unwrap(), spec.length_m / 8.0);
    let mut engine = Engine::new();
    let many = Nodes::sobol(8, 512, 21);
    let mut by_rail = 0;
    for (gap_mm, along) in [(0.0, 4.75), (0.0, 6.0), (4.0, 5.0), (12.0, 6.5), (20.0, 6.5), (40.0, 7.5)] {
        let mut ball = longrail_physics::Ball::at_rest("1", along * diamond, 0.0);
        ball.position.y = reach + 1e-3 * gap_mm;
        let balls = [longrail_physics::Ball::at_rest("cue", 3.0 * diamond, 1.5 * diamond), ball];
        let posed = Posed::new(
            &world,
            longrail_physics::Layout::new(&world, &balls).unwrap(),
            Player::with(Reference::Solid.stroke()),
            Goal::pot("1", PocketId::FootRight),
            Hit::plain(1.0, 0.0),
        );
        let setting = posed.setting(&world);
        let found = setting.best_hits(&mut engine, &Nodes::usual(1), 3).unwrap();
        let solved = setting.odds(&mut engine, &found[0].hit, &many).unwrap().made;
        let hit = brute_force_fan(&setting, &mut engine);
        let brute = setting.odds(&mut engine, &hit, &many).unwrap().made;
        assert!(
            solved > brute - 0.01,
            "{gap_mm} mm, {along}: {solved:.4}, by brute force {brute:.4}: {hit:?}"
        );
        by_rail += u32::from(found[0].kind.rail_first);
    }
    assert!(by_rail > 0);
}

#[test]
fn a_ball_behind_another_is_reached_by_a_rail() {
    // Common practice, no source: a kick. Straight on, the 2 is in the way of the 1.
    let world = odds_world();
    let balls = [("cue", 2.0, 2.0), ("2", 3.0, 2.0), ("1", 6.0, 2.0)];
    let goal = Goal::of(Wish::First { ball: "1".to_owned() });
    let posed = Posed::new(
        &world,
        layout(&world, &balls),
        Player::with(Reference::Solid.stroke()),
        goal,
        Hit::plain(1.0, 0.0),
    );
    let found = best(&world, &posed).unwrap();
    assert!(found[0].kind.rails >= 1 && found[0].kind.rail_first && found[0].odds.made > 0.5, "{found:?}");
}

#[test]
fn a_lag_does_not_get_easier_with_the_way() {
    // Common practice, no source: the farther a ball must roll to stop near a rail, the harder. Noise of a few points is
    // borne.
    let world =
        longrail_physics::World::new(odds_world().table().clone(), *odds_world().conditions()).unwrap();
    let goal = Goal::of(Wish::Lag { ball: "cue".to_owned(), rail: Rail::Foot, diamonds: 0.5 })
        .and(Wish::Rails { at_least: 0, at_most: Some(0) });
    let layouts: Vec<longrail_physics::Layout> =
        (0..6_i32).map(|rung| layout(&world, &[("cue", 6.0 - 0.5 * f64::from(rung), 2.0)])).collect();
    let player = Player::with(Reference::Solid.stroke());
    let row = longrail_stroke::curve::Row { world: &world, player: &player, goal: &goal, layouts: &layouts };
    let rungs = longrail_stroke::curve::along(&row, &Nodes::usual(1)).unwrap();
    let made: Vec<f64> = rungs.iter().map(longrail_stroke::curve::Rung::made).collect();
    assert!(made.windows(2).all(|pair| pair[1] < pair[0] + 0.03), "{made:?}");
}
