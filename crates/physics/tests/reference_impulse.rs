//! Ball meets ball, against the impulse applied bit by bit.
//!
//! The engine resolves a contact in one stroke: friction is one impulse against the slip at first touch, cut
//! off where the surfaces would stick. The plain reference here knows none of that. It presses the balls
//! together in ten thousand increments; in each, Coulomb's friction acts against the slip of that moment, with
//! free spins and cross products in space. The coefficient is that of the slip at first touch, as in the
//! published model (Alciatore, TP A.14). The upward velocity that rubbing gives is dropped at the end, as the
//! contract says.
//!
//! The slip keeps its direction during such an impact, so both must agree to rounding: 10⁻¹¹ of the fastest
//! thing in the impact (ten thousand roundings of 10⁻¹⁶, with room), where 10⁻⁶ would do for any use.

// A failing test may stop where it stands, and tells what it measured.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

#[path = "support/mod.rs"]
mod support;

use longrail_math::random::Stream;
use longrail_math::{Vec2, Vec3, fx};
use serde_json::{Value, json};
use support::shot::{State, open_table, play};

const INCREMENTS: u32 = 10_000;

/// How far engine and reference may differ, as a part of the largest speed in the impact.
const TOLERANCE: f64 = 1e-11;

#[derive(Clone, Copy)]
struct Sphere {
    v: Vec3,
    spin: Vec3,
    mass: f64,
    radius: f64,
}

impl Sphere {
    /// Takes the impulse `push` at `arm` from the centre.
    fn take(&mut self, push: Vec3, arm: Vec3) {
        self.v += push / self.mass;
        self.spin += arm.cross(push) / (0.4 * self.mass * self.radius * self.radius);
    }

    fn surface(&self, arm: Vec3) -> Vec3 {
        self.v + self.spin.cross(arm)
    }
}

/// Slip of the first surface over the second.
fn slip(a: &Sphere, b: &Sphere, n: Vec3) -> Vec3 {
    let relative = a.surface(n * a.radius) - b.surface(n * -b.radius);
    relative - n * relative.dot(n)
}

/// The impact, increment by increment, along the unit vector `n` from `a` to `b`.
fn press(a: &mut Sphere, b: &mut Sphere, n: Vec3, restitution: f64, friction: f64) {
    let approach = (a.v - b.v).dot(n);
    let whole = (1.0 + restitution) * approach / (1.0 / a.mass + 1.0 / b.mass);
    let part = whole / f64::from(INCREMENTS);
    for _ in 0..INCREMENTS {
        let (arm_a, arm_b) = (n * a.radius, n * -b.radius);
        a.take(n * -part, arm_a);
        b.take(n * part, arm_b);
        let before = slip(a, b, n);
        let size = before.norm();
        if size == 0.0 {
            continue;
        }
        let rub = before * (friction * part / size);
        let (mut trial_a, mut trial_b) = (*a, *b);
        trial_a.take(-rub, arm_a);
        trial_b.take(rub, arm_b);
        let after = slip(&trial_a, &trial_b, n);
        // Friction stops a slip and does not reverse it: of an increment that would, the part up to zero.
        let share = if after.dot(before) < 0.0 { size / (size + after.norm()) } else { 1.0 };
        a.take(rub * -share, arm_a);
        b.take(rub * share, arm_b);
    }
}

/// A posed ball and the same for the reference.
fn sphere(state: &State, mass: f64, radius: f64) -> Sphere {
    Sphere {
        v: Vec3::new(state.vx_mps, state.vy_mps, 0.0),
        spin: Vec3::new(state.wx_rad_s, state.wy_rad_s, state.wz_rad_s),
        mass,
        radius,
    }
}

/// With every second draw one coefficient for all slips, else a law that fades; the coefficient at `slip_mps`.
fn friction_law(draw: &mut Stream, slip_mps: f64) -> (Value, f64) {
    if draw.below(2) == 0 {
        let constant = draw.between(0.0, 0.6);
        return (json!(constant), constant);
    }
    let (a, b, c) = (draw.between(0.0, 0.1), draw.between(0.0, 0.5), draw.between(0.1, 3.0));
    (json!({"a": a, "b": b, "c_s_per_m": c}), a + b * fx::exp(-c * slip_mps))
}

#[test]
fn one_stroke_of_impulse_is_the_sum_of_ten_thousand() {
    let (mut impacts, mut sticking, mut worst) = (0, 0, 0.0_f64);
    for index in 0..400 {
        let mut draw = Stream::new(2027, 0x1_4b2_1e5, index);
        let radius = draw.between(0.024, 0.034);
        let masses = [draw.between(0.1, 0.3), draw.between(0.1, 0.3)];
        let restitution = draw.between(0.3, 1.0);
        let towards = draw.between(0.0, std::f64::consts::TAU);
        let n = Vec2::from_angle(towards);
        // From soft touches to break speed, at any cut; the second ball moves as well.
        let speed = 0.05 * fx::exp(draw.between(0.0, 5.3));
        let v = Vec2::from_angle(towards + draw.between(-1.45, 1.45)) * speed;
        let drift = Vec2::from_angle(draw.between(0.0, std::f64::consts::TAU)) * (0.05 * speed);
        let mut spin = || draw.between(-1.25, 1.25) * speed / radius;
        let spins: [Vec3; 2] = std::array::from_fn(|_| Vec3::new(spin(), spin(), spin()));
        let place = [Vec2::new(2.0, 1.0) - n * (2.0 * radius), Vec2::new(2.0, 1.0)];
        let balls: [State; 2] = std::array::from_fn(|k| State {
            wx_rad_s: spins[k].x,
            wy_rad_s: spins[k].y,
            wz_rad_s: spins[k].z,
            ..State::at(["a", "b"][k], place[k].x, place[k].y).moving([v, drift][k].x, [v, drift][k].y)
        });
        if (v - drift).dot(n) < 0.01 {
            continue;
        }
        impacts += 1;

        let mut spheres: [Sphere; 2] = std::array::from_fn(|k| sphere(&balls[k], masses[k], radius));
        let line = n.with_z(0.0);
        let first_slip = slip(&spheres[0], &spheres[1], line);
        let (law, friction) = friction_law(&mut draw, first_slip.norm());
        let [a, b] = &mut spheres;
        press(a, b, line, restitution, friction);
        sticking += u32::from(slip(a, b, line).norm() < 1e-9 * first_slip.norm());

        let cards = [0, 1].map(|k| {
            let mut card = json!(balls[k]);
            card["mass_kg"] = json!(masses[k]);
            card
        });
        let outcome = play(&json!({
            "table": open_table(), "ball": {"radius_m": radius}, "balls": cards,
            "physics": {
                "ball_restitution": restitution, "ball_friction": law,
                "cushion": {"height_m": 1.27 * radius}
            }
        }));
        let meeting = outcome.first("ball", "a");
        assert!(meeting.t_s < 1e-9, "they touch at the start: {}", meeting.t_s);
        let largest = speed + radius * spins[0].norm().max(spins[1].norm());
        for (ball, expected) in ["a", "b"].into_iter().zip(spheres) {
            let got = sphere(meeting.after(ball), expected.mass, radius);
            let off_speed = (got.v.xy() - expected.v.xy()).norm();
            let off_spin = (got.spin - expected.spin).norm() * radius;
            worst = worst.max(off_speed.max(off_spin) / largest);
            assert!(
                off_speed.max(off_spin) <= TOLERANCE * largest,
                "impact {index}, ball {ball}: velocity off by {off_speed:e} m/s, surface speed by {off_spin:e} m/s\n\
                 posed {balls:?}, masses {masses:?}, radius {radius}, restitution {restitution}, friction {friction}"
            );
        }
    }
    // Sliding through and sticking must both have been met.
    println!("{impacts} impacts, {sticking} of them ended sticking; off by {worst:e} at most");
    assert!(
        impacts > 350 && (80..impacts - 80).contains(&sticking),
        "{sticking} of {impacts} ended sticking"
    );
}
