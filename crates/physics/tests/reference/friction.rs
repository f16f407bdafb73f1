//! Friction between balls: throw, gearing, spin passed on.
//!
//! The law of friction and its coefficients are Alciatore's (TP A.14 and TP A.28, 2007), fitted to Marlow 1995,
//! table 10, and were read in the source; the throws were computed from them, and confirmed by integrating the
//! impulse with free spins. None rests on memory.

use longrail_math::fx;
use serde_json::{Value, json};

use crate::support::R;
use crate::support::search::root;
use crate::support::shot::{Outcome, State, posed, struck};

claims! {
    friction_between_balls_fades_with_slip_speed: coefficients => B28 B29 B30;
    a_cut_throws_the_object_ball_forward: cut_throws => B31 B32 B33 B34 B42;
    side_alone_throws_a_straight_ball: side_throws => B37 B38;
    outside_side_of_two_fifths_of_the_cut_throws_nothing: gearing => B39 B40;
    a_sticking_full_hit_passes_on_five_fourteenths_of_the_side: transfer => B41;
}

/// Elastic balls under the default law of friction.
fn physics() -> Value {
    json!({
        "ball_restitution": 1.0,
        "ball_friction": {"a": 0.009_951, "b": 0.108, "c_s_per_m": 1.088}
    })
}

/// The place of a cue ball that touches ball 1 at (2, 1) and, moving along x, cuts it to the left.
fn touching(cut_deg: f64) -> State {
    let (sin, cos) = fx::sin_cos(cut_deg.to_radians());
    State::at("cue", 2.0 - 2.0 * R * cos, 1.0 - 2.0 * R * sin)
}

/// A cut with `spin` times the spin of a rolling ball and the surface speed `side_mps` to the right.
fn cut(cut_deg: f64, speed_mps: f64, spin: f64, side_mps: f64) -> Outcome {
    let cue = State { wz_rad_s: side_mps / R, ..touching(cut_deg).moving(speed_mps, 0.0).rolling(spin, R) };
    posed(&physics(), &[cue, State::at("1", 2.0, 1.0)])
}

/// How far ball 1 leaves to the right of the line of centres, in degrees: forward, for a cut to the left.
fn throw(cut_deg: f64, outcome: &Outcome) -> f64 {
    cut_deg - outcome.first("ball", "1").after("1").direction_deg()
}

/// Coefficients at three slip speeds: sideways over forward impulse of a full hit with side, slow enough across
/// for the surfaces to keep slipping.
fn coefficients() -> [f64; 3] {
    let diagonal = std::f64::consts::FRAC_1_SQRT_2;
    [(0.5, 0.5), (1.0, 10.0 * diagonal), (0.05, 0.1 * diagonal)].map(|(speed_mps, slip_mps)| {
        let outcome = cut(0.0, speed_mps, 0.0, slip_mps);
        let after = outcome.first("ball", "1").after("1");
        after.vy_mps.abs() / after.vx_mps
    })
}

fn cut_throws() -> [f64; 5] {
    [(1.0, 30.0, 0.0), (0.447, 30.0, 0.0), (1.0, 30.0, 1.0), (3.129, 45.0, 0.0), (0.447, 20.0, 0.0)]
        .map(|(speed_mps, cut_deg, spin)| throw(cut_deg, &cut(cut_deg, speed_mps, spin, 0.0)))
}

fn side_throws() -> [f64; 2] {
    // Right side throws to the left.
    [(0.447, 0.625), (1.341, 0.9375)]
        .map(|(speed_mps, side)| -throw(0.0, &cut(0.0, speed_mps, 0.0, side * speed_mps)))
}

/// Tip offset at which a stroke on a ball that touches throws it neither way; throw at that side, posed directly.
fn gearing() -> [f64; 2] {
    let with_tip = |tip_right: f64| {
        let stroke = json!({"speed_mps": 1.0, "direction_deg": 0, "tip_right": tip_right});
        throw(30.0, &struck(&physics(), &[touching(30.0), State::at("1", 2.0, 1.0)], &stroke))
    };
    [root(0.0, 0.4, with_tip), throw(30.0, &cut(30.0, 1.0, 0.0, 0.5))]
}

/// Surface speed that ball 1 takes from a metre a second of side, hit so hard that the surfaces stick.
fn transfer() -> [f64; 1] {
    let outcome = cut(0.0, 5.0, 0.0, 1.0);
    let after = outcome.first("ball", "1").after("1").wz_rad_s * R;
    assert!(after < 0.0, "as gears turn: {after}");
    [-after]
}
