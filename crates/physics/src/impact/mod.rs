//! Impacts: ball with ball, ball with something fixed.

pub(crate) mod ball_ball;
pub(crate) mod fixed;

use longrail_math::Vec3;

/// A moving ball as an impact sees it: velocity and surface speed R ω, both in m/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Moving {
    pub(crate) v: Vec3,
    pub(crate) w: Vec3,
    /// In 1/kg.
    pub(crate) inverse_mass: f64,
}

impl Moving {
    /// Kinetic energy in joules, with the moment of inertia 2/5 m R² of a solid sphere.
    pub(crate) fn energy(&self) -> f64 {
        0.5 * (self.v.norm_squared() + 0.4 * self.w.norm_squared()) / self.inverse_mass
    }
}
