//! Shots as they occur: what must come out by the rules of the trade and of mechanics.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_math::fx;
use longrail_physics::cue::{Clearance, Cueing, Obstacle};
use longrail_physics::table::{PocketId, Rail};
use longrail_physics::{
    Ball, Conditions, Cue, End, Engine, Event, Kind, Layout, Leg, Log, Record, ShotError, Stroke, Table,
    TableSpec, World,
};

fn play(world: &World, balls: &[Ball], stroke: &Stroke) -> (Layout, Engine, Log) {
    let layout = Layout::new(world, balls).unwrap();
    let mut engine = Engine::new();
    let mut log = Log::default();
    engine.play(world, &layout, Some(stroke), &Cue::default(), &mut log).unwrap();
    (layout, engine, log)
}

fn end(layout: &Layout, engine: &Engine, id: &str) -> End {
    let index = (0..layout.balls().len()).find(|&i| layout.id(i) == id).unwrap();
    engine.end(index)
}

#[test]
fn a_straight_shot_into_the_corner_drops_and_a_stop_shot_stops() {
    // The foot spot lies on the axis of the foot corners of any 2:1 table (geometry, physics.md 1.6).
    let world = World::default();
    let balls = [Ball::at_rest("cue", 1.905 - 0.4, 0.635 - 0.4), Ball::at_rest("1", 1.905, 0.635)];
    let stroke = Stroke { tip_up: -0.155, ..Stroke::plain(3.0, 45.0) };
    let (layout, engine, _) = play(&world, &balls, &stroke);
    assert_eq!(end(&layout, &engine, "1"), End::Pocket(PocketId::FootLeft));
    let cue = layout.cue_ball().unwrap();
    assert!((engine.position(cue) - balls[1].position).norm() < 0.12, "{:?}", engine.position(cue));
}

#[test]
fn a_cue_ball_that_follows_into_the_pocket_scratches() {
    let world = World::default();
    let balls = [Ball::at_rest("cue", 2.25, 0.98), Ball::at_rest("1", 2.4, 1.13)];
    let stroke = Stroke { tip_up: 0.45, ..Stroke::plain(3.0, 45.0) };
    let (layout, engine, _) = play(&world, &balls, &stroke);
    assert_eq!(end(&layout, &engine, "cue"), End::Pocket(PocketId::FootLeft));
}

#[test]
fn a_miscue_moves_nothing_and_says_so() {
    let world = World::default();
    let stroke = Stroke { tip_up: 0.4, tip_right: 0.4, ..Stroke::plain(3.0, 0.0) };
    let (_, engine, log) = play(&world, &[Ball::at_rest("cue", 1.0, 0.6)], &stroke);
    assert!(engine.miscued());
    assert_eq!(log.events.len(), 1);
    assert_eq!(log.events[0].kind, Kind::Miscue);
    assert_eq!(engine.position(0).x, 1.0);
}

#[test]
fn a_jumped_cue_ball_clears_a_ball_that_stops_a_level_one() {
    let world = World::default();
    let balls = [Ball::at_rest("cue", 0.6, 0.635), Ball::at_rest("1", 0.9, 0.635)];
    let level = Stroke::plain(4.0, 0.0);
    let jump = Stroke { elevation_deg: 45.0, speed_mps: 5.0, ..level };
    let hits = |stroke| {
        let (layout, _, log) = play(&world, &balls, &stroke);
        let first = log.events.iter().find(|event| event.with().is_some() && event.t_s < 0.2);
        first.map(|event| layout.id(event.ball).to_owned())
    };
    assert_eq!(hits(level).as_deref(), Some("cue"));
    assert_eq!(hits(jump), None);
    let (_, _, log) = play(&world, &balls, &jump);
    assert!(log.events.iter().any(|event| event.kind == Kind::Flight));
    assert!(log.events.iter().any(|event| event.kind == Kind::Landing));
}

#[test]
fn a_hop_is_as_high_and_as_long_as_free_fall_says() {
    // Driven into the bed at v sin θ, back up at e times that: height u²/2g, duration 2u/g (textbook mechanics).
    let world = World::default();
    let stroke = Stroke { elevation_deg: 30.0, ..Stroke::plain(3.0, 0.0) };
    let (_, _, log) = play(&world, &[Ball::at_rest("cue", 0.3, 0.635)], &stroke);
    let up = 0.5 * 3.0 * 0.5;
    let landing = log.events.iter().find(|event| event.kind == Kind::Landing).unwrap();
    assert!((landing.t_s - 2.0 * up / 9.80665).abs() < 1e-9, "{}", landing.t_s);
    let leg = log.legs[0];
    assert!((leg.height(landing.t_s / 2.0) - up * up / (2.0 * 9.80665)).abs() < 1e-9);
}

#[test]
fn a_ball_that_flies_over_the_rail_is_off_the_table() {
    let world = World::default();
    let stroke = Stroke { elevation_deg: 50.0, ..Stroke::plain(9.0, 0.0) };
    let (_, engine, log) = play(&world, &[Ball::at_rest("cue", 1.9, 0.635)], &stroke);
    assert_eq!(engine.end(0), End::OffTable);
    assert_eq!(log.events.last().unwrap().kind, Kind::OffTable);
}

#[test]
fn an_overspun_ball_climbs_off_a_rail_only_where_it_rubs_harder_than_its_slope_holds() {
    // Hop limit: with cushion friction below tan θ = 0.28 the cloth keeps its load (derived, physics.md 5.4 vii);
    // above it topspin lifts the ball during the contact, and one that spins three times as fast as it rolls
    // still rises when it leaves.
    let lifts = |friction: f64| {
        let mut conditions = Conditions::default();
        conditions.cushion.friction = friction;
        let world = World::new(Table::default(), conditions).unwrap();
        let mut ball = Ball::at_rest("cue", 2.5, 0.635);
        ball.velocity.x = 3.0;
        ball.spin.y = 3.0 * 3.0 / ball.radius_m;
        let layout = Layout::new(&world, &[ball]).unwrap();
        let mut log = Log::default();
        Engine::new().play(&world, &layout, None, &Cue::default(), &mut log).unwrap();
        log.events.iter().any(|event| event.kind == Kind::Flight)
    };
    assert!(!lifts(0.14) && !lifts(0.25));
    assert!(lifts(0.45));
}

#[test]
fn a_push_travels_through_a_frozen_row_to_its_last_ball() {
    // Common practice, no source: hit full, the far ball of a frozen row leaves and the near ones all but stay.
    let world = World::default();
    let d = 2.0 * longrail_physics::ball::RADIUS_M;
    let balls = [
        Ball::at_rest("cue", 0.5, 0.635),
        Ball::at_rest("1", 1.0, 0.635),
        Ball::at_rest("2", 1.0 + d, 0.635),
        Ball::at_rest("3", 1.0 + 2.0 * d, 0.635),
    ];
    let (layout, _, log) = play(&world, &balls, &Stroke { tip_up: -0.2, ..Stroke::plain(2.0, 0.0) });
    let after = |id: &str, t: f64| {
        let leg = log.legs.iter().find(|leg| layout.id(leg.ball) == id && leg.from_s <= t && leg.to_s > t);
        leg.map_or(0.0, |leg| leg.v.norm())
    };
    let hit = log.events.iter().find(|event| event.with().is_some()).unwrap();
    let first = hit.t_s;
    assert!(after("3", first + 0.01) > 0.8 * hit.before[0].velocity.norm());
    assert!(after("1", first + 0.01) < 0.15 && after("2", first + 0.01) < 0.2);
}

#[test]
fn a_rail_or_a_ball_behind_the_cue_ball_forces_the_cue_up() {
    let world = World::default();
    let at = |x: f64, tip_up: f64, others: &[Ball]| {
        let stroke = Stroke { tip_up, ..Stroke::plain(2.0, 0.0) };
        let cue_ball = Ball::at_rest("cue", x, 0.635);
        let (table, cue) = (world.table().spec(), Cue::default());
        let cueing = Cueing {
            table,
            nose_height_m: 0.03629,
            cue: &cue,
            stroke: &stroke,
            cue_ball: &cue_ball,
            balls: others,
        };
        cueing.forced_elevation()
    };
    // Geometry of a straight line: from the ball's middle, 28.6 mm up, over a nose at 36.3 mm with half a
    // 13 mm shaft below its axis, 0.3 m behind the contact point: at least asin of that rise.
    let (angle, obstacle) = at(0.3 + 0.028_575, 0.0, &[]).unwrap();
    assert_eq!(obstacle, Some(Obstacle::Rail(Rail::Head)));
    let rise = 0.03629 + 0.0065 - 0.028_575;
    assert!((angle - fx::atan(rise / 0.3).to_degrees()).abs() < 0.3, "{angle}");
    // Frozen to the rail it is steep, and steeper for draw.
    let (frozen, _) = at(0.0276, 0.0, &[]).unwrap();
    assert!(frozen > 20.0 && frozen < 45.0, "{frozen}");
    assert!(at(0.0276, -0.3, &[]).unwrap().0 > frozen);
    // A ball frozen behind: the line through the middle must clear its centre by R + r: sin θ = (R + r)/2R.
    let behind = Ball::at_rest("2", 1.0 - 0.057_15, 0.635);
    let (angle, obstacle) = at(1.0, 0.0, &[behind]).unwrap();
    assert_eq!(obstacle, Some(Obstacle::Ball("2".to_owned())));
    assert!((angle - fx::asin((0.028_575 + 0.0065) / 0.057_15).to_degrees()).abs() < 0.05, "{angle}");
    // Nothing behind within a cue's length.
    assert_eq!(at(2.0, 0.0, &[]).unwrap(), (0.0, None));
}

#[test]
fn a_cue_is_raised_or_refused_only_when_asked() {
    let world = World::default();
    let ball = Ball::at_rest("cue", 0.0276, 0.635);
    let stroke = Stroke::plain(2.0, 0.0);
    let with = |clearance| {
        let cue = Cue { clearance, ..Cue::default() };
        let table = world.table().spec();
        Cueing { table, nose_height_m: 0.03629, cue: &cue, stroke: &stroke, cue_ball: &ball, balls: &[] }
            .playable()
    };
    assert_eq!(with(Clearance::Ideal), Ok(stroke));
    assert!(with(Clearance::Raise).unwrap().elevation_deg > 20.0);
    let refused = with(Clearance::Refuse).unwrap_err();
    assert!(matches!(refused, ShotError::Cueing { .. }));
    assert!(refused.to_string().contains("head rail"), "{refused}");
}

#[test]
fn side_opens_or_closes_a_rebound() {
    // Running side lengthens, reverse side shortens (Alciatore's bank pages; common practice).
    let world = World::default();
    let angle = |tip_right: f64| {
        let stroke = Stroke { tip_right, ..Stroke::plain(2.0, 60.0) };
        let (_, _, log) = play(&world, &[Ball::at_rest("cue", 0.8, 0.6)], &stroke);
        let hit = log.events.iter().find(|event| matches!(event.kind, Kind::Cushion(Rail::Left))).unwrap();
        let v = hit.after[0].velocity;
        fx::atan2(-v.y, v.x).to_degrees()
    };
    // Towards the foot along the left rail, right side runs.
    assert!(
        angle(0.4) < angle(0.0) && angle(0.0) < angle(-0.4),
        "{} {} {}",
        angle(-0.4),
        angle(0.0),
        angle(0.4)
    );
}

#[test]
fn balls_pressed_together_by_spin_come_to_rest_without_a_flood_of_events() {
    let world = World::default();
    let mut cue = Ball::at_rest("cue", 1.0, 0.635);
    // Heavy topspin, no speed, touching a ball that touches the rail: it pushes.
    cue.spin = longrail_math::Vec3::new(0.0, 100.0, 0.0);
    let reach = world.reach_m(0.028_575).unwrap();
    cue.position.x = 2.54 - reach - 0.057_15;
    let one = Ball::at_rest("1", 2.54 - reach, 0.635);
    let layout = Layout::new(&world, &[cue, one]).unwrap();
    let mut engine = Engine::new();
    let mut log = Log::default();
    engine.play(&world, &layout, None, &Cue::default(), &mut log).unwrap();
    assert!(engine.events() < 20_000, "{} events", engine.events());
    assert!(log.events.len() < 200, "{} told", log.events.len());
}

#[test]
fn the_defaults_lie_in_their_own_ranges() {
    let table = Table::new(TableSpec::default()).unwrap();
    World::new(table, Conditions::default()).unwrap();
}

/// Keeps the meetings alone, and says of ball `drops` at its first contact that it will drop.
struct Meetings {
    kinds: Vec<Kind>,
    drops: Option<usize>,
}

impl Record for Meetings {
    const EVENTS: bool = true;
    const LEGS: bool = false;
    const CHANGES: bool = false;

    fn event(&mut self, event: &Event) {
        self.kinds.push(event.kind);
    }

    fn leg(&mut self, _: &Leg) {}

    fn foretold(&mut self) -> Option<(usize, PocketId)> {
        self.drops.take().map(|ball| (ball, PocketId::FootLeft))
    }
}

#[test]
fn a_record_that_wants_no_changes_is_told_all_meetings() {
    let world = World::default();
    // Off three rails, with a raised cue that makes the cue ball hop.
    let balls = [Ball::at_rest("cue", 0.6, 0.5), Ball::at_rest("1", 1.6, 0.8)];
    let stroke = Stroke { tip_up: -0.3, elevation_deg: 8.0, ..Stroke::plain(5.0, 15.0) };
    let (layout, engine, log) = play(&world, &balls, &stroke);
    let change = |kind: &Kind| {
        matches!(kind, Kind::Strike | Kind::Roll | Kind::SpinEnd | Kind::Flight | Kind::Landing)
    };
    let all: Vec<Kind> = log.events.iter().map(|event| event.kind).collect();
    assert!([Kind::Strike, Kind::Roll, Kind::Flight, Kind::Landing].iter().all(|kind| all.contains(kind)));
    let meetings: Vec<Kind> = all.into_iter().filter(|kind| !change(kind)).collect();
    let mut record = Meetings { kinds: Vec::new(), drops: None };
    let mut again = Engine::new();
    again.play(&world, &layout, Some(&stroke), &Cue::default(), &mut record).unwrap();
    assert_eq!(record.kinds, meetings);
    assert_eq!((again.position(0), again.position(1)), (engine.position(0), engine.position(1)));
}

#[test]
fn a_ball_that_is_foretold_to_drop_is_gone_from_the_contact_on() {
    let world = World::default();
    // A ball in the middle, sent up the table; the cue ball stops on its spot.
    let balls = [Ball::at_rest("cue", 0.9, 0.635), Ball::at_rest("1", 1.2, 0.635)];
    let (layout, engine, _) = play(&world, &balls, &Stroke::plain(2.0, 0.0));
    assert_eq!(end(&layout, &engine, "1"), End::Bed);
    let mut record = Meetings { kinds: Vec::new(), drops: Some(1) };
    let mut again = Engine::new();
    again.play(&world, &layout, Some(&Stroke::plain(2.0, 0.0)), &Cue::default(), &mut record).unwrap();
    assert_eq!(again.end(1), End::Pocket(PocketId::FootLeft));
    assert!((again.position(1) - balls[1].position).norm() < 1e-9);
    assert_eq!(record.kinds, [Kind::Ball { with: 1 }, Kind::Stop]);
}
