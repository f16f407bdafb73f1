//! A player: the stroke, the cue, and what the player can and will do.

use longrail_physics::cue::{Clearance, Cue};
use serde::{Deserialize, Serialize};

use crate::Hit;
use crate::error::{StrokeError, check};
use crate::stroke::Stroke;

/// Bounds within which a hit is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Limits {
    /// Softest hit, in m/s; 0.1 to 20. Default 0.4.
    pub softest_mps: f64,
    /// Hardest comfortable hit, in m/s; 0.1 to 20. Default 6, an assumption.
    pub hardest_mps: f64,
    /// Most draw: how far below the middle the tip goes, in radii; 0 to 0.5. Default 0.4.
    pub most_draw: f64,
    /// Most follow: how far above, in radii; 0 to 0.5. Default 0.4.
    pub most_follow: f64,
    /// Most side, left or right, in radii; 0 to 0.5. Default 0: no side, which few drills need.
    pub most_side: f64,
    /// Steepest cue, in degrees; 0 to 85. Default 30.
    pub steepest_deg: f64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            softest_mps: 0.4,
            hardest_mps: 6.0,
            most_draw: 0.4,
            most_follow: 0.4,
            most_side: 0.0,
            steepest_deg: 30.0,
        }
    }
}

impl Limits {
    /// Whether `hit` lies within them.
    pub fn allow(&self, hit: &Hit) -> bool {
        (self.softest_mps..=self.hardest_mps).contains(&hit.speed_mps)
            && (-self.most_draw..=self.most_follow).contains(&hit.tip_up)
            && hit.tip_right.abs() <= self.most_side
            && hit.elevation_deg <= self.steepest_deg
    }
}

/// How much wider a stroke scatters when the player cannot stand or bridge as usual. All **assumptions**: no published
/// values were found.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Hampered {
    /// Times all spreads with the cue ball frozen to a rail behind it; 1 to 5. Default 1.5.
    pub frozen: f64,
    /// Times all spreads for each 10° that the cue is raised beyond the usual 5°; 1 to 3. Default 1.2.
    pub per_ten_degrees: f64,
    /// Times all spreads beyond the player's reach; 1 to 5. Default 1.3.
    pub stretched: f64,
}

impl Default for Hampered {
    fn default() -> Self {
        Self { frozen: 1.5, per_ten_degrees: 1.2, stretched: 1.3 }
    }
}

/// A player.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Player {
    /// How the hits scatter.
    pub stroke: Stroke,
    /// What the player can and will do today.
    pub limits: Limits,
    /// How much wider the hits scatter in awkward places.
    pub hampered: Hampered,
    /// Distance from the nearest rail at which the cue ball is comfortably reached, in metres; 0.3 to 2. Default 0.9, an
    /// assumption.
    pub reach_m: f64,
    /// Whether side pushes the cue ball off line. Default true.
    pub squirt: bool,
    /// Effective end mass of the shaft, in kilograms; 0 to 0.1. Default 0.006 (Alciatore, TP A.31).
    pub end_mass_kg: f64,
}

impl Default for Player {
    fn default() -> Self {
        Self {
            stroke: Stroke::default(),
            limits: Limits::default(),
            hampered: Hampered::default(),
            reach_m: 0.9,
            squirt: true,
            end_mass_kg: 0.006,
        }
    }
}

impl Player {
    /// A player with this stroke and nothing else unusual.
    pub fn with(stroke: Stroke) -> Self {
        Self { stroke, ..Self::default() }
    }

    /// Checks every field's range.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] with the first field that is wrong.
    pub fn check(&self) -> Result<(), StrokeError> {
        self.stroke.check()?;
        let Limits { softest_mps, hardest_mps, most_draw, most_follow, most_side, steepest_deg } =
            self.limits;
        check("limits.softest_mps", softest_mps, (0.1, 20.0), "m/s")?;
        check("limits.hardest_mps", hardest_mps, (softest_mps, 20.0), "m/s")?;
        check("limits.most_draw", most_draw, (0.0, 0.5), "of the ball's radius")?;
        check("limits.most_follow", most_follow, (0.0, 0.5), "of the ball's radius")?;
        check("limits.most_side", most_side, (0.0, 0.5), "of the ball's radius")?;
        check("limits.steepest_deg", steepest_deg, (0.0, 85.0), "degrees")?;
        check("hampered.frozen", self.hampered.frozen, (1.0, 5.0), "times")?;
        check("hampered.per_ten_degrees", self.hampered.per_ten_degrees, (1.0, 3.0), "times")?;
        check("hampered.stretched", self.hampered.stretched, (1.0, 5.0), "times")?;
        check("reach_m", self.reach_m, (0.3, 2.0), "m")?;
        check("end_mass_kg", self.end_mass_kg, (0.0, 0.1), "kg")
    }

    /// The same player without bias of aim: so hits are sought, which are what to intend, and not what makes up for a fault.
    pub(crate) fn unbiased(&self) -> Self {
        Self { stroke: Stroke { aim_bias_deg: 0.0, ..self.stroke }, ..*self }
    }

    /// The player's cue. Rails and balls behind the cue ball raise it.
    pub fn cue(&self) -> Cue {
        Cue {
            squirt: self.squirt,
            end_mass_kg: self.end_mass_kg,
            clearance: Clearance::Raise,
            ..Cue::default()
        }
    }
}
