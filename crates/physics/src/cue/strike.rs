//! The hit: from stroke to velocity and spin of the cue ball.
//!
//! Sources: Coriolis 1835; D. Alciatore, TP A.19 (elevated cue) and his cue-impact papers; re-derived. The
//! impulse runs along the cue (turned by the squirt where that is switched on) through the contact point r,
//! so ω = (5/2) r × v/R² with v the velocity that the impulse gives. The part of the impulse that points
//! into the bed is answered by the bed. Friction of the cloth during the hit is left out: by Coriolis'
//! theorem it does not change the direction in which the ball finally rolls.

use longrail_math::{Vec2, Vec3, fx};

use super::{Cue, squirt};
use crate::error::{ShotError, check};

/// Offset of the tip from the ball's middle, in radii, beyond which it slides off (Alciatore: 0.5).
pub const MISCUE_LIMIT: f64 = 0.5;

/// A hit on the cue ball.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Speed that the hit gives the cue ball along the cue's line, in m/s; above 0, to 20. With a level cue
    /// this is the cue ball's speed just after the hit; with a raised one its horizontal part is the cosine
    /// of the elevation times this, and the bed takes the rest.
    pub speed_mps: f64,
    /// Direction of the cue, in degrees counter-clockwise from +x (from head to foot).
    pub direction_deg: f64,
    /// Contact point right of the middle, in radii; right side turns the ball counter-clockwise from above.
    pub tip_right: f64,
    /// Contact point above the middle, in radii, square to the cue; follow if positive, draw if negative.
    pub tip_up: f64,
    /// Angle of the cue above level, in degrees; 0 to 89.
    pub elevation_deg: f64,
}

impl Stroke {
    /// A level stroke through the middle of the ball.
    pub fn plain(speed_mps: f64, direction_deg: f64) -> Self {
        Self { speed_mps, direction_deg, tip_right: 0.0, tip_up: 0.0, elevation_deg: 0.0 }
    }

    /// Distance of the contact point from the middle, in radii.
    pub fn tip_offset(&self) -> f64 {
        (self.tip_right * self.tip_right + self.tip_up * self.tip_up).sqrt()
    }

    /// Checks every field's range. A miscue is an outcome, not an error of the input, and passes.
    ///
    /// # Errors
    /// [`ShotError::OutOfRange`] or [`ShotError::NotFinite`] with the first field that is wrong.
    pub fn check(&self) -> Result<(), ShotError> {
        check("stroke.speed_mps", self.speed_mps, 1e-3, 20.0, "m/s")?;
        check("stroke.direction_deg", self.direction_deg, -36_000.0, 36_000.0, "deg")?;
        check("stroke.tip_right", self.tip_right, -1.0, 1.0, "of the radius")?;
        check("stroke.tip_up", self.tip_up, -1.0, 1.0, "of the radius")?;
        check("stroke.elevation_deg", self.elevation_deg, 0.0, 89.0, "deg")
    }
}

/// What the hit gives the cue ball.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Launch {
    /// Velocity over the bed, in m/s.
    pub velocity: Vec2,
    /// Speed with which the ball is driven into the bed, in m/s; zero for a level cue.
    pub into_bed_mps: f64,
    /// Surface speed R ω, in m/s.
    pub surface: Vec3,
}

/// The launch of a cue ball of mass `ball_mass_kg`, or `None` for a miscue.
pub fn strike(stroke: &Stroke, cue: &Cue, ball_mass_kg: f64) -> Option<Launch> {
    let offset_squared = stroke.tip_right * stroke.tip_right + stroke.tip_up * stroke.tip_up;
    if offset_squared > MISCUE_LIMIT * MISCUE_LIMIT {
        return None;
    }
    let (sin_e, cos_e) =
        if stroke.elevation_deg == 0.0 { (0.0, 1.0) } else { fx::sin_cos(stroke.elevation_deg.to_radians()) };
    let aim = Vec2::from_angle(stroke.direction_deg.to_radians());
    // The cue's own frame: along it, to its right (level), and up square to both.
    let along = (aim * cos_e).with_z(-sin_e);
    let right = Vec3::new(aim.y, -aim.x, 0.0);
    let up = (aim * sin_e).with_z(cos_e);
    let depth = (1.0 - offset_squared).sqrt();
    let contact = right * stroke.tip_right + up * stroke.tip_up - along * depth;
    let line = if cue.squirt && stroke.tip_right != 0.0 {
        let (sin_s, cos_s) =
            fx::sin_cos(squirt(stroke.tip_right, stroke.tip_up, ball_mass_kg, cue.end_mass_kg));
        along * cos_s - right * sin_s
    } else {
        along
    };
    let velocity = line * stroke.speed_mps;
    Some(Launch {
        velocity: velocity.xy(),
        into_bed_mps: -velocity.z,
        surface: contact.cross(velocity) * 2.5,
    })
}

/// Speed of the cue ball for a given speed of the cue, both in m/s.
///
/// v = V (1 + eₜ) ÷ (1 + m/M + (5/2) β²) with M the cue's mass, eₜ the tip's restitution and β the offset in
/// radii; the cue is a free rigid body along its axis and the tip does not slip (re-derived; Alciatore gives
/// eₜ = 0.71 to 0.75 for leather).
///
/// ```
/// use longrail_physics::cue::cue_ball_speed;
/// // A 19 oz cue on a 6 oz ball, leather tip, through the middle: 1.31 times the cue's speed.
/// assert!((cue_ball_speed(1.0, 19.0, 6.0, 0.73, 0.0) - 1.3148).abs() < 0.0013);
/// ```
pub fn cue_ball_speed(
    cue_speed_mps: f64,
    cue_mass: f64,
    ball_mass: f64,
    tip_restitution: f64,
    tip_offset: f64,
) -> f64 {
    cue_speed_mps * (1.0 + tip_restitution) / (1.0 + ball_mass / cue_mass + 2.5 * tip_offset * tip_offset)
}
