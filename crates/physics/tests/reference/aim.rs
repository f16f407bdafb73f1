//! How an error of aim grows at the object ball.
//!
//! Every row was derived by two routes (formula, and numeric derivative of the geometry); none rests on memory.
//! Here the derivative is taken between shots that the engine plays.

use longrail_math::fx;

use serde_json::json;

use crate::support::search::root;
use crate::support::shot::{Outcome, State, ideal, struck};
use crate::support::{INCH, R};

claims! {
    a_straight_shot_multiplies_the_error_by_distance_over_diameter: straight => P01;
    a_cut_multiplies_the_error_more: half_ball => P02 P03 P04;
    a_thin_cut_multiplies_it_yet_more: thin => P05;
    the_multiple_grows_with_the_way_to_contact: by_travel => P07;
}

/// A stun shot from `cue` in the direction `aim_deg` at ball 1.
fn shot(cue: &State, ball: &State, aim_deg: f64) -> Outcome {
    let stroke = json!({"speed_mps": 3.0, "direction_deg": aim_deg});
    struck(&ideal(), &[cue.clone(), ball.clone()], &stroke)
}

/// Direction in which ball 1 leaves, in degrees.
fn sent(cue: &State, ball: &State, aim_deg: f64) -> f64 {
    shot(cue, ball, aim_deg).first("ball", "1").after("1").direction_deg()
}

/// By how much the direction of ball 1 changes for each degree of aim.
fn amplification(cue: &State, ball: &State, aim_deg: f64) -> f64 {
    let step = 1e-3;
    let change = sent(cue, ball, aim_deg + step) - sent(cue, ball, aim_deg - step);
    (change / (2.0 * step)).abs()
}

/// A cue ball and a ball 1 with centres `inches` apart along x.
fn apart(inches: f64) -> (State, State) {
    (State::at("cue", 1.0, 1.0), State::at("1", 1.0 + inches * INCH, 1.0))
}

/// The aim that cuts ball 1 by `cut_deg`, in degrees off the line of centres.
fn aim_for(cue: &State, ball: &State, cut_deg: f64) -> f64 {
    let widest = fx::asin(2.0 * R / cue.distance_to(ball)).to_degrees();
    root(0.0, 0.999 * widest, |aim_deg| aim_deg - sent(cue, ball, aim_deg) - cut_deg)
}

fn straight() -> [f64; 1] {
    let (cue, ball) = apart(30.0);
    [amplification(&cue, &ball, 0.0)]
}

fn half_ball() -> [f64; 3] {
    let (cue, ball) = apart(30.0);
    let aim = aim_for(&cue, &ball, 30.0);
    let outcome = shot(&cue, &ball, aim);
    let contact = outcome.first("ball", "1").before("cue");
    [amplification(&cue, &ball, aim), aim, cue.distance_to(contact) / INCH]
}

fn thin() -> [f64; 1] {
    let (cue, ball) = apart(20.0);
    [amplification(&cue, &ball, aim_for(&cue, &ball, 60.0))]
}

/// The cue ball travels 24 in along x and cuts ball 1 to the left by 45°.
fn by_travel() -> [f64; 1] {
    let (sin, cos) = fx::sin_cos(45_f64.to_radians());
    let (cue, ghost_x) = (State::at("cue", 1.0, 1.0), 1.0 + 24.0 * INCH);
    [amplification(&cue, &State::at("1", ghost_x + 2.0 * R * cos, 1.0 + 2.0 * R * sin), 0.0)]
}
