//! Rebounds from a cushion, and lines by way of one.
//!
//! * K01–K10: integration of the impulse after Mathavan, Jackson & Parkin 2010, by two programs apart from this
//!   one. The restitution and the rubber's friction are the paper's; radius, mass, height of the nose and the
//!   cloth's friction of the snooker table **rest on memory**. The rows check the integration, not snooker.
//! * K13–K15: the closed form after Han 2005, whose form **rests on memory** and was derived again.
//! * K18, K21: geometry, derived by two routes.

use longrail_math::fx;
use serde_json::{Value, json};

use crate::support::search::root;
use crate::support::shot::{Outcome, State, ideal, open_table, play, posed};
use crate::support::{INCH, R};

claims! {
    a_ball_that_arrives_square_leaves_slower: square_on => K01 K02 K03;
    a_rolling_ball_leaves_steeper_then_bends_back: half_way => K04 K05 K10;
    flat_and_steep_arrivals_keep_more_of_their_speed: flat_and_steep => K06 K07 K08 K09;
    one_impulse_at_the_nose_gives_side: one_impulse => K13 K14 K15;
    an_ideal_kick_is_a_mirror: mirror_kick => K18;
    a_ball_meets_the_rail_before_the_sight_it_is_aimed_at: sight_gap => K21;
}

/// Radius of the snooker ball of the rows.
const SNOOKER_R: f64 = 0.026_25;

/// A ball of `radius_m` that meets the foot rail at this moment at 1 m/s, at `angle_deg` to the nose line, with
/// `spin` times the spin of a rolling ball.
fn arriving(ball: &Value, physics: &Value, radius_m: f64, angle_deg: f64, spin: f64) -> Outcome {
    let (sin, cos) = fx::sin_cos(angle_deg.to_radians());
    let start = State::at("1", 4.0 - radius_m, 1.0).moving(sin, cos).rolling(spin, radius_m);
    play(&json!({"table": open_table(), "ball": ball, "physics": physics, "balls": [start]}))
}

fn snooker(angle_deg: f64, spin: f64) -> Outcome {
    let ball = json!({"radius_m": SNOOKER_R, "mass_kg": 0.1406});
    let physics = json!({
        "sliding_friction": 0.212,
        "cushion": {
            "model": "impulse", "restitution": 0.98, "friction": 0.14, "height_m": 1.4 * SNOOKER_R,
            "contact": "radius"
        }
    });
    arriving(&ball, &physics, SNOOKER_R, angle_deg, spin)
}

/// State just after the rebound.
fn rebound(outcome: &Outcome) -> &State {
    outcome.first("cushion", "1").after("1")
}

/// State when the ball rolls after it.
fn rolling_again(outcome: &Outcome) -> &State {
    outcome.next("roll", "1", outcome.first("cushion", "1").t_s).after("1")
}

/// Angle of the velocity to the nose line, in degrees.
fn angle_to_nose(ball: &State) -> f64 {
    assert!(ball.vx_mps < 0.0, "away from the foot rail");
    fx::atan2(-ball.vx_mps, ball.vy_mps).to_degrees()
}

fn square_on() -> [f64; 3] {
    let (stunned, rolling) = (snooker(90.0, 0.0), snooker(90.0, 1.0));
    [rebound(&stunned).speed(), rebound(&rolling).speed(), rolling_again(&rolling).speed()]
}

fn half_way() -> [f64; 3] {
    let outcome = snooker(45.0, 1.0);
    let after = rebound(&outcome);
    [angle_to_nose(after), after.speed(), angle_to_nose(rolling_again(&outcome))]
}

fn flat_and_steep() -> [f64; 4] {
    let (flat, steep) = (snooker(30.0, 1.0), snooker(60.0, 1.0));
    let (flat, steep) = (rebound(&flat), rebound(&steep));
    [angle_to_nose(flat), flat.speed(), angle_to_nose(steep), steep.speed()]
}

fn one_impulse() -> [f64; 3] {
    let physics = json!({"cushion": {
        "model": "single-impulse", "restitution": 0.85, "friction": 0.2, "height_m": 0.635 * 2.0 * R,
        "contact": "radius"
    }});
    let outcome = arriving(&json!({"radius_m": R}), &physics, R, 45.0, 1.0);
    let after = rebound(&outcome);
    [angle_to_nose(after), after.speed(), (after.wz_rad_s * R).abs()]
}

/// Where on the right rail a kick that hits its target full touches, in inches along the rail from its start.
/// The ball starts 10 in and the target lies 20 in from the line of the ball's centre at the rail. The shot is
/// fast on an ideal cloth, so that what spin the cloth gives before the rail does not bend it after.
fn mirror_kick() -> [f64; 1] {
    let (start_x, target) = (0.3, State::at("1", 0.3 + 60.0 * INCH, R + 20.0 * INCH));
    let kick = |angle_deg: f64| {
        let (sin, cos) = fx::sin_cos(angle_deg.to_radians());
        let cue = State::at("cue", start_x, R + 10.0 * INCH).moving(20.0 * cos, -20.0 * sin);
        posed(&ideal(), &[cue, target.clone()])
    };
    let off_full = |angle_deg: f64| {
        let outcome = kick(angle_deg);
        let hit = outcome.first("ball", "1");
        let (cue, ball) = (hit.before("cue"), hit.before("1"));
        cue.vx_mps * (ball.y_m - cue.y_m) - cue.vy_mps * (ball.x_m - cue.x_m)
    };
    let outcome = kick(root(26.0, 27.0, off_full));
    [(outcome.first("cushion", "cue").before("cue").x_m - start_x) / INCH]
}

/// How far before the aimed sight a ball that rolls at 45° meets the right rail, in inches along it.
fn sight_gap() -> [f64; 1] {
    let physics = json!({"cushion": {"height_m": 0.635 * 2.0 * R}});
    let start = State::at("1", 0.5, 0.5).moving(1.0, -1.0).rolling(1.0, R);
    let outcome = posed(&physics, std::slice::from_ref(&start));
    let aimed_x = start.x_m + start.y_m + 3.6875 * INCH;
    [(aimed_x - outcome.first("cushion", "1").before("1").x_m) / INCH]
}
