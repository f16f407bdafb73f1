//! A rebound, against the impulse applied bit by bit.
//!
//! The engine reduces the equations of Mathavan, Jackson & Parkin 2010 to three slips and integrates them with
//! steps that it chooses, and treats a nose that sticks as a case of its own. The plain reference here does
//! nothing of the kind: it presses ball and rubber together in equal increments and applies forces and torques
//! in space, at the nose and at the cloth, each with Coulomb's friction against the slip of that moment. So
//! that a slip that vanishes does not chatter, its friction falls to zero over the last [`SOFTENED`] of speed.
//!
//! Both then agree to about that (and to the size of the increments); the engine's own tolerance, 10⁻⁷
//! here, is far below. The paper's restitution and rubber friction are published; its geometry rests on memory,
//! so the states drawn cover snooker and pool alike and no value here is a measurement.

// A failing test may stop where it stands, and tells what it measured.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

use longrail_math::random::Stream;
use longrail_math::{Vec3, fx};
use longrail_physics::conditions::{Cushion, CushionModel, NoseContact};
use longrail_physics::cushion::{Contact, Motion, rebound};

/// Increments of a rebound that gives back everything.
const INCREMENTS: u32 = 40_000;

/// Slips below this part of the approach speed rub less, in proportion.
const SOFTENED: f64 = 2e-4;

/// How far velocities and surface speeds may differ, as a part of the largest speed.
const TOLERANCE: f64 = 5e-4;

/// A ball of unit mass and radius: X along the rail, Y into the rubber, Z up.
#[derive(Clone, Copy)]
struct Sphere {
    v: Vec3,
    spin: Vec3,
}

impl Sphere {
    fn take(&mut self, push: Vec3, arm: Vec3) {
        self.v += push;
        self.spin += arm.cross(push) * 2.5;
    }

    /// Direction of the slip of the surface at `arm`, softened.
    fn slip(&self, arm: Vec3, speed: f64) -> Vec3 {
        let surface = self.v + self.spin.cross(arm);
        let slip = surface - arm * surface.dot(arm);
        slip / slip.norm().max(SOFTENED * speed)
    }
}

/// The rebound of a ball that the nose touches in the direction `nose` from its centre.
fn press(mut ball: Sphere, nose: Vec3, restitution: f64, friction: [f64; 2]) -> Sphere {
    let [rubber, cloth] = friction;
    let down = Vec3::new(0.0, 0.0, -1.0);
    let speed = ball.v.y;
    let part = 2.0 * speed / f64::from(INCREMENTS);
    let (mut work, mut goal) = (0.0, f64::NEG_INFINITY);
    while goal == f64::NEG_INFINITY || work > goal {
        let rub = ball.slip(nose, speed) * -rubber;
        let from_nose = rub - nose;
        // The bed carries what presses down, and gives nothing more.
        let load = (-from_nose.z).max(0.0);
        let under = ball.slip(down, speed) * -cloth;
        let approach = ball.v.dot(nose);
        ball.take(from_nose * part, nose);
        ball.take((under - down) * (load * part), down);
        work += 0.5 * (approach + ball.v.dot(nose)) * part;
        if goal == f64::NEG_INFINITY && ball.v.y <= 0.0 {
            goal = work * (1.0 - restitution * restitution);
        }
    }
    ball
}

#[test]
fn a_rebound_is_the_sum_of_its_increments() {
    let mut differences = Vec::new();
    for index in 0..300 {
        let mut draw = Stream::new(2027, 0xC05, index);
        let sin = draw.between(0.2, 0.42);
        let cos = (1.0 - sin * sin).sqrt();
        let restitution = draw.between(0.5, 1.0);
        // Rubber that grips more than tan θ would lift the ball, which the equations leave out.
        let rubber = draw.between(0.02, 0.95 * sin / cos);
        let cloth = draw.between(0.1, 0.4);
        let speed = 0.1 * fx::exp(draw.between(0.0, 4.0));
        let along = speed * draw.between(-3.0, 3.0);
        let mut any = || speed * draw.between(-1.5, 1.5);
        // A third rolls, a third has any spin, a third rolls with side.
        let (wx, wy, wz) = match index % 3 {
            0 => (-speed, along, 0.0),
            1 => (any(), any(), any()),
            _ => (-speed, along, any()),
        };
        let before = Motion { vx: along, vy: speed, vz: 0.0, wx, wy, wz };

        let start = Sphere { v: Vec3::new(along, speed, 0.0), spin: Vec3::new(wx, wy, wz) };
        let expected = press(start, Vec3::new(0.0, cos, sin), restitution, [rubber, cloth]);

        let cushion = Cushion {
            model: CushionModel::Impulse,
            restitution,
            friction: rubber,
            height_m: 0.036,
            contact: NoseContact::Nose,
            tolerance: 1e-7,
        };
        let contact = Contact { sin, cos, cloth_friction: cloth };
        let got = rebound(&cushion, &contact, &before).unwrap();

        let off_v = (Vec3::new(got.vx, got.vy, got.vz) - expected.v).norm();
        let off_spin = (Vec3::new(got.wx, got.wy, got.wz) - expected.spin).norm();
        let largest = start.v.norm().max(start.spin.norm());
        let off = off_v.max(off_spin) / largest;
        differences.push(off);
        assert!(
            off <= TOLERANCE,
            "rebound {index}: off by {off:e}: {before:?}, {contact:?}, rubber {rubber}, restitution {restitution}\n\
             got {got:?}\nexpected {:?} {:?}",
            expected.v,
            expected.spin
        );
    }
    differences.sort_by(f64::total_cmp);
    let (middle, worst) = (differences[differences.len() / 2], differences[differences.len() - 1]);
    println!("off by {middle:e} in the middle, {worst:e} at worst");
    // Most rebounds meet no vanishing slip, and agree as the increments do.
    assert!(middle < 0.1 * TOLERANCE, "{middle:e}");
}
