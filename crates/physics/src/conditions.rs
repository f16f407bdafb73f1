//! What the models need to know of cloth, balls, rubber and gravity, as data.
//!
//! Each default names its source. "Alciatore" is the physical-properties page of D. Alciatore, Colorado
//! State University; "WPA" the World Pool-Billiard Association's equipment specifications.

use crate::error::{ShotError, check};

/// Everything that is not shape: gravity, cloth, contacts. Part of a table card.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Gravity in m/s²; 1 to 30. Default 9.80665 (standard gravity).
    pub gravity_mps2: f64,
    /// Friction of a ball sliding on cloth; 0.01 to 1. Default 0.2 (Alciatore: 0.15 to 0.4).
    pub sliding_friction: f64,
    /// Friction of a ball rolling on cloth; 0.0005 to 0.1. Default 0.01 (Alciatore: 0.005 to 0.015).
    pub rolling_friction: f64,
    /// Loss of spin about the vertical, in rad/s²; 0.1 to 200. Default 10 (Alciatore: 5 to 15).
    pub spin_deceleration_rad_s2: f64,
    /// Restitution between balls; 0 to 1. Default 0.94 (Alciatore: 0.92 to 0.98).
    pub ball_restitution: f64,
    /// Friction between balls.
    pub ball_friction: BallFriction,
    /// The rubber.
    pub cushion: Cushion,
    /// Jaw points and facings.
    pub facing: Facing,
    /// Hops and jumps.
    pub flight: Flight,
}

/// Friction between balls as a function of slip speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BallFriction {
    /// The same at every speed; 0 to 1.
    Constant(f64),
    /// a + b exp(−c v): a, b from 0 to 1, c from 0 to 20 s/m. The default, 0.009951 + 0.108 exp(−1.088 v),
    /// is Alciatore's fit (TP A.14, 2007) to data in Marlow 1995, table 10.
    Fit {
        /// What is left at high speed.
        a: f64,
        /// What is added at rest.
        b: f64,
        /// How fast that fades, in s/m.
        c_s_per_m: f64,
    },
}

/// Which cushion model computes a rebound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CushionModel {
    /// Impulse integration after Mathavan, Jackson & Parkin 2010. The default.
    Impulse,
    /// One impulse with Coulomb friction after Han 2005, in closed form.
    SingleImpulse,
    /// Restitution of the normal velocity, friction along the rail.
    Simple,
}

/// Where a ball meets a cushion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoseContact {
    /// At the nose, above the ball's middle: the centre stops R·cos θ from the nose line. The default.
    Nose,
    /// At the ball's full radius, for posing ideal cases.
    Radius,
}

/// The rubber of the rails.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cushion {
    /// The model.
    pub model: CushionModel,
    /// Restitution; 0 to 1. Energetic in the impulse model, kinematic in the others. Default 0.98
    /// (Mathavan et al. 2010).
    pub restitution: f64,
    /// Friction between rubber and ball; 0 to 1. Default 0.14 (Mathavan et al. 2010).
    pub friction: f64,
    /// Height of the nose above the bed, in metres: from the ball's middle to 0.95 of its diameter.
    /// Default 0.03629, 63.5 % of a ball's diameter (WPA: 62.5 to 64.5 %).
    pub height_m: f64,
    /// Where the ball meets it.
    pub contact: NoseContact,
    /// Error allowed in the integration of a rebound, relative to the approach speed; 1e-9 to 1e-3.
    /// Default 1e-6, for paths that are shown; 1e-4 serves odds. What it does to final positions is
    /// measured in docs/performance.md.
    pub tolerance: f64,
}

/// The rubber of jaws and facings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facing {
    /// Restitution of the horizontal normal velocity; 0 to 1. Default 0.7: an assumption.
    pub restitution: f64,
    /// Friction between facing and ball; 0 to 1. Default 0.14, as the cushion's: an assumption.
    pub friction: f64,
}

/// What happens off the cloth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flight {
    /// Restitution of a ball on the bed; 0 to 0.95. Default 0.5 (Alciatore: about 0.5 on slate).
    pub bed_restitution: f64,
    /// Whether the vertical part of friction between balls lifts them. Off by default: the lift is small
    /// and the published throw formulas leave it out. Its effect on spin is always kept.
    pub lift_from_ball_friction: bool,
}

impl Default for Conditions {
    fn default() -> Self {
        Self {
            gravity_mps2: 9.80665,
            sliding_friction: 0.2,
            rolling_friction: 0.01,
            spin_deceleration_rad_s2: 10.0,
            ball_restitution: 0.94,
            ball_friction: BallFriction::default(),
            cushion: Cushion::default(),
            facing: Facing::default(),
            flight: Flight::default(),
        }
    }
}

impl Default for BallFriction {
    fn default() -> Self {
        Self::Fit { a: 0.009_951, b: 0.108, c_s_per_m: 1.088 }
    }
}

impl Default for Cushion {
    fn default() -> Self {
        Self {
            model: CushionModel::Impulse,
            restitution: 0.98,
            friction: 0.14,
            height_m: 0.03629,
            contact: NoseContact::Nose,
            tolerance: 1e-6,
        }
    }
}

impl Default for Facing {
    fn default() -> Self {
        Self { restitution: 0.7, friction: 0.14 }
    }
}

impl Default for Flight {
    fn default() -> Self {
        Self { bed_restitution: 0.5, lift_from_ball_friction: false }
    }
}

impl Conditions {
    /// Checks every field's range.
    ///
    /// # Errors
    /// [`ShotError::OutOfRange`] or [`ShotError::NotFinite`] with the first field that is wrong.
    pub fn check(&self) -> Result<(), ShotError> {
        check("physics.gravity_mps2", self.gravity_mps2, 1.0, 30.0, "m/s²")?;
        check("physics.sliding_friction", self.sliding_friction, 0.01, 1.0, "")?;
        check("physics.rolling_friction", self.rolling_friction, 0.0005, 0.1, "")?;
        check("physics.spin_deceleration_rad_s2", self.spin_deceleration_rad_s2, 0.1, 200.0, "rad/s²")?;
        check("physics.ball_restitution", self.ball_restitution, 0.0, 1.0, "")?;
        match self.ball_friction {
            BallFriction::Constant(friction) => check("physics.ball_friction", friction, 0.0, 1.0, "")?,
            BallFriction::Fit { a, b, c_s_per_m } => {
                check("physics.ball_friction.a", a, 0.0, 1.0, "")?;
                check("physics.ball_friction.b", b, 0.0, 1.0, "")?;
                check("physics.ball_friction.c_s_per_m", c_s_per_m, 0.0, 20.0, "s/m")?;
            }
        }
        check("physics.cushion.restitution", self.cushion.restitution, 0.0, 1.0, "")?;
        check("physics.cushion.friction", self.cushion.friction, 0.0, 1.0, "")?;
        check("physics.cushion.height_m", self.cushion.height_m, 0.01, 0.1, "m")?;
        check("physics.cushion.tolerance", self.cushion.tolerance, 1e-9, 1e-3, "")?;
        check("physics.facing.restitution", self.facing.restitution, 0.0, 1.0, "")?;
        check("physics.facing.friction", self.facing.friction, 0.0, 1.0, "")?;
        check("physics.flight.bed_restitution", self.flight.bed_restitution, 0.0, 0.95, "")
    }
}
