//! The hit of the cue.
//!
//! Every row was derived by two routes. The constants in them (a 19 oz cue, a tip's restitution of 0.73, end
//! masses) are examples within published ranges; none of the results rests on memory.

use longrail_math::fx;
use longrail_physics::cue::cue_ball_speed;
use longrail_physics::json::{Output, run};
use serde_json::{Value, json};

use crate::support::R;
use crate::support::search::{edge, root};
use crate::support::shot::{Outcome, State, open_table, play, struck};

claims! {
    a_heavier_cue_drives_the_ball_faster_than_itself: cue_speed => C01 C02 C03 C16;
    seven_tenths_of_the_diameter_is_the_height_of_immediate_roll: immediate_roll => C05;
    the_tip_holds_to_half_a_radius_as_friction_of_0_6_allows: miscue_limit => C06;
    spin_is_five_halves_of_speed_times_offset: spin_from_offset => C07;
    squirt_follows_from_the_end_mass: squirts => C08 C09;
    measured_squirt_gives_the_end_mass: end_mass => C11;
    swerve_ends_in_the_direction_of_coriolis: swerve => C12;
    a_masse_ends_in_the_direction_and_speed_of_coriolis: masse => C13 C14;
}

fn hit(stroke: &Value) -> Outcome {
    struck(&json!({}), &[State::at("cue", 2.0, 1.0)], stroke)
}

/// Speed and surface speed for a cue of 19 oz at 1 m/s on a ball of 6 oz, and the part of the energy that is
/// left after the hit, with the cue's own part by the balance of momentum.
fn cue_speed() -> [f64; 4] {
    let (cue, ball, tip) = (19.0, 6.0, 0.73);
    let middle = cue_ball_speed(1.0, cue, ball, tip, 0.0);
    let low = cue_ball_speed(1.0, cue, ball, tip, 0.5);
    let draw = hit(&json!({"speed_mps": low, "direction_deg": 0, "tip_up": -0.5}));
    let after = draw.first("strike", "cue").after("cue").clone();
    let left = 1.0 - middle * ball / cue;
    [middle, after.vx_mps, -after.wy_rad_s * R, left * left + middle * middle * ball / cue]
}

/// Height of the tip above the cloth at which a ball neither gains nor loses speed before it rolls, in mm.
fn immediate_roll() -> [f64; 1] {
    let gain = |tip_up: f64| {
        let outcome = hit(&json!({"speed_mps": 1.0, "direction_deg": 0, "tip_up": tip_up}));
        let start = outcome.first("strike", "cue").after("cue").speed();
        outcome.find("roll", "cue").map_or(0.0, |roll| roll.after("cue").speed() - start)
    };
    [(1.0 + root(0.3, 0.49, gain)) * R * 1e3]
}

/// Friction that the tip needs at the largest offset that the engine plays.
fn miscue_limit() -> [f64; 1] {
    let holds = |offset: f64| {
        let shot = json!({
            "table": open_table(), "balls": [State::at("cue", 2.0, 1.0)],
            "stroke": {"speed_mps": 1.0, "direction_deg": 0, "tip_right": 0.6 * offset, "tip_up": -0.8 * offset}
        });
        run(&shot.to_string(), Output { paths: false, states: false })
            .is_ok_and(|told| !told.contains("miscue"))
    };
    [fx::tan(fx::asin(edge(0.3, 0.7, holds)))]
}

fn spin_from_offset() -> [f64; 1] {
    let outcome = hit(&json!({"speed_mps": 3.0, "direction_deg": 0, "tip_right": 0.3}));
    [outcome.first("strike", "cue").after("cue").wz_rad_s]
}

/// How far to the left right side of half a radius sends a ball of 6 oz, in degrees.
fn squirt(end_mass_kg: f64) -> f64 {
    let shot = json!({
        "table": open_table(), "ball": {"mass_kg": 0.170_097}, "balls": [State::at("cue", 2.0, 1.0)],
        "cue": {"squirt": true, "end_mass_kg": end_mass_kg},
        "stroke": {"speed_mps": 1.0, "direction_deg": 0, "tip_right": 0.5}
    });
    play(&shot).first("strike", "cue").after("cue").direction_deg()
}

fn squirts() -> [f64; 2] {
    [squirt(7.8e-3), squirt(5.0e-3)]
}

fn end_mass() -> [f64; 1] {
    [root(4e-3, 12e-3, |mass| squirt(mass) - 2.5) * 1e3]
}

/// Direction to the struck side in degrees, and speed, once a ball with right side rolls for good.
fn last_roll(speed_mps: f64, elevation_deg: f64, tip_right: f64, tip_up: f64) -> (f64, f64) {
    let outcome = hit(&json!({
        "speed_mps": speed_mps, "direction_deg": 0,
        "elevation_deg": elevation_deg, "tip_right": tip_right, "tip_up": tip_up
    }));
    // A ball that hops rolls for good after its last landing; a rail would begin another story.
    let before_rail = outcome.events.iter().take_while(|event| event.kind != "cushion");
    let roll = before_rail.filter(|event| event.kind == "roll").last().unwrap();
    (-roll.after("cue").direction_deg(), roll.after("cue").speed())
}

fn swerve() -> [f64; 1] {
    [last_roll(2.0, 5.0, 0.5, 0.0).0]
}

/// At 1 m/s the ball hops on its way, at 0.1 m/s it does not: Coriolis' theorem holds for both.
fn masse() -> [f64; 2] {
    let (direction, speed) = last_roll(1.0, 70.0, 0.4, -0.2);
    let (slow_direction, slow_speed) = last_roll(0.1, 70.0, 0.4, -0.2);
    assert!((slow_direction - direction).abs() < 1e-6, "{slow_direction} {direction}");
    assert!((slow_speed / 0.1 - speed).abs() < 1e-8, "{slow_speed} {speed}");
    [direction, speed]
}
