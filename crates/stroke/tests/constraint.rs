//! What constraints cost, against closed forms and the mechanics of the game.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{odds_world, two_points};
use longrail_math::fx;
use longrail_physics::table::{PocketId, Rail};
use longrail_physics::{Ball, Engine};
use longrail_stats::special::normal_cdf;
use longrail_stroke::constraint::{Constraint, prices};
use longrail_stroke::goal::{Wish, Zone};
use longrail_stroke::player::Limits;
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Goal, Hit, Nodes, Player, Stroke, StrokeError, Task};

/// A straight draw of moderate length; the cue ball to come back around its start.
fn draw() -> Task {
    let world = odds_world();
    let diamond = world.table().spec().length_m / 8.0;
    let balls =
        vec![Ball::at_rest("cue", 5.0 * diamond, diamond), Ball::at_rest("1", 6.5 * diamond, 2.5 * diamond)];
    let goal = Goal::pot("1", PocketId::FootLeft)
        .and(Wish::Stop { zone: Zone::Circle { along: 5.0, across: 1.0, radius: 1.5 } });
    Task { world, balls, goal, player: Player::with(Reference::Solid.stroke()) }
}

#[test]
fn a_narrower_pocket_costs_what_the_closed_form_says() {
    // Study of progression, 3.1: errors of aim alone and a window of ±w make erf(w / (σ √2)). Jaws lean out of the way
    // and throw is off, so that w is that between two points: atan(h / d) / (D / 2R − 1) for small angles, with h the clear
    // half-opening: half the mouth less the ball's radius.
    let inch = 0.0254;
    let world = two_points(5.0 * inch);
    let spot = longrail_math::Vec2::new(75.0 * inch, 25.0 * inch);
    let way = world.table().pocket(PocketId::FootRight).mouth - spot;
    let (to_pocket, unit) = (way.norm(), way / way.norm());
    let distance = 25.0 * inch;
    let from = spot - unit * distance;
    let balls = vec![Ball::at_rest("cue", from.x, from.y), Ball::at_rest("1", spot.x, spot.y)];
    let wish = Wish::Pot { ball: "1".into(), pocket: Some(PocketId::FootRight), banks: 0, clean: true };
    let sigma = 0.5;
    let player = Player { squirt: false, ..Player::with(Stroke::aim_only(sigma)) };
    let task = Task { world, balls, goal: Goal::of(wish), player };
    let hit = Hit { tip_up: -0.12, ..Hit::plain(3.0, fx::atan2(unit.y, unit.x).to_degrees()) };
    let nodes = Nodes::sobol(1, 16_384, 5);
    let radius = longrail_physics::ball::RADIUS_M;
    for share in [1.0, 0.9, 0.8] {
        let narrow = Constraint::NarrowerPocket(share).on(&task).unwrap();
        let made = narrow.ready(|setting| setting.odds(&mut Engine::new(), &hit, &nodes)).unwrap().made;
        let clear = share * 2.5 * inch - radius;
        let half = fx::atan2(clear, to_pocket).to_degrees() / (distance / (2.0 * radius) - 1.0);
        let expected = fx::erf(half / (sigma * std::f64::consts::SQRT_2));
        // The elementary window is good to a per cent or two of itself.
        assert!((made - expected).abs() < 0.02 * expected, "{share}: {made} instead of {expected}");
        // 4.5 in is row P20 of tests/reference/physics_checks.csv.
        assert!(share != 0.9 || (made - 0.299_513).abs() < 0.001, "{made}");
    }
}

#[test]
fn a_smaller_distance_costs_what_the_normal_distribution_says() {
    // A lag to the foot rail and no farther: a rolling ball goes v² / (2 μ g) (mechanics), so that errors of speed alone,
    // normal with 5 % of it, leave it within a band exactly as often as its edges' speeds say.
    let world = odds_world();
    let spec = world.table().spec();
    let radius = longrail_physics::ball::RADIUS_M;
    let balls = vec![Ball::at_rest("cue", 1.0, 0.5 * spec.width_m)];
    let task = |diamonds: f64| Task {
        world: world.clone(),
        balls: balls.clone(),
        goal: Goal::of(Wish::Lag { ball: "cue".into(), rail: Rail::Foot, diamonds })
            .and(Wish::AvoidRail { rail: Rail::Foot }),
        player: Player {
            squirt: false,
            ..Player::with(Stroke { speed_sd: 0.05, aim_sd_deg: 0.0, ..Stroke::aim_only(0.0) })
        },
    };
    // A tip two fifths of the radius up makes the ball roll from the start: 5/2 of the offset is the spin over the roll.
    let rolling = |metres: f64| (2.0 * 0.01 * world.conditions().gravity_mps2 * metres).sqrt();
    let to_rail = spec.length_m - 1.0 - world.reach_m(radius).unwrap();
    let hit = Hit { tip_up: 0.4, ..Hit::plain(rolling(to_rail - 0.15), 0.0) };
    let nodes = Nodes::sobol(1, 16_384, 5);
    let whole = task(1.0);
    for share in [1.0, 0.6] {
        let smaller = Constraint::SmallerZone(share).on(&whole).unwrap();
        let made = smaller.ready(|setting| setting.odds(&mut Engine::new(), &hit, &nodes)).unwrap().made;
        let band = share * spec.length_m / 8.0;
        // From the band's far edge to where the ball touches the rail.
        let edge = spec.length_m - 1.0 - radius - band;
        let z = |speed: f64| (speed / hit.speed_mps - 1.0) / 0.05;
        let expected = normal_cdf(z(rolling(to_rail))) - normal_cdf(z(rolling(edge)));
        assert!((made - expected).abs() < 0.002, "{share}: {made} instead of {expected}");
    }
}

#[test]
fn every_constraint_has_its_price_and_together_they_cost_most() {
    let constraints = [
        Constraint::NarrowerPocket(0.85),
        Constraint::SmallerZone(0.6),
        Constraint::Streak(3),
        Constraint::Speed { softest_mps: 4.0, hardest_mps: 6.0 },
        Constraint::NoSide,
        // Beside the way back.
        Constraint::Blocker { along: 5.9, across: 1.5 },
    ];
    let priced = prices(&draw(), &constraints, &Nodes::usual(1)).unwrap();
    assert_eq!(priced.len(), 8);
    let plain = priced[0].chance();
    assert!(plain > 0.3, "{plain}");
    for one in &priced[1..] {
        assert!(one.chance() <= plain + 0.01, "{one:?}");
    }
    // Attempts that do not depend on each other multiply; the player has no side anyway.
    let made = |index: usize| priced[index].best.as_ref().unwrap().1.made;
    assert!((priced[3].chance() - made(3) * made(3) * made(3)).abs() < 1e-12);
    assert!((priced[5].chance() - plain).abs() < 0.01);
    let least = priced[1..7].iter().map(longrail_stroke::constraint::Priced::chance).fold(1.0, f64::min);
    assert!(priced[7].chance() <= least + 0.01, "{} {least}", priced[7].chance());
}

#[test]
fn what_cannot_be_is_refused_by_name() {
    let task = draw();
    let refused = |constraint: Constraint| constraint.on(&task).unwrap_err().to_string();
    assert!(
        refused(Constraint::NarrowerPocket(0.2)).starts_with("narrower_pocket is 0.2; it must be 0.5 to 1")
    );
    assert!(refused(Constraint::Streak(1)).starts_with("streak is 1; it must be 2 to 20"));
    assert!(
        refused(Constraint::Speed { softest_mps: 5.0, hardest_mps: 3.0 }).starts_with("speed.hardest_mps")
    );
    assert!(refused(Constraint::Blocker { along: 9.0, across: 2.0 }).starts_with("blocker.along is 9"));
    let lag = Task { goal: Goal::pot("1", PocketId::FootLeft), ..draw() };
    assert_eq!(Constraint::SmallerZone(0.5).on(&lag).unwrap_err(), StrokeError::NothingSmaller);
    let mut weak = draw();
    weak.player.limits = Limits { hardest_mps: 2.0, ..Limits::default() };
    let hard = Constraint::Speed { softest_mps: 3.0, hardest_mps: 5.0 };
    assert!(
        hard.on(&weak).unwrap_err().to_string().starts_with("speed.softest_mps is 3; it must be 0.1 to 2")
    );
    // On top of the cue ball nothing can lie.
    assert!(
        Constraint::Blocker { along: 5.0, across: 1.0 }
            .on(&task)
            .unwrap()
            .best_hit(&Nodes::usual(1))
            .is_err()
    );
}
