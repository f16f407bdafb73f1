//! Ball meets ball without friction between them: cuts, follow, draw, stop shots.
//!
//! Every row was derived by two routes; those on the 30° rule and on draw also agree with figures that
//! Alciatore published. None rests on memory.

use longrail_math::fx;
use serde_json::{Value, json};

use crate::support::search::{greatest, root};
use crate::support::shot::{Event, Outcome, State, posed, roll_out, struck};
use crate::support::{G, R};

claims! {
    a_stunned_cue_ball_gives_its_speed_along_the_line_of_centres: stun => B01;
    lost_restitution_brings_the_cue_ball_off_the_tangent_line: off_tangent => B02 B03;
    a_rolling_cue_ball_is_never_turned_by_more_than_34_degrees: largest_deflection => B04 B05;
    a_rolling_cue_ball_leaves_a_half_ball_hit_at_34_degrees: rolling_deflections => B06 B07 B08 B16;
    a_drawn_cue_ball_turns_twice_as_far_or_more: draw_deflections => B10 B11 B12;
    near_33_degrees_both_balls_roll_away_alike: equal_speeds => B14;
    a_rolling_cue_ball_keeps_more_than_half_its_speed_at_half_ball: speed_kept => B15;
    a_full_hit_lets_the_cue_ball_follow_on_its_spin: follow => B17 B18 B20;
    a_ball_hit_low_loses_its_backspin_on_the_way: stop_shots => B21 B22 B23;
    what_backspin_is_left_draws_the_ball_back: draws => B25 B26 B27;
}

/// Balls without friction between them on the cloth of the rows.
fn physics(restitution: f64) -> Value {
    json!({
        "gravity_mps2": G, "sliding_friction": 0.2, "rolling_friction": 0.01,
        "ball_restitution": restitution, "ball_friction": 0.0
    })
}

/// A cue ball that moves along x with `spin` times the spin of a rolling ball, and at that moment cuts ball 1 to
/// the left by `cut_deg`.
fn cut(restitution: f64, cut_deg: f64, speed_mps: f64, spin: f64) -> Outcome {
    let (sin, cos) = fx::sin_cos(cut_deg.to_radians());
    let cue =
        State::at("cue", 2.0 - 2.0 * R * cos, 1.0 - 2.0 * R * sin).moving(speed_mps, 0.0).rolling(spin, R);
    posed(&physics(restitution), &[cue, State::at("1", 2.0, 1.0)])
}

/// State of `ball` when it rolls again after the balls have met.
fn rolling_again<'a>(outcome: &'a Outcome, ball: &str) -> &'a State {
    let met = outcome.first("ball", ball).t_s;
    outcome.next("roll", ball, met).after(ball)
}

/// How far the cue ball has been turned when it rolls again, in degrees.
fn deflection(restitution: f64, cut_deg: f64, spin: f64) -> f64 {
    -rolling_again(&cut(restitution, cut_deg, 1.0, spin), "cue").direction_deg()
}

fn stun() -> [f64; 1] {
    let outcome = cut(1.0, 30.0, 1.0, 0.0);
    [outcome.first("ball", "1").after("1").speed()]
}

/// Angle of the cue ball to the tangent line towards ball 1's way, in degrees.
fn off_tangent() -> [f64; 2] {
    [(0.94, 30.0), (0.95, 25.0)].map(|(restitution, cut_deg)| {
        let outcome = cut(restitution, cut_deg, 1.0, 0.0);
        outcome.first("ball", "1").after("cue").direction_deg() - (cut_deg - 90.0)
    })
}

fn largest_deflection() -> [f64; 2] {
    let best = greatest(5.0, 70.0, |cut_deg| deflection(1.0, cut_deg, 1.0));
    [deflection(1.0, best, 1.0), best]
}

fn rolling_deflections() -> [f64; 4] {
    [(1.0, 30.0), (1.0, 48.5904), (1.0, 14.4775), (0.94, 30.0)]
        .map(|(restitution, cut_deg)| deflection(restitution, cut_deg, 1.0))
}

fn draw_deflections() -> [f64; 3] {
    [30.0, 48.5904, 14.4775].map(|cut_deg| deflection(1.0, cut_deg, -0.625))
}

fn equal_speeds() -> [f64; 1] {
    let difference = |cut_deg: f64| {
        let outcome = cut(1.0, cut_deg, 1.0, 1.0);
        rolling_again(&outcome, "cue").speed() - rolling_again(&outcome, "1").speed()
    };
    [root(20.0, 45.0, difference)]
}

fn speed_kept() -> [f64; 1] {
    let speed = 1.5;
    [rolling_again(&cut(1.0, 30.0, speed, 1.0), "cue").speed() / speed]
}

/// Travel of the cue ball after a full hit, elastic and not, and of ball 1 for each metre of it.
fn follow() -> [f64; 3] {
    let travel = |restitution: f64, ball: &str| {
        let outcome = cut(restitution, 0.0, 2.0, 1.0);
        roll_out(&physics(restitution), outcome.first("ball", "1").after(ball)).0
    };
    [travel(1.0, "cue"), travel(0.94, "cue"), travel(1.0, "1") / travel(1.0, "cue")]
}

/// A full hit on a ball that lies `distance_m` from where the cue ball is struck at `low` radii below its middle.
fn full_hit(speed_mps: f64, low: f64, distance_m: f64) -> Event {
    let balls = [State::at("cue", 0.5, 1.0), State::at("1", 0.5 + distance_m + 2.0 * R, 1.0)];
    let stroke = json!({"speed_mps": speed_mps, "direction_deg": 0, "tip_up": -low});
    let mut outcome = struck(&physics(1.0), &balls, &stroke);
    let at = outcome.events.iter().position(|event| event.kind == "ball").unwrap();
    outcome.events.swap_remove(at)
}

/// Distances at which the cue ball arrives without spin, and its speed there.
fn stop_shots() -> [f64; 3] {
    let stop = |speed_mps: f64, low: f64, nearest: f64, farthest: f64| {
        root(nearest, farthest, |distance| full_hit(speed_mps, low, distance).before("cue").wy_rad_s)
    };
    let distance = stop(3.0, 0.5, 0.2, 2.0);
    [distance, full_hit(3.0, 0.5, distance).before("cue").vx_mps, stop(2.0, 0.25, 0.1, 0.6)]
}

/// Surface speed of the backspin on arrival; how far the cue ball comes back, for two shots.
fn draws() -> [f64; 3] {
    let back = |hit: &Event| -roll_out(&physics(1.0), hit.after("cue")).0;
    let (far, near) = (full_hit(4.0, 0.4, 1.0), full_hit(3.0, 0.5, 0.5));
    [far.before("cue").wy_rad_s * R, back(&far), back(&near)]
}
