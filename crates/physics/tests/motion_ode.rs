//! Motion between events, against a general-purpose integrator of differential equations.
//!
//! The engine knows the motion of a ball in closed form. Here Newton's equations are written down as forces
//! and torques, and handed to a Runge–Kutta method of order 8 (Dormand & Prince's 853, from the crate
//! `differential-equations`) with a local tolerance of 10⁻¹³. Random states are compared at random times: the
//! engine tells a state when something happens, so a ball is put in the way where the first one would be then.
//!
//! * In the midst of a phase the two must agree to [`MIDWAY`], 10⁻¹² in m, m/s and m/s of surface speed: the
//!   integrator's own error, with room.
//! * Sliding and rolling end where a speed reaches zero and the force has no direction. The integrator stops at
//!   [`STILL`], 10⁻⁶ m/s, before it; so speeds at the end can differ by that, and times by that over the
//!   deceleration.

// A failing test may stop where it stands, and tells what it measured.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

#[path = "support/mod.rs"]
mod support;

use differential_equations::prelude::*;
use longrail_math::random::Stream;
use longrail_math::{Vec2, Vec3};
use serde_json::{Value, json};
use support::shot::{Event as Told, Outcome, State, open_table, play};

const MIDWAY: f64 = 1e-12;
const STILL: f64 = 1e-6;

/// How well the integrator's crate finds the moment at which a spin reaches zero, in seconds, with room.
const SPIN_END_S: f64 = 1e-9;

/// How many states each test draws.
const STATES: u64 = 400;

/// Position, velocity over the bed, spin.
type Y = [f64; 7];

#[derive(Clone, Copy)]
enum Contact {
    Slides,
    Rolls,
}

/// A ball on cloth, as forces.
#[derive(Clone, Copy)]
struct Ball {
    radius: f64,
    gravity: f64,
    sliding: f64,
    rolling: f64,
    spin_loss: f64,
    contact: Contact,
    /// The direction of the speed that ends the phase.
    ends_along: Vec2,
}

fn velocity(y: &Y) -> Vec2 {
    Vec2::new(y[2], y[3])
}

fn spin(y: &Y) -> Vec3 {
    Vec3::new(y[4], y[5], y[6])
}

impl Ball {
    /// Velocity of the lowest point: that of the centre and ω × r.
    fn slip(&self, y: &Y) -> Vec2 {
        velocity(y) + spin(y).cross(Vec3::new(0.0, 0.0, -self.radius)).xy()
    }

    /// The speed that ends the phase when it reaches zero.
    fn speed_left(&self, y: &Y) -> Vec2 {
        match self.contact {
            Contact::Slides => self.slip(y),
            Contact::Rolls => velocity(y),
        }
    }
}

impl ODE<f64, Y> for Ball {
    fn diff(&self, _t: f64, y: &Y, rate: &mut Y) {
        let left = self.speed_left(y);
        // Friction against the motion; the bound only keeps a step beyond the end finite.
        let against = left / -left.norm().max(0.1 * STILL);
        let (force, turn) = match self.contact {
            Contact::Slides => {
                // Per unit of mass. The torque r × F on a solid sphere of moment 2/5 R².
                let force = against * (self.sliding * self.gravity);
                let torque = Vec3::new(0.0, 0.0, -self.radius).cross(force.with_z(0.0));
                (force, torque / (0.4 * self.radius * self.radius))
            }
            Contact::Rolls => {
                let force = against * (self.rolling * self.gravity);
                // The spin that keeps the lowest point at rest.
                (force, Vec3::new(0.0, 0.0, 1.0).cross(force.with_z(0.0)) / self.radius)
            }
        };
        let loss = if y[6] == 0.0 { 0.0 } else { -self.spin_loss * y[6].signum() };
        *rate = [y[2], y[3], force.x, force.y, turn.x, turn.y, loss];
    }
}

impl Event<f64, Y> for Ball {
    fn config(&self) -> EventConfig {
        EventConfig::new(CrossingDirection::Negative, Some(1))
    }

    fn event(&self, _t: f64, y: &Y) -> f64 {
        self.speed_left(y).dot(self.ends_along) - STILL
    }
}

/// The spin about the vertical alone, with its end.
struct Spin;

impl Event<f64, Y> for Spin {
    fn config(&self) -> EventConfig {
        EventConfig::new(CrossingDirection::Both, Some(1))
    }

    fn event(&self, _t: f64, y: &Y) -> f64 {
        y[6]
    }
}

/// A random ball in motion, and its card.
struct Case {
    ball: Ball,
    start: State,
    shot: Value,
}

fn case(purpose: u64, index: u64, contact: Contact) -> (Case, Stream) {
    let mut draw = Stream::new(2027, purpose, index);
    let radius = draw.between(0.024, 0.034);
    let mut ball = Ball {
        radius,
        gravity: draw.between(9.7, 9.9),
        sliding: draw.between(0.1, 0.4),
        rolling: draw.between(0.01, 0.05),
        spin_loss: draw.between(5.0, 15.0),
        contact,
        ends_along: Vec2::ZERO,
    };
    let v = Vec2::from_angle(draw.between(-3.2, 3.2)) * draw.between(0.05, 1.2);
    let mut start = State::at("cue", draw.between(1.5, 2.5), draw.between(0.8, 1.2)).moving(v.x, v.y);
    match contact {
        Contact::Slides => {
            start.wx_rad_s = draw.between(-100.0, 100.0);
            start.wy_rad_s = draw.between(-100.0, 100.0);
        }
        Contact::Rolls => start = start.rolling(1.0, radius),
    }
    // More than the longest phase takes away, so that its end, tested by itself, does not come in between.
    start.wz_rad_s = [-1.0, 1.0][draw.below(2) as usize] * draw.between(500.0, 600.0);
    let left = ball.speed_left(&posed(&start));
    ball.ends_along = left / left.norm();
    let shot = json!({
        "table": open_table(), "ball": {"radius_m": radius}, "balls": [start],
        "physics": {
            "gravity_mps2": ball.gravity, "sliding_friction": ball.sliding, "rolling_friction": ball.rolling,
            "spin_deceleration_rad_s2": ball.spin_loss, "cushion": {"height_m": 1.27 * radius}
        }
    });
    (Case { ball, start, shot }, draw)
}

fn posed(state: &State) -> Y {
    [state.x_m, state.y_m, state.vx_mps, state.vy_mps, state.wx_rad_s, state.wy_rad_s, state.wz_rad_s]
}

impl Case {
    /// The state at `until_s` by the integrator.
    fn integrated(&self, until_s: f64) -> Y {
        let method = ExplicitRungeKutta::dop853().rtol(1e-13).atol(1e-13);
        let solution = IVP::ode(&self.ball, 0.0, until_s, posed(&self.start)).method(method).solve().unwrap();
        *solution.y.last().unwrap()
    }

    /// When the phase ends by the integrator, and the state then.
    fn end<E: Event<f64, Y>>(&self, of: &E) -> (f64, Y) {
        let method = ExplicitRungeKutta::dop853().rtol(1e-13).atol(1e-13);
        let solution =
            IVP::ode(&self.ball, 0.0, 100.0, posed(&self.start)).event(of).method(method).solve().unwrap();
        (*solution.t.last().unwrap(), *solution.y.last().unwrap())
    }

    /// The largest difference in m, m/s, and m/s of surface speed.
    fn difference(&self, told: &State, y: &Y) -> f64 {
        let t = posed(told);
        let weights = [1.0, 1.0, 1.0, 1.0, self.ball.radius, self.ball.radius, self.ball.radius];
        (0..7).map(|i| (t[i] - y[i]).abs() * weights[i]).fold(0.0, f64::max)
    }

    /// The shot with a ball in the way, where the first one is at a random time before `end_s`: the meeting.
    fn met_midway(&self, alone: &Outcome, end_s: f64, draw: &mut Stream) -> Option<Told> {
        let path = &alone.paths[0].points;
        let last = path.iter().position(|point| point.t_s >= end_s)?;
        let k = 1 + draw.below(u32::try_from(last).unwrap()) as usize;
        let (here, back) = (&path[k], &path[k - 1]);
        let way = Vec2::new(here.x_m - back.x_m, here.y_m - back.y_m);
        let aside = Vec2::from_angle(draw.between(-1.2, 1.2));
        let line =
            Vec2::new(way.x * aside.x - way.y * aside.y, way.x * aside.y + way.y * aside.x) / way.norm();
        let other = State::at(
            "1",
            here.x_m + 2.0 * self.ball.radius * line.x,
            here.y_m + 2.0 * self.ball.radius * line.y,
        );
        let on_bed = (0.1..3.9).contains(&other.x_m) && (0.1..1.9).contains(&other.y_m);
        if !on_bed || other.distance_to(&self.start) < 2.001 * self.ball.radius {
            return None;
        }
        let mut shot = self.shot.clone();
        shot["balls"] = json!([self.start, other]);
        let mut outcome = play(&shot);
        let at = outcome.events.iter().position(|event| event.kind == "ball")?;
        let meeting = outcome.events.swap_remove(at);
        (meeting.t_s < end_s - self.short_of_end_s()).then_some(meeting)
    }

    /// How long before the end of the phase the integrator stops.
    fn short_of_end_s(&self) -> f64 {
        let slows = match self.ball.contact {
            Contact::Slides => 3.5 * self.ball.sliding,
            Contact::Rolls => self.ball.rolling,
        };
        STILL / (slows * self.ball.gravity)
    }

    /// The first event of the ball alone, with its sampled path.
    fn alone(&self) -> Outcome {
        let mut shot = self.shot.clone();
        shot["paths"] = json!(true);
        play(&shot)
    }
}

/// Compares states midway and at the end of the phase, which the engine tells as `ending`.
fn phases_agree(purpose: u64, contact: Contact, ending: &str) {
    let (mut midway, mut ends, mut worst) = (0, 0, 0.0_f64);
    for index in 0..STATES {
        let (case, mut draw) = case(purpose, index, contact);
        let alone = case.alone();
        let first = &alone.events[0];
        if let Some(meeting) = case.met_midway(&alone, first.t_s, &mut draw) {
            midway += 1;
            let off = case.difference(meeting.before("cue"), &case.integrated(meeting.t_s));
            worst = worst.max(off);
            assert!(off <= MIDWAY, "state {index} at {} s: off by {off:e}: {}", meeting.t_s, case.shot);
        }
        if first.kind == ending {
            ends += 1;
            let (t, y) = case.end(&case.ball);
            let left_s = case.short_of_end_s();
            assert!(
                (first.t_s - t).abs() <= 1.01 * left_s,
                "state {index}: {} {t}: {}",
                first.t_s,
                case.shot
            );
            let off = case.difference(first.before("cue"), &y);
            // The spin about the vertical goes on falling in the time that is left.
            let bound = STILL + case.ball.radius * case.ball.spin_loss * left_s;
            assert!(off <= 1.01 * bound, "state {index} at its end: off by {off:e}: {}", case.shot);
        }
    }
    println!("{midway} states midway, off by {worst:e} at most; {ends} ends");
    assert!(midway >= 200 && ends >= 200, "{midway} states midway, {ends} ends");
}

#[test]
fn a_sliding_ball_obeys_newton() {
    phases_agree(1, Contact::Slides, "roll");
}

#[test]
fn a_rolling_ball_obeys_newton() {
    phases_agree(2, Contact::Rolls, "stop");
}

/// The spin ends wherever the ball is by then: sliding, rolling or at rest.
#[test]
fn spin_about_the_vertical_dies_by_its_own_law() {
    let mut met = 0;
    for index in 0..STATES {
        let contact = if index % 2 == 0 { Contact::Slides } else { Contact::Rolls };
        let (mut case, mut draw) = case(3, index, contact);
        case.start.wz_rad_s *= draw.between(0.0001, 0.01);
        case.shot["balls"] = json!([case.start]);
        let outcome = play(&case.shot);
        let first = outcome.find("spin-end", "cue").unwrap();
        if outcome.find("cushion", "cue").is_some_and(|rail| rail.t_s < first.t_s) {
            continue;
        }
        met += 1;
        // Nothing but the spin about the vertical itself decides its end; the rest may stand still.
        let still = State { wz_rad_s: case.start.wz_rad_s, ..State::at("cue", 2.0, 1.0) };
        let (t, _) = Case { start: still, ..case }.end(&Spin);
        assert!((first.t_s - t).abs() < SPIN_END_S, "state {index}: {} {t}", first.t_s);
    }
    assert!(met >= 300, "{met}");
}
