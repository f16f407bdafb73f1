//! The engine beside a general-purpose rigid-body engine (rapier), on a case that both can pose.
//!
//! A ball slides without spin at 2 m/s, comes to natural roll, and meets an equal ball at rest head-on:
//! restitution 1 and no friction between balls, friction 0.2 and restitution 0 on the bed. Compared are the
//! places of both balls after one second, along their common line, with [`exact`].
//!
//! * The stepping engine is set as suits it best here: one solver iteration (more cost more than they bring),
//!   stiff contacts (by default a ball sinks 69 µm into the bed, which leaves some 0.6 mm however
//!   short the step), friction point by point, nothing put to sleep, no continuous collision detection.
//! * It knows no rolling resistance. Here the least that is allowed is posed, 0.0005 (up to 0.7 mm over
//!   the second), and each engine is held to the closed form of its own case.
//! * Its step is halved from 1/32 s until the balls are in place at each of [`GAPS`]: where in a step the
//!   contact falls decides much of the error, and one lucky fall must not decide the figure.
//! * Timed is the motion alone; building the balls and the bed is left out for both. This engine plays on
//!   until both balls have dropped, some three seconds; the other is stopped after the second.

use std::hint::black_box;
use std::time::Instant;

use longrail_math::Vec2;
use longrail_physics::ball::{MASS_KG, RADIUS_M};
use longrail_physics::conditions::BallFriction;
use longrail_physics::{Ball, Conditions, Cue, Engine, Layout, Log, Table, World};
use rapier3d_f64::prelude::{
    CoefficientCombineRule, ColliderBuilder, FrictionModel, IntegrationParameters, PhysicsWorld,
    RigidBodyBuilder, RigidBodyHandle, SpringCoefficients, Vector, nalgebra,
};

use crate::figure;

/// Speed at the start, in m/s.
const SPEED_MPS: f64 = 2.0;
/// Gravity, in m/s².
const GRAVITY_MPS2: f64 = 9.80665;
/// Friction of a sliding ball on the bed.
const FRICTION: f64 = 0.2;
/// Friction of a rolling ball in this engine: the least that it takes.
const ROLLING: f64 = 0.0005;
/// When the places are compared, in seconds; both balls roll by then.
const END_S: f64 = 1.0;
/// Ways of the first ball to contact, in metres: beyond the 0.49945 m of its slide. Their spacing spreads the
/// moments of contact over 5 ms, more than a step that serves. The first is the shot that is timed.
const GAPS: [f64; 8] = [0.6, 0.601, 0.602, 0.603, 0.604, 0.605, 0.606, 0.607];
/// The error aimed at, in millimetres.
const AIM_MM: f64 = 1.0;
/// The most steps tried: a step of a microsecond.
const MOST_STEPS: u32 = 1 << 20;
/// Where the first ball starts in this engine: 45° from there lies a corner pocket, so that the shot ends
/// without a rail.
const START: Vec2 = Vec2 { x: 1.37, y: 0.1 };

/// Tells the step that serves, both times, and how they compare.
pub(crate) fn figures() {
    let off = worst(GAPS.map(|gap| own_error_mm(gap).unwrap_or(f64::NAN)));
    let note = "slide, roll, head-on contact; after 1 s";
    figure("ideal shot, off the closed form", off, "mm", Some(1e-6), note);
    let (steps, error) = steps_for_aim();
    let step_ms = END_S * 1e3 / f64::from(steps);
    if error <= AIM_MM {
        let note = format!("{steps} steps a second; worst of {} placements {error:.2} mm", GAPS.len());
        figure("rigid-body engine, step for 1 mm", step_ms, "ms", None, &note);
    } else {
        let note = format!("never within 1 mm down to a step of 1 µs; this at a step of {step_ms} ms");
        figure("rigid-body engine, best error", error, "mm", None, &note);
    }
    let [other, own] = medians(stepped_us(steps), own_us());
    let note = "the first second; rapier, one solver iteration";
    figure("rigid-body engine, ideal shot", other, "µs", None, note);
    figure("this engine, ideal shot", own, "µs", None, "all of it, until both balls have dropped");
    let note = "of the time, at the step above; expected: three orders of magnitude";
    figure("rigid-body engine over this engine", other / own, "times", None, note);
}

/// How far the first and the second ball's centres are from the start of the first after [`END_S`].
///
/// With a = μ g on a sliding ball and b = μ_r g on a rolling one (textbook mechanics of a solid sphere, inertia
/// 2/5 m R²; Coriolis 1835):
///
/// 1. sliding from v₀ without spin takes 2 v₀/(7 a) and 12 v₀²/(49 a), and leaves v₁ = 5/7 v₀;
/// 2. rolling on to the contact leaves v₂ = √(v₁² − 2 b d) and takes 2 d/(v₁ + v₂);
/// 3. equal balls exchange velocities and keep their spins: the second slides from v₂ without spin, as in 1,
///    the first stands with the surface speed v₂ of its roll;
/// 4. that drives it forward at a until it rolls, for the same 2 v₂/(7 a), over 2 v₂²/(49 a), to 2/7 v₂;
/// 5. each then rolls: s u − b u²/2 in the time u that is left.
fn exact(gap: f64, rolling: f64) -> [f64; 2] {
    let (a, b) = (FRICTION * GRAVITY_MPS2, rolling * GRAVITY_MPS2);
    let slide = 12.0 * SPEED_MPS * SPEED_MPS / (49.0 * a);
    let v1 = 5.0 / 7.0 * SPEED_MPS;
    let v2 = (v1 * v1 - 2.0 * b * (gap - slide)).sqrt();
    let contact = 2.0 * SPEED_MPS / (7.0 * a) + 2.0 * (gap - slide) / (v1 + v2);
    let left = END_S - contact - 2.0 * v2 / (7.0 * a);
    let roll = |speed: f64| (speed - 0.5 * b * left) * left;
    let first = gap + 2.0 * v2 * v2 / (49.0 * a) + roll(2.0 / 7.0 * v2);
    let second = gap + 2.0 * RADIUS_M + 12.0 * v2 * v2 / (49.0 * a) + roll(5.0 / 7.0 * v2);
    [first, second]
}

/// The shot in this engine, along a diagonal.
fn own_shot(gap: f64) -> (World, Layout) {
    let mut conditions = Conditions {
        gravity_mps2: GRAVITY_MPS2,
        sliding_friction: FRICTION,
        rolling_friction: ROLLING,
        ball_restitution: 1.0,
        ball_friction: BallFriction::Constant(0.0),
        ..Conditions::default()
    };
    conditions.flight.bed_restitution = 0.0;
    let mut first = Ball::at_rest("cue", START.x, START.y);
    first.velocity = diagonal() * SPEED_MPS;
    let at = START + diagonal() * (gap + 2.0 * RADIUS_M);
    // Constant data; a mistake in it shows at the first run.
    #[allow(clippy::expect_used)]
    let world = World::new(Table::default(), conditions).expect("constant conditions are legal");
    #[allow(clippy::expect_used)]
    let layout = Layout::new(&world, &[first, Ball::at_rest("1", at.x, at.y)]).expect("this layout is legal");
    (world, layout)
}

fn diagonal() -> Vec2 {
    Vec2::new(std::f64::consts::FRAC_1_SQRT_2, std::f64::consts::FRAC_1_SQRT_2)
}

/// How far this engine's balls are from the closed form, at worst; `None` if it gives up.
fn own_error_mm(gap: f64) -> Option<f64> {
    let (world, layout) = own_shot(gap);
    let mut log = Log::default();
    Engine::new().play(&world, &layout, None, &Cue::default(), &mut log).ok()?;
    let ways = exact(gap, ROLLING);
    let off = |ball: usize| {
        let leg = log.legs.iter().find(|leg| leg.ball == ball && leg.from_s <= END_S && END_S < leg.to_s)?;
        Some((leg.position(END_S) - START - diagonal() * ways[ball]).norm() * 1e3)
    };
    Some(worst([off(0)?, off(1)?]))
}

/// Measures the shot in this engine, in microseconds.
fn own_us() -> impl FnMut() -> f64 {
    // A batch takes about as long as one shot of the other engine.
    const PLAYS: u32 = 1000;
    let (world, layout) = own_shot(GAPS[0]);
    let mut engine = Engine::new();
    move || {
        let started = Instant::now();
        for _ in 0..PLAYS {
            let outcome = engine.play(&world, black_box(&layout), None, &Cue::default(), &mut ());
            let _ = black_box(outcome);
            black_box(engine.rest_time_s());
        }
        started.elapsed().as_secs_f64() * 1e6 / f64::from(PLAYS)
    }
}

/// The shot in the stepping engine, along x.
struct Stepped {
    world: PhysicsWorld,
    balls: [RigidBodyHandle; 2],
}

impl Stepped {
    fn new(gap: f64, steps: u32) -> Self {
        let mut world = PhysicsWorld::new();
        world.gravity = Vector::new(0.0, 0.0, -GRAVITY_MPS2);
        // In hertz, and damping over critical: stiff enough that how a ball sinks in no longer matters.
        let stiff = SpringCoefficients::new(1e3, 10.0);
        world.integration_parameters = IntegrationParameters {
            dt: END_S / f64::from(steps),
            contact_softness: stiff,
            static_contact_softness: stiff,
            num_solver_iterations: 1,
            num_internal_stabilization_iterations: 0,
            max_ccd_substeps: 0,
            contact_recycling: false,
            friction_model: FrictionModel::Coulomb,
            ..IntegrationParameters::default()
        };
        // The bed's rules outrank the balls' rule, the average: they hold where a ball meets the bed.
        let up = nalgebra::Unit::new_unchecked(Vector::new(0.0, 0.0, 1.0));
        let bed = ColliderBuilder::halfspace(up)
            .friction(FRICTION)
            .friction_combine_rule(CoefficientCombineRule::Max)
            .restitution(0.0)
            .restitution_combine_rule(CoefficientCombineRule::Multiply);
        world.insert(RigidBodyBuilder::fixed(), bed);
        let balls = [(0.0, SPEED_MPS), (gap + 2.0 * RADIUS_M, 0.0)].map(|(x, speed)| {
            let body = RigidBodyBuilder::dynamic()
                .translation(Vector::new(x, 0.0, RADIUS_M))
                .linvel(Vector::new(speed, 0.0, 0.0))
                .can_sleep(false);
            let ball = ColliderBuilder::ball(RADIUS_M).mass(MASS_KG).friction(0.0).restitution(1.0);
            world.insert(body, ball).0
        });
        Self { world, balls }
    }

    fn run(&mut self, steps: u32) {
        (0..steps).for_each(|_| self.world.step());
    }

    /// How far along their line the balls are from the closed form, at worst.
    fn error_mm(&self, gap: f64) -> f64 {
        let (x, ways) = (self.balls.map(|ball| self.world.bodies[ball].translation().x), exact(gap, 0.0));
        worst([x[0] - ways[0], x[1] - ways[1]]) * 1e3
    }
}

/// The least number of steps, by doubling, that meets the aim at every gap, else the best there is; and the
/// worst error with it, in millimetres.
fn steps_for_aim() -> (u32, f64) {
    let mut best = (MOST_STEPS, f64::INFINITY);
    let mut steps = 32;
    while best.1 > AIM_MM && steps <= MOST_STEPS {
        let error = worst(GAPS.map(|gap| {
            let mut shot = Stepped::new(gap, steps);
            shot.run(steps);
            shot.error_mm(gap)
        }));
        if error < best.1 {
            best = (steps, error);
        }
        steps *= 2;
    }
    best
}

/// Measures the shot in the stepping engine, in microseconds.
fn stepped_us(steps: u32) -> impl FnMut() -> f64 {
    move || {
        let mut shot = Stepped::new(GAPS[0], steps);
        let started = Instant::now();
        shot.run(steps);
        let time = started.elapsed();
        black_box(shot.error_mm(GAPS[0]));
        time.as_secs_f64() * 1e6
    }
}

/// The largest size; not a number if any is not.
fn worst<const N: usize>(errors: [f64; N]) -> f64 {
    errors.into_iter().map(f64::abs).max_by(f64::total_cmp).unwrap_or(0.0)
}

/// Medians of two measures taken in turn, so that neighbours disturb both alike.
fn medians(mut first: impl FnMut() -> f64, mut second: impl FnMut() -> f64) -> [f64; 2] {
    let (mut a, mut b): (Vec<f64>, Vec<f64>) = (0..101).map(|_| (first(), second())).unzip();
    a.sort_by(f64::total_cmp);
    b.sort_by(f64::total_cmp);
    [a[a.len() / 2], b[b.len() / 2]]
}
