//! A ball on the cloth: sliding, rolling, spinning in place.
//!
//! Every row was derived by two routes, closed form and integration in small steps (see also
//! `tests/motion_ode.rs`); none rests on memory.

use serde_json::{Value, json};

use crate::support::search::root;
use crate::support::shot::{Event, State, posed, roll_out};
use crate::support::{G, R};

claims! {
    a_ball_hit_in_the_middle_rolls_at_five_sevenths_of_its_speed: centre_hit => M01 M02 M03 M21;
    backspin_prolongs_the_slide: backspin => M04 M05 M06;
    a_sliding_ball_with_spin_across_its_way_runs_a_parabola: curved => M07 M08 M09 M10;
    a_rolling_ball_slows_evenly_to_rest: rolling => M14 M15;
    a_stopwatch_gives_the_cloth_speed: stopwatch => M17;
    a_centre_hit_slides_then_rolls_out: whole_travel => M18;
    spin_about_the_vertical_falls_at_a_constant_rate: spin => M19 M20;
    slip_falls_by_seven_halves_of_the_friction: slip => M22;
}

/// The physics of the rows.
fn cloth() -> Value {
    json!({"gravity_mps2": G, "sliding_friction": 0.2, "rolling_friction": 0.01, "spin_deceleration_rad_s2": 10.0})
}

/// Start, and the end of sliding.
fn slide(vx_mps: f64, wx_rad_s: f64, wy_rad_s: f64) -> (State, Event) {
    let start = State { wx_rad_s, wy_rad_s, ..State::at("1", 0.5, 1.0).moving(vx_mps, 0.0) };
    let outcome = posed(&cloth(), std::slice::from_ref(&start));
    let roll = outcome.events.into_iter().find(|event| event.kind == "roll").unwrap();
    assert!(roll.after("1").slip() < 1e-12, "a rolling ball does not slip");
    (start, roll)
}

/// Kinetic energy per unit of mass.
fn energy(ball: &State) -> f64 {
    let spin = ball.wx_rad_s * ball.wx_rad_s + ball.wy_rad_s * ball.wy_rad_s + ball.wz_rad_s * ball.wz_rad_s;
    0.5 * ball.speed() * ball.speed() + 0.2 * R * R * spin
}

fn centre_hit() -> [f64; 4] {
    let (start, roll) = slide(2.0, 0.0, 0.0);
    let end = roll.after("1");
    [roll.t_s, end.x_m - start.x_m, end.vx_mps, energy(end) / energy(&start)]
}

fn backspin() -> [f64; 3] {
    let (start, roll) = slide(2.0, 0.0, -40.0);
    let end = roll.after("1");
    [roll.t_s, end.x_m - start.x_m, end.vx_mps]
}

fn curved() -> [f64; 4] {
    let (start, roll) = slide(3.0, 60.0, -50.0);
    let end = roll.after("1");
    [roll.t_s, end.x_m - start.x_m, end.y_m - start.y_m, end.direction_deg()]
}

fn rolling() -> [f64; 2] {
    let (distance, time) = roll_out(&cloth(), &State::at("1", 0.0, 0.0).moving(1.0, 0.0).rolling(1.0, R));
    [distance, time]
}

fn whole_travel() -> [f64; 1] {
    [roll_out(&cloth(), &State::at("1", 0.0, 0.0).moving(2.0, 0.0)).0]
}

/// The rolling friction at which a ball that is to roll 2.54 m takes 7.2 s.
fn stopwatch() -> [f64; 1] {
    let roll = |friction: f64, speed: f64| {
        let physics = json!({"gravity_mps2": G, "rolling_friction": friction});
        roll_out(&physics, &State::at("1", 0.0, 0.0).moving(speed, 0.0).rolling(1.0, R))
    };
    let time_for_the_length = |friction: f64| {
        let speed = root(0.4, 1.2, |speed| roll(friction, speed).0 - 2.54);
        roll(friction, speed).1
    };
    [root(0.008, 0.012, |friction| time_for_the_length(friction) - 7.2)]
}

/// Time until the spin has gone; the friction coefficient with the ball's radius as arm that the loss of spin
/// amounts to, from I dω/dt = μ m g R with I = 2/5 m R².
fn spin() -> [f64; 2] {
    let outcome = posed(&cloth(), &[State { wz_rad_s: 60.0, ..State::at("1", 1.0, 1.0) }]);
    let end = outcome.first("spin-end", "1").t_s;
    assert!((outcome.rest_time_s - end).abs() < 1e-12, "the shot lasts as long as the spin");
    [end, 0.4 * R * (60.0 / end) / G]
}

/// Slip of a ball at the moment when it meets another that lies where it comes after 0.1 s.
fn slip() -> [f64; 1] {
    let meeting = |gap: f64| {
        let balls = [State::at("cue", 0.5, 1.0).moving(2.0, 0.0), State::at("1", 0.5 + gap, 1.0)];
        let mut outcome = posed(&cloth(), &balls);
        let at = outcome.events.iter().position(|event| event.kind == "ball").unwrap();
        outcome.events.swap_remove(at)
    };
    let gap = root(0.1, 0.4, |gap| meeting(gap).t_s - 0.1);
    [meeting(gap).before("cue").slip()]
}
