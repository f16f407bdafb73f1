//! Balls as they are given: where they start, how large and how heavy they are.

use longrail_math::{Vec2, Vec3};

use crate::error::{ShotError, check};

/// Radius of a pool ball in metres: 2.25 in across (WPA).
pub const RADIUS_M: f64 = 0.028_575;

/// Mass of a pool ball in kilograms: 6 oz, the heaviest that the WPA allows, rounded.
pub const MASS_KG: f64 = 0.170;

/// The most balls of one shot: a full rack and the cue ball.
pub const MOST_BALLS: usize = 16;

/// The id of the ball that a stroke hits.
pub const CUE: &str = "cue";

/// A ball at the start of a shot.
#[derive(Clone, Debug, PartialEq)]
pub struct Ball {
    /// Its name; `"cue"` is the one a stroke hits.
    pub id: String,
    /// Its centre, in metres.
    pub position: Vec2,
    /// Its velocity, in m/s. Zero for a ball at rest.
    pub velocity: Vec2,
    /// Its angular velocity, in rad/s.
    pub spin: Vec3,
    /// Its radius, in metres; 0.02 to 0.04.
    pub radius_m: f64,
    /// Its mass, in kilograms; 0.05 to 0.5.
    pub mass_kg: f64,
}

impl Ball {
    /// A pool ball at rest.
    pub fn at_rest(id: &str, x_m: f64, y_m: f64) -> Self {
        Self {
            id: id.to_owned(),
            position: Vec2::new(x_m, y_m),
            velocity: Vec2::ZERO,
            spin: Vec3::ZERO,
            radius_m: RADIUS_M,
            mass_kg: MASS_KG,
        }
    }

    pub(crate) fn check(&self) -> Result<(), ShotError> {
        let field = |name: &str| format!("ball {:?}: {name}", self.id);
        check(&field("radius_m"), self.radius_m, 0.02, 0.04, "m")?;
        check(&field("mass_kg"), self.mass_kg, 0.05, 0.5, "kg")?;
        check(&field("x_m"), self.position.x, -1.0, 5.0, "m")?;
        check(&field("y_m"), self.position.y, -1.0, 3.0, "m")?;
        check(&field("vx_mps"), self.velocity.x, -30.0, 30.0, "m/s")?;
        check(&field("vy_mps"), self.velocity.y, -30.0, 30.0, "m/s")?;
        check(&field("wx_rad_s"), self.spin.x, -2000.0, 2000.0, "rad/s")?;
        check(&field("wy_rad_s"), self.spin.y, -2000.0, 2000.0, "rad/s")?;
        check(&field("wz_rad_s"), self.spin.z, -2000.0, 2000.0, "rad/s")
    }
}
