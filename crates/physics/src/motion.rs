//! How a ball moves between events: sliding, rolling, resting, flying, all in closed form.
//!
//! Sources: Coriolis 1835, *Théorie mathématique des effets du jeu de billard*, for the parabola of a sliding
//! ball; J. A. Euler 1758 earlier. With v the velocity of the centre and W = R ω the surface speed:
//!
//! | phase | law |
//! |---|---|
//! | sliding | slip u = (v_x − W_y, v_y + W_x) keeps its direction; acceleration −μ_s g u/‖u‖; it ends after 2‖u‖/(7 μ_s g), with velocity v − (2/7) u |
//! | rolling | u = 0; deceleration μ_r g |
//! | flying | free fall; spin is kept |
//!
//! In every phase the centre is at p + v s + a s² after a time s. Spin about the vertical falls by a
//! constant rate while the ball is on the cloth, and bends no path there.

use longrail_math::roots::Approach;
use longrail_math::{Vec2, Vec3};

use crate::conditions::Conditions;

/// Squares of speeds below this (m²/s²) are zero: a nanometre a second.
const STILL_SQUARED: f64 = 1e-18;

/// What a ball is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// At rest, perhaps spinning in place.
    Rest,
    /// Sliding over the cloth.
    Sliding,
    /// Rolling without slip.
    Rolling,
    /// Off the cloth.
    Flying,
    /// In a pocket or off the table; no longer part of the shot.
    Gone,
}

/// Position and motion of a ball at one moment: m, m/s, and surface speed R ω in m/s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct State {
    /// Centre over the bed.
    pub position: Vec2,
    /// Height of the centre above its height on the bed.
    pub height: f64,
    /// Velocity.
    pub velocity: Vec3,
    /// Surface speed R ω.
    pub surface: Vec3,
}

/// A ball in motion since the time `since`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Body {
    pub(crate) phase: Phase,
    /// Start of the present phase, in seconds after the strike.
    pub(crate) since: f64,
    /// End of the present phase by itself; infinite for rest and flight.
    pub(crate) until: f64,
    /// Centre over the bed at `since`.
    pub(crate) p: Vec2,
    /// Velocity at `since`.
    pub(crate) v: Vec2,
    /// Half the acceleration.
    pub(crate) a: Vec2,
    /// Surface speed R ω at `since`.
    pub(crate) w: Vec3,
    /// Height above the bed at `since`, its rate; only in flight.
    pub(crate) height: f64,
    pub(crate) climb: f64,
    pub(crate) radius: f64,
    pub(crate) inverse_mass: f64,
    /// Distance of the centre from a nose line at contact.
    pub(crate) reach: f64,
}

impl Body {
    #[inline]
    pub(crate) fn position(&self, t: f64) -> Vec2 {
        let s = t - self.since;
        self.p + (self.v + self.a * s) * s
    }

    #[inline]
    pub(crate) fn velocity(&self, t: f64) -> Vec2 {
        self.v + self.a * (2.0 * (t - self.since))
    }

    /// Height above the bed, and its rate.
    #[inline]
    pub(crate) fn lift(&self, t: f64, gravity: f64) -> (f64, f64) {
        if self.phase != Phase::Flying {
            return (0.0, 0.0);
        }
        let s = t - self.since;
        (self.height + (self.climb - 0.5 * gravity * s) * s, self.climb - gravity * s)
    }

    /// Surface speed R ω at `t`.
    #[inline]
    fn surface(&self, t: f64, conditions: &Conditions) -> Vec3 {
        let s = t - self.since;
        let (x, y) = match self.phase {
            // R dω/dt = (5/2) (A_y, −A_x), with A = 2 a the acceleration.
            Phase::Sliding => (self.w.x + 5.0 * self.a.y * s, self.w.y - 5.0 * self.a.x * s),
            Phase::Rolling => {
                let v = self.velocity(t);
                (-v.y, v.x)
            }
            _ => (self.w.x, self.w.y),
        };
        let z = if self.phase == Phase::Flying {
            self.w.z
        } else {
            let left = (self.w.z.abs() - conditions.spin_deceleration_rad_s2 * self.radius * s).max(0.0);
            if self.w.z < 0.0 { -left } else { left }
        };
        Vec3::new(x, y, z)
    }

    /// When the spin about the vertical ends, if nothing happens before.
    pub(crate) fn spin_end(&self, conditions: &Conditions) -> f64 {
        self.since + self.w.z.abs() / (conditions.spin_deceleration_rad_s2 * self.radius)
    }

    pub(crate) fn state(&self, t: f64, conditions: &Conditions) -> State {
        let (height, climb) = self.lift(t, conditions.gravity_mps2);
        State {
            position: self.position(t),
            height,
            velocity: self.velocity(t).with_z(climb),
            surface: self.surface(t, conditions),
        }
    }

    /// Brings the start of the phase to `t` without changing the motion.
    #[inline]
    pub(crate) fn advance(&mut self, t: f64, conditions: &Conditions) {
        if t == self.since {
            return;
        }
        let w = self.surface(t, conditions);
        let (height, climb) = self.lift(t, conditions.gravity_mps2);
        self.p = self.position(t);
        self.v = self.velocity(t);
        self.w = w;
        self.height = height;
        self.climb = climb;
        self.since = t;
    }

    /// Ends a phase that runs out by itself: sliding becomes rolling exactly, rolling rest exactly.
    #[inline]
    pub(crate) fn run_out(&mut self, t: f64, conditions: &Conditions) {
        let end_velocity = match self.phase {
            Phase::Sliding => self.v - self.slip() * (2.0 / 7.0),
            _ => Vec2::ZERO,
        };
        self.advance(t, conditions);
        self.v = end_velocity;
        self.w.x = -end_velocity.y;
        self.w.y = end_velocity.x;
        self.start_phase(t, conditions);
    }

    /// Velocity of the ball's lowest point at the start of the phase.
    #[inline]
    pub(crate) fn slip(&self) -> Vec2 {
        Vec2::new(self.v.x - self.w.y, self.v.y + self.w.x)
    }

    /// Decides from velocity and spin at `since` (which must be `t`) what the ball does next.
    #[inline]
    pub(crate) fn start_phase(&mut self, t: f64, conditions: &Conditions) {
        self.since = t;
        if self.w.z * self.w.z < STILL_SQUARED {
            self.w.z = 0.0;
        }
        if self.phase == Phase::Flying {
            self.a = Vec2::ZERO;
            self.until = f64::INFINITY;
            return;
        }
        self.height = 0.0;
        self.climb = 0.0;
        let gravity = conditions.gravity_mps2;
        let slip = self.slip();
        let slip_squared = slip.norm_squared();
        if slip_squared > STILL_SQUARED {
            let size = slip_squared.sqrt();
            let push = conditions.sliding_friction * gravity;
            self.phase = Phase::Sliding;
            self.a = slip * (-0.5 * push / size);
            self.until = t + 2.0 * size / (7.0 * push);
            return;
        }
        let speed_squared = self.v.norm_squared();
        if speed_squared > STILL_SQUARED {
            let speed = speed_squared.sqrt();
            let drag = conditions.rolling_friction * gravity;
            self.phase = Phase::Rolling;
            self.a = self.v * (-0.5 * drag / speed);
            self.until = t + speed / drag;
        } else {
            self.phase = Phase::Rest;
            self.v = Vec2::ZERO;
            self.a = Vec2::ZERO;
            self.w = Vec3::new(0.0, 0.0, self.w.z);
            self.until = f64::INFINITY;
        }
    }

    /// Sends the ball off the cloth with the upward speed `climb`.
    pub(crate) fn take_off(&mut self, t: f64, climb: f64) {
        self.phase = Phase::Flying;
        self.since = t;
        self.until = f64::INFINITY;
        self.a = Vec2::ZERO;
        self.climb = climb;
    }

    /// How it moves over the bed from `t` on.
    #[inline]
    pub(crate) fn course(&self, t: f64) -> Approach<Vec2> {
        Approach { p: self.position(t), v: self.velocity(t), a: self.a }
    }

    /// The same with its height above the bed's middle plane of contact (radius included).
    pub(crate) fn course_3d(&self, t: f64, gravity: f64) -> Approach<Vec3> {
        let flat = self.course(t);
        let (height, climb) = self.lift(t, gravity);
        let fall = if self.phase == Phase::Flying { -0.5 * gravity } else { 0.0 };
        Approach { p: flat.p.with_z(self.radius + height), v: flat.v.with_z(climb), a: flat.a.with_z(fall) }
    }
}
