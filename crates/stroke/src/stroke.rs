//! A stroke: how a player's hits scatter.
//!
//! An attempt draws direction, speed and the two coordinates of the tip independently from normal distributions about
//! what was intended; with the chance [`Stroke::lapse`] it fails for reasons outside the model. No published values of
//! these spreads by level of play were found, so reference strokes are assumptions, and say so.

use serde::{Deserialize, Serialize};

use crate::error::{StrokeError, check};

/// Speed at which the spread of aim is the stated one, in m/s, where it grows with speed.
pub const USUAL_MPS: f64 = 2.0;

/// How a player's hits scatter about what was intended.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Stroke {
    /// Standard deviation of the direction, in degrees; 0 to 10.
    pub aim_sd_deg: f64,
    /// Mean error of the direction, in degrees, positive to the left; −5 to 5.
    pub aim_bias_deg: f64,
    /// Standard deviation of the speed, as a share of the speed; 0 to 0.5.
    pub speed_sd: f64,
    /// Standard deviation of the tip's place to the right, in radii of the ball; 0 to 0.3.
    pub tip_right_sd: f64,
    /// The same upwards.
    pub tip_up_sd: f64,
    /// Chance that an attempt fails for reasons outside the model; 0 to 0.5.
    pub lapse: f64,
    /// Growth of the spread of aim for each m/s above [`USUAL_MPS`], as a share of it; 0 to 1. Default 0: whether it
    /// grows is not known.
    pub aim_growth_per_mps: f64,
}

impl Default for Stroke {
    /// [`Reference::Regular`].
    fn default() -> Self {
        Reference::Regular.stroke()
    }
}

impl Stroke {
    /// A stroke that scatters in direction alone.
    pub fn aim_only(aim_sd_deg: f64) -> Self {
        Self {
            aim_sd_deg,
            aim_bias_deg: 0.0,
            speed_sd: 0.0,
            tip_right_sd: 0.0,
            tip_up_sd: 0.0,
            lapse: 0.0,
            aim_growth_per_mps: 0.0,
        }
    }

    /// Checks every field's range.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] with the first field that is wrong.
    pub fn check(&self) -> Result<(), StrokeError> {
        check("stroke.aim_sd_deg", self.aim_sd_deg, (0.0, 10.0), "degrees")?;
        check("stroke.aim_bias_deg", self.aim_bias_deg, (-5.0, 5.0), "degrees")?;
        check("stroke.speed_sd", self.speed_sd, (0.0, 0.5), "of the speed")?;
        check("stroke.tip_right_sd", self.tip_right_sd, (0.0, 0.3), "of the ball's radius")?;
        check("stroke.tip_up_sd", self.tip_up_sd, (0.0, 0.3), "of the ball's radius")?;
        check("stroke.lapse", self.lapse, (0.0, 0.5), "of the attempts")?;
        check("stroke.aim_growth_per_mps", self.aim_growth_per_mps, (0.0, 1.0), "for each m/s")
    }

    /// The stroke with the spread of aim that a hit of `speed_mps` has, and all spreads `times` as large (a hampered
    /// hit).
    #[must_use]
    pub fn at(&self, speed_mps: f64, times: f64) -> Self {
        let growth = 1.0 + self.aim_growth_per_mps * (speed_mps - USUAL_MPS).max(0.0);
        Self {
            aim_sd_deg: self.aim_sd_deg * growth * times,
            speed_sd: self.speed_sd * times,
            tip_right_sd: self.tip_right_sd * times,
            tip_up_sd: self.tip_up_sd * times,
            ..*self
        }
    }
}

/// Strokes for describing a player of whom nothing is known yet. **Assumptions**, defined by their numbers: no published
/// values were found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Reference {
    /// Aim 1.5°, speed 20 %, tip 4.5 mm, lapse 5 %.
    Learning,
    /// Aim 0.7°, speed 12 %, tip 3 mm, lapse 3 %.
    Regular,
    /// Aim 0.35°, speed 8 %, tip 2 mm, lapse 2 %.
    Solid,
    /// Aim 0.15°, speed 4 %, tip 1 mm, lapse 1 %.
    Fine,
}

impl Reference {
    /// All four, from wide to narrow.
    pub const ALL: [Self; 4] = [Self::Learning, Self::Regular, Self::Solid, Self::Fine];

    /// Its name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Learning => "learning",
            Self::Regular => "regular",
            Self::Solid => "solid",
            Self::Fine => "fine",
        }
    }

    /// The stroke that it stands for.
    pub fn stroke(self) -> Stroke {
        let (aim_sd_deg, speed_sd, tip_mm, lapse) = match self {
            Self::Learning => (1.5, 0.20, 4.5, 0.05),
            Self::Regular => (0.7, 0.12, 3.0, 0.03),
            Self::Solid => (0.35, 0.08, 2.0, 0.02),
            Self::Fine => (0.15, 0.04, 1.0, 0.01),
        };
        let tip = tip_mm * 1e-3 / longrail_physics::ball::RADIUS_M;
        Stroke {
            aim_sd_deg,
            aim_bias_deg: 0.0,
            speed_sd,
            tip_right_sd: tip,
            tip_up_sd: tip,
            lapse,
            aim_growth_per_mps: 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reference_strokes_are_legal_and_ordered() {
        let strokes = Reference::ALL.map(Reference::stroke);
        assert!(strokes.iter().all(|stroke| stroke.check().is_ok()));
        assert!(strokes.windows(2).all(|pair| pair[0].aim_sd_deg > pair[1].aim_sd_deg));
    }

    #[test]
    fn what_is_not_a_number_is_refused_by_name() {
        let stroke = Stroke { speed_sd: f64::NAN, ..Stroke::default() };
        let message = stroke.check().map_err(|error| error.to_string());
        assert!(message.is_err_and(|text| text.starts_with("stroke.speed_sd is NaN; it must be 0 to 0.5")));
    }
}
