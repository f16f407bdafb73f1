//! Odds of a pot with errors of aim alone, against closed forms.
//!
//! The rows P20 and P21 of `tests/reference/physics_checks.csv` (derived there: the window of aim between the two jaw
//! points, and the normal distribution over it). Throw and squirt are off.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use longrail_math::fx;
use longrail_physics::table::PocketId;
use longrail_physics::{Ball, Engine, Layout, World};
use longrail_stroke::curve::{Row, along};
use longrail_stroke::goal::Wish;
use longrail_stroke::{Goal, Hit, Nodes, Player, Setting, Stroke};

const INCH: f64 = 0.0254;

/// Made only if no jaw is touched: the closed form knows nothing of balls that rattle in.
fn clean(ball: &str, pocket: PocketId) -> Goal {
    Goal::of(Wish::Pot { ball: ball.to_owned(), pocket: Some(pocket), banks: 0, clean: true })
}

/// Corner mouths of 4.5 in.
fn two_points() -> World {
    common::two_points(4.5 * INCH)
}

/// The straight shot from the foot spot with `distance_m` between the centres, by a player with this stroke.
struct Straight {
    layout: Layout,
    player: Player,
    plan: longrail_stroke::goal::Plan,
    hit: Hit,
}

impl Straight {
    fn new(world: &World, stroke: Stroke, distance_m: f64) -> Self {
        let spot = longrail_math::Vec2::new(75.0 * INCH, 25.0 * INCH);
        let way = world.table().pocket(PocketId::FootRight).mouth - spot;
        let way = way / way.norm();
        let from = spot - way * distance_m;
        let balls = [Ball::at_rest("cue", from.x, from.y), Ball::at_rest("1", spot.x, spot.y)];
        let layout = Layout::new(world, &balls).unwrap();
        let player = Player { squirt: false, ..Player::with(stroke) };
        let plan = clean("1", PocketId::FootRight).plan(world, &layout).unwrap();
        // A stop shot, so that the cue ball does not follow.
        let hit = Hit { tip_up: -0.12, ..Hit::plain(3.0, fx::atan2(way.y, way.x).to_degrees()) };
        Self { layout, player, plan, hit }
    }

    fn setting<'a>(&'a self, world: &'a World) -> Setting<'a> {
        Setting { world, layout: &self.layout, player: &self.player, plan: &self.plan }
    }

    fn odds(&self, world: &World) -> f64 {
        self.setting(world).odds(&mut Engine::new(), &self.hit, &Nodes::sobol(1, 16_384, 5)).unwrap().made
    }
}

fn straight(world: &World, aim_sd_deg: f64, distance_m: f64) -> f64 {
    Straight::new(world, Stroke::aim_only(aim_sd_deg), distance_m).odds(world)
}

#[test]
fn the_window_and_the_spread_give_the_ladders_closed_form() {
    // Rows S52 to S56 of tests/reference/stats_checks.csv (mpmath, scipy): only ratios matter in them, so the spread is
    // scaled to the window that the engine itself has for this shot.
    let world = two_points();
    let distance = 25.0 * INCH;
    let window = {
        let shot = Straight::new(&world, Stroke::aim_only(0.3), distance);
        let found = shot.setting(&world).windows(&mut Engine::new(), &shot.hit).unwrap().aim_deg;
        assert!((found.above + found.below).abs() < 1e-3, "straight in, both sides are alike: {found:?}");
        0.5 * (found.above - found.below)
    };
    for (half_width, spread, bias, chance) in [
        (0.3328, 0.25, 0.0, 0.816_876_79),
        (0.1585, 0.25, 0.0, 0.473_919_18),
        (0.25, 0.25, 0.0, 0.682_689_49),
        (0.25, 0.25, 0.10, 0.644_990_22),
    ] {
        let scale = window / half_width;
        let stroke = Stroke { aim_bias_deg: bias * scale, ..Stroke::aim_only(spread * scale) };
        let made = Straight::new(&world, stroke, distance).odds(&world);
        assert!((made - chance).abs() < 5e-4, "{half_width} {spread} {bias}: {made} instead of {chance}");
    }
}

#[test]
fn half_a_degree_makes_the_straight_shot_three_times_in_ten() {
    // P20.
    let made = straight(&two_points(), 0.5, 25.0 * INCH);
    assert!((made - 0.299_513).abs() < 0.001, "{made}");
}

#[test]
fn fifteen_hundredths_of_a_degree_make_it_four_times_in_five() {
    // P21, read the other way round.
    let made = straight(&two_points(), 0.150_077, 25.0 * INCH);
    assert!((made - 0.8).abs() < 0.002, "{made}");
}

#[test]
fn along_a_ladder_the_odds_follow_the_closed_form() {
    // Study of progression, 3.1: with errors of aim alone and a window of ±w, made = erf(w / (σ √2)), here with the
    // engine's own window at each distance.
    let world = two_points();
    let sigma = 0.35;
    let mut made = Vec::new();
    for distance_in in [15.0, 20.0, 25.0, 30.0] {
        let shot = Straight::new(&world, Stroke::aim_only(sigma), distance_in * INCH);
        let found = shot.setting(&world).windows(&mut Engine::new(), &shot.hit).unwrap().aim_deg;
        let half = 0.5 * (found.above - found.below);
        let expected = fx::erf(half / (sigma * std::f64::consts::SQRT_2));
        let odds = shot.odds(&world);
        assert!((odds - expected).abs() < 1e-3, "{distance_in} in: {odds} instead of {expected}");
        made.push(odds);
    }
    let layouts: Vec<Layout> = [15.0, 20.0, 25.0, 30.0]
        .map(|distance_in| Straight::new(&world, Stroke::aim_only(sigma), distance_in * INCH).layout)
        .to_vec();
    let player = Player { squirt: false, ..Player::with(Stroke::aim_only(sigma)) };
    let goal = clean("1", PocketId::FootRight);
    let row = Row { world: &world, player: &player, goal: &goal, layouts: &layouts };
    let rungs = along(&row, &Nodes::sobol(1, 4096, 5)).unwrap();
    for (rung, expected) in rungs.iter().zip(made) {
        // The solver may find a hit a little better than the stop shot: the window is not quite the same at all speeds.
        assert!(rung.made() > expected - 0.01 && rung.made() < expected + 0.05, "{} {expected}", rung.made());
    }
}
