//! Equipment: sizes, sights, noses, racks, pockets.
//!
//! Standards as quoted from the World Pool-Billiard Association's specification; the rest is geometry, derived
//! by two routes. Nothing here rests on memory.

use longrail_math::{Vec2, fx};
use longrail_physics::Conditions;
use longrail_physics::json::read;
use longrail_physics::table::{PocketId, Table, TableSpec};
use serde_json::json;

use crate::support::search::edge;
use crate::support::shot::{State, open_table, play, posed};
use crate::support::{INCH, R};

claims! {
    sights_stand_an_eighth_of_the_length_apart: sights => E01 E02 E03 E04;
    balls_meet_when_their_centres_are_a_diameter_apart: radius => E05;
    the_nose_meets_the_ball_above_its_middle: noses => E06 E07 E08 E09;
    rows_of_a_tight_rack_stand_root_three_radii_apart: racks => E10 E11;
    corner_jaws_stand_a_mouth_over_root_two_from_the_corner: jaw_setback => E12;
    facings_converge_by_what_the_cut_angle_leaves: convergence => E14 E15;
    a_ball_turns_as_a_solid_sphere: inertia => E16;
}

/// Where a ball one diamond from the head rail lies, in inches.
fn sights() -> [f64; 4] {
    ["9ft", "8ft-oversize", "7ft", "10ft"].map(|size| {
        let ball = json!({"id": "1", "along": 1, "across": 2});
        play(&json!({"table": {"size": size}, "balls": [ball]})).end("1").x_m / INCH
    })
}

fn radius() -> [f64; 1] {
    let outcome = posed(&json!({}), &[State::at("cue", 1.0, 1.0).moving(1.0, 0.1), State::at("1", 1.3, 1.0)]);
    let meeting = outcome.first("ball", "1");
    [meeting.before("cue").distance_to(meeting.before("1")) / 2.0]
}

/// How far from the foot nose a ball's centre turns, for a nose at `share` of its diameter, in metres.
fn stand_off(share: f64) -> f64 {
    let physics = json!({"cushion": {"height_m": share * 2.0 * R}});
    let outcome = posed(&physics, &[State::at("1", 3.0, 1.0).moving(1.0, 0.0)]);
    4.0 - outcome.first("cushion", "1").before("1").x_m
}

/// Default height of the nose in mm; the height in inches that a nose at 62.5 % shows by where it stops a ball;
/// the contact's height angle in degrees and the centre's distance in mm at 63.5 %.
fn noses() -> [f64; 4] {
    let lowest = stand_off(0.625) / R;
    let nominal = stand_off(0.635);
    [
        Conditions::default().cushion.height_m * 1e3,
        R * (1.0 + (1.0 - lowest * lowest).sqrt()) / INCH,
        fx::acos(nominal / R).to_degrees(),
        nominal * 1e3,
    ]
}

/// Depth of a rack of `rows` whose neighbours touch across, at the closest that its rows can stand.
fn rack_depth(rows: &[u32]) -> f64 {
    let overlaps = |pitch: f64| {
        let mut balls = Vec::new();
        for (row, &count) in (0_u32..).zip(rows) {
            for place in 0..count {
                let across = (2.0 * f64::from(place) - f64::from(count - 1)) * R;
                let id = balls.len().to_string();
                balls.push(State::at(&id, 1.0 + pitch * f64::from(row), 1.0 + across));
            }
        }
        read(&json!({"table": open_table(), "balls": balls}).to_string()).is_err()
    };
    edge(R, 2.0 * R, overlaps) * 4.0
}

fn racks() -> [f64; 2] {
    [rack_depth(&[1, 2, 3, 4, 5]) / INCH, rack_depth(&[1, 2, 3, 2, 1]) * 1e3]
}

fn jaw_setback() -> [f64; 1] {
    let table = Table::new(TableSpec { corner_mouth_m: 4.5 * INCH, ..TableSpec::default() }).unwrap();
    let corner = Vec2::new(table.spec().length_m, 0.0);
    let [on_long_rail, on_short_rail] = table.pocket(PocketId::FootRight).jaws;
    let (a, b) = ((on_long_rail.point - corner).norm(), (on_short_rail.point - corner).norm());
    assert!((a - b).abs() < 1e-12, "both jaws alike: {a} {b}");
    [a / INCH]
}

fn convergence() -> [f64; 2] {
    let spec = TableSpec { corner_facing_deg: 142.0, side_facing_deg: 104.0, ..TableSpec::default() };
    let table = Table::new(spec).unwrap();
    [PocketId::HeadLeft, PocketId::SideRight].map(|id| {
        let pocket = table.pocket(id);
        let angles = pocket.jaws.map(|jaw| {
            // Positive if the facing comes nearer to the axis.
            let away = (jaw.point - pocket.mouth).dot(jaw.along);
            let angle =
                fx::atan2(pocket.axis.cross(jaw.along).abs(), pocket.axis.dot(jaw.along)).to_degrees();
            if away < 0.0 { angle } else { -angle }
        });
        assert!((angles[0] - angles[1]).abs() < 1e-9, "both facings alike: {angles:?}");
        angles[0]
    })
}

/// Moment of inertia from a hit: the spin that an impulse m v at the arm b gives is b m v over it.
fn inertia() -> [f64; 1] {
    let mass = 0.170_097;
    let shot = json!({
        "table": open_table(), "ball": {"radius_m": R, "mass_kg": mass}, "balls": [State::at("cue", 1.0, 1.0)],
        "stroke": {"speed_mps": 1.0, "direction_deg": 0, "tip_up": 0.25}
    });
    let outcome = play(&shot);
    let after = outcome.first("strike", "cue").after("cue");
    [mass * after.vx_mps * 0.25 * R / after.wy_rad_s]
}
