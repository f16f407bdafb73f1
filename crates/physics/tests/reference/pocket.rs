//! What a pocket accepts: windows, aim, chance, rattle.
//!
//! Every row was derived by two routes (formula, and scan of the geometry); none rests on memory. The rows
//! take the mouth as two points and ask whether the ball touches one. Behind a real point stands a facing that
//! leans in, and a ball that comes at a slant meets it before it would reach the far point. So windows near
//! the axis are posed with facings turned away (120° cut, a wide drop edge), and windows across it by the near
//! jaw: turning the mouth half round about its middle carries one jaw into the other and a line into its
//! parallel, so the window is twice the way from the middle to where the near jaw is touched.

use longrail_math::{Vec2, fx};
use longrail_physics::table::{Pocket, PocketId};
use serde_json::{Value, json};

use crate::support::search::{edge, root};
use crate::support::shot::{Outcome, State, ideal, play};
use crate::support::{INCH, R};

claims! {
    a_ball_on_the_axis_is_accepted_within_a_degree_or_so: on_axis => P08 P09 P10;
    a_slant_narrows_the_window: slanted => P12 P13;
    a_side_pocket_takes_nothing_flatter_than_its_mouth_allows: flattest => P14 P15;
    aim_at_the_foot_spot_ball_may_stray_by_a_fraction_of_a_degree: windows_of_aim => P16 P17 P18;
    the_window_and_the_spread_of_aim_give_the_chance: chances => P20 P21;
    each_facing_turns_the_ball_by_twice_its_lean: rattles => P22 P23;
    the_foot_spot_lies_33_inches_from_the_corner: from_foot_spot => P24;
}

/// The pocket as the engine builds it.
fn pocket(table: &Value, id: PocketId) -> Pocket {
    let shot = json!({"table": table, "balls": [{"id": "1", "along": 4, "across": 2}]});
    *longrail_physics::json::read(&shot.to_string()).unwrap().world.table().pocket(id)
}

/// A 9-ft table with corner mouths of `mouth_in` inches and facings that lean away from the axis.
fn two_points(mouth_in: f64) -> Value {
    json!({
        "length_m": 100.0 * INCH, "width_m": 50.0 * INCH, "corner_mouth_m": mouth_in * INCH,
        "corner_facing_deg": 120.0, "corner_drop_radius_m": 0.15
    })
}

fn turned(v: Vec2, angle_deg: f64) -> Vec2 {
    let (sin, cos) = fx::sin_cos(angle_deg.to_radians());
    Vec2::new(v.x * cos - v.y * sin, v.x * sin + v.y * cos)
}

/// Ball 1 alone from `from`, rolling along `way` and so straight.
fn rolled(table: &Value, from: Vec2, way: Vec2) -> Outcome {
    let ball = State::at("1", from.x, from.y).moving(way.x, way.y).rolling(1.0, R);
    play(&json!({"table": table, "physics": ideal(), "balls": [ball]}))
}

/// Whether ball 1 comes through the mouth without touching a jaw point or a nose.
fn clean(outcome: &Outcome) -> bool {
    let met = |event: &&crate::support::shot::Event| {
        event.ball == "1" && matches!(event.kind.as_str(), "jaw" | "cushion" | "facing" | "pocket")
    };
    matches!(outcome.events.iter().find(met).unwrap().kind.as_str(), "facing" | "pocket")
}

/// Half-angles in degrees for a ball on the axis.
fn on_axis() -> [f64; 3] {
    [(50.0, 4.5), (50.0, 5.0), (10.0, 4.5)].map(|(distance_in, mouth_in)| {
        let table = two_points(mouth_in);
        let Pocket { mouth, axis, .. } = pocket(&table, PocketId::FootRight);
        let from = mouth - axis * (distance_in * INCH);
        let side = |sign: f64| {
            edge(0.0, 12.0, |angle_deg| clean(&rolled(&table, from, turned(axis, sign * angle_deg))))
        };
        let (left, right) = (side(1.0), side(-1.0));
        assert!((left - right).abs() < 1e-6, "both sides alike: {left} {right}");
        left
    })
}

/// A ball rolled at the right side pocket at `angle_deg` off its axis, towards the foot, on a line that passes
/// the middle of the mouth at `off_m` on the side of the near jaw.
fn at_side(mouth_in: f64, angle_deg: f64, off_m: f64) -> Outcome {
    let table = json!({"side_mouth_m": mouth_in * INCH});
    let Pocket { mouth, axis, .. } = pocket(&table, PocketId::SideRight);
    let way = turned(axis, angle_deg);
    rolled(&table, mouth - way * 0.4 - way.turned_left() * off_m, way)
}

/// Windows for the ball's centre across its way, in inches.
fn slanted() -> [f64; 2] {
    [(4.5, 45.0), (5.0, 30.0)].map(|(mouth_in, angle_deg)| {
        edge(0.0, mouth_in * INCH / 2.0, |off_m| clean(&at_side(mouth_in, angle_deg, off_m))) * 2.0 / INCH
    })
}

/// The flattest ways through the middle of a side pocket's mouth, in degrees off its axis.
fn flattest() -> [f64; 2] {
    [5.0, 5.125].map(|mouth_in| edge(45.0, 75.0, |angle_deg| clean(&at_side(mouth_in, angle_deg, 0.0))))
}

/// How far the aim may stray to the left and to the right, in degrees, for ball 1 on the foot spot of a table
/// `length_in` long, cut by `cut_deg` into the right foot corner, with `travel_in` for the cue ball.
fn window_of_aim(length_in: f64, mouth_in: f64, cut_deg: f64, travel_in: f64) -> [f64; 2] {
    let mut table = two_points(mouth_in);
    table["length_m"] = json!(length_in * INCH);
    table["width_m"] = json!(length_in / 2.0 * INCH);
    let spot = Vec2::new(0.75, 0.25) * (length_in * INCH);
    let to_mouth = pocket(&table, PocketId::FootRight).mouth - spot;
    let line = to_mouth / to_mouth.norm();
    let way = turned(line, cut_deg);
    let from = spot - line * (2.0 * R) - way * (travel_in * INCH);
    let aim_deg = fx::atan2(way.y, way.x).to_degrees();
    let shot = |stray_deg: f64| {
        play(&json!({
            "table": table, "physics": ideal(),
            "balls": [State::at("cue", from.x, from.y), State::at("1", spot.x, spot.y)],
            "stroke": {"speed_mps": 3.0, "direction_deg": aim_deg + stray_deg}
        }))
    };
    [1.0, -1.0].map(|sign| edge(0.0, 0.5, |stray_deg| clean(&shot(sign * stray_deg))))
}

/// The row of the straight shot: 25 in between the centres.
fn straight() -> [f64; 2] {
    window_of_aim(100.0, 4.5, 0.0, 25.0 - 2.0 * R / INCH)
}

/// Half of the whole window.
fn windows_of_aim() -> [f64; 3] {
    [straight(), window_of_aim(100.0, 4.5, 30.0, 50.0), window_of_aim(78.0, 5.0, 30.0, 39.0)]
        .map(|[left, right]| 0.5 * (left + right))
}

/// Chance of the straight shot for a Gaussian spread of aim of 0.5°; the spread that makes four of five.
fn chances() -> [f64; 2] {
    let [left, right] = straight();
    let chance = |spread: f64| {
        let below = |x: f64| 0.5 * (1.0 + fx::erf(x / (spread * std::f64::consts::SQRT_2)));
        below(left) - below(-right)
    };
    [chance(0.5), root(0.05, 0.5, |spread| chance(spread) - 0.8)]
}

/// Angle to the axis after `contacts` facings of `id`, for a ball that first meets the far one close behind its
/// jaw point, moving at `angle_deg` to the axis. Fast on an ideal cloth: free of spin, and so straight.
fn rattle(table: &Value, id: PocketId, angle_deg: f64, contacts: usize) -> f64 {
    let Pocket { axis, jaws, .. } = pocket(table, id);
    let way = turned(axis, angle_deg);
    let far = jaws.into_iter().max_by(|a, b| a.point.dot(way).total_cmp(&b.point.dot(way))).unwrap();
    let from = far.point + far.along * 0.002 + far.inward * R - way * 0.3;
    let ball = State::at("1", from.x, from.y).moving(25.0 * way.x, 25.0 * way.y);
    let outcome = play(&json!({"table": table, "physics": ideal(), "balls": [ball]}));
    assert!(
        outcome.events.iter().take(contacts).all(|event| event.kind == "facing"),
        "{:#?}",
        outcome.events
    );
    let after = outcome.events[contacts - 1].after("1");
    let v = Vec2::new(after.vx_mps, after.vy_mps);
    fx::atan2(axis.cross(v).abs(), axis.dot(v)).to_degrees()
}

/// Deep shelves and small holes, so that the ball stays up for the contacts that the rows count.
fn rattles() -> [f64; 2] {
    let corner = json!({"corner_shelf_m": 0.08, "corner_drop_radius_m": 0.045, "corner_facing_deg": 142.0});
    let side = json!({"side_shelf_m": 0.03, "side_drop_radius_m": 0.045, "side_facing_deg": 104.0});
    [rattle(&corner, PocketId::FootRight, 45.0, 3), rattle(&side, PocketId::SideRight, 50.0, 2)]
}

/// With the drop edge at the mouth line a ball is captured in the middle of the mouth.
fn from_foot_spot() -> [f64; 1] {
    let table = json!({"corner_mouth_m": 4.5 * INCH, "corner_shelf_m": 0.0});
    let axis = pocket(&table, PocketId::FootRight).axis;
    let outcome = rolled(&table, Vec2::new(75.0, 25.0) * INCH, axis);
    let end = outcome.end("1");
    assert_eq!(end.state, "pocket");
    let (x, y) = (end.x_m - 75.0 * INCH, end.y_m - 25.0 * INCH);
    [(x * x + y * y).sqrt() / INCH]
}
