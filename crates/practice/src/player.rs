//! A player's profile: what a player can and will do, and how numbers are shown.
//!
//! How the player's hits scatter is not entered but inferred; [`Profile::player`] puts the two together. A field left out is
//! assumed as `longrail_stroke::player` says, and named by [`Profile::unmeasured`].

use longrail_stats::StatsError;
use longrail_stats::promotion::{Rules, Strictness};
use longrail_stroke::player::Limits;
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Player, Stroke, StrokeError};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::field::{FieldError, line, number};
use crate::measure::{speed, tape};

/// How lengths are shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// Centimetres, metres a second.
    #[default]
    Metric,
    /// Inches, miles an hour.
    Imperial,
}

/// The hand that holds the cue.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hand {
    /// The right one.
    #[default]
    Right,
    /// The left one.
    Left,
}

/// The cue.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct OwnCue {
    /// Effective end mass of the shaft, in grams; 0 to 100. It sets how far side pushes the cue ball off line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub end_mass_g: Option<f64>,
    /// Diameter of the tip, in millimetres; 8 to 15. Kept with the cue; no odds depend on it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tip_mm: Option<f64>,
}

/// How far a player goes, where it is not as usual. Each field as in [`Limits`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Bounds {
    /// Hardest comfortable hit, in m/s of the cue ball; 0.5 to 20.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hardest_mps: Option<f64>,
    /// Most draw: how far below the middle the tip goes, in radii of the ball; 0 to 0.5.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub most_draw: Option<f64>,
    /// Most follow: how far above; 0 to 0.5.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub most_follow: Option<f64>,
    /// Most side, left or right; 0 to 0.5.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub most_side: Option<f64>,
    /// Steepest cue, in degrees; 0 to 85.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub steepest_deg: Option<f64>,
}

impl Bounds {
    fn check(&self, of: &str) -> Result<(), FieldError> {
        let fields = [
            ("hardest_mps", self.hardest_mps, (0.5, 20.0), "m/s"),
            ("most_draw", self.most_draw, (0.0, 0.5), "of the ball's radius"),
            ("most_follow", self.most_follow, (0.0, 0.5), "of the ball's radius"),
            ("most_side", self.most_side, (0.0, 0.5), "of the ball's radius"),
            ("steepest_deg", self.steepest_deg, (0.0, 85.0), "degrees"),
        ];
        for (name, value, range, unit) in fields {
            if let Some(value) = value {
                number(&format!("{of}.{name}"), value, range, unit)?;
            }
        }
        Ok(())
    }

    /// `limits` with each field given in its place.
    fn instead_of(&self, limits: Limits) -> Limits {
        Limits {
            hardest_mps: self.hardest_mps.unwrap_or(limits.hardest_mps),
            most_draw: self.most_draw.unwrap_or(limits.most_draw),
            most_follow: self.most_follow.unwrap_or(limits.most_follow),
            most_side: self.most_side.unwrap_or(limits.most_side),
            steepest_deg: self.steepest_deg.unwrap_or(limits.steepest_deg),
            ..limits
        }
    }

    /// `limits`, no field wider than given here.
    fn within(&self, limits: Limits) -> Limits {
        let less = |today: Option<f64>, usual: f64| today.map_or(usual, |today| today.min(usual));
        Limits {
            hardest_mps: less(self.hardest_mps, limits.hardest_mps),
            most_draw: less(self.most_draw, limits.most_draw),
            most_follow: less(self.most_follow, limits.most_follow),
            most_side: less(self.most_side, limits.most_side),
            steepest_deg: less(self.steepest_deg, limits.steepest_deg),
            ..limits
        }
    }
}

/// Why a profile is refused.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum ProfileError {
    /// A field by itself.
    #[error(transparent)]
    Field(#[from] FieldError),
    /// What the fields make together.
    #[error(transparent)]
    Stroke(#[from] StrokeError),
}

/// A player's profile.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Profile {
    /// Name or pseudonym; 1 to 60 characters.
    pub name: String,
    /// How lengths are shown.
    #[serde(default)]
    pub units: Units,
    /// The hand that holds the cue.
    #[serde(default)]
    pub hand: Hand,
    /// The cue.
    #[serde(default)]
    pub cue: OwnCue,
    /// Distance from the nearest rail at which a ball is comfortably reached, in metres; 0.3 to 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach_m: Option<f64>,
    /// How far the player goes on a usual day.
    #[serde(default)]
    pub usual: Bounds,
    /// Not today: bounds for this day, which only narrow the usual ones.
    #[serde(default)]
    pub today: Bounds,
    /// What the player says of the own game, for where to start before anything was shot.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub start: Option<Reference>,
    /// What a proof asks for.
    #[serde(default)]
    pub proof: Proof,
}

/// What a proof asks for.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Proof {
    /// The chance that is to be exceeded; 0.3 to 0.9. More likely than not, unless the player wants another.
    pub target: f64,
    /// The stricter rule: half as many false promotions, more attempts.
    pub strict: bool,
}

impl Default for Proof {
    fn default() -> Self {
        Self { target: 0.5, strict: false }
    }
}

impl Proof {
    /// The rules.
    ///
    /// # Errors
    /// For a target that no rule has.
    pub fn rules(self) -> Result<Rules, StatsError> {
        Rules::new(self.target, if self.strict { Strictness::Strict } else { Strictness::Usual })
    }
}

impl Profile {
    /// A profile of which only the name is known.
    pub fn new(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            units: Units::default(),
            hand: Hand::default(),
            cue: OwnCue::default(),
            reach_m: None,
            usual: Bounds::default(),
            today: Bounds::default(),
            start: None,
            proof: Proof::default(),
        }
    }

    /// Checks every field.
    ///
    /// # Errors
    /// [`ProfileError`] with the first field that is wrong, its value and its range.
    pub fn check(&self) -> Result<(), ProfileError> {
        line("name", &self.name, (1, 60))?;
        if let Some(grams) = self.cue.end_mass_g {
            number("cue.end_mass_g", grams, (0.0, 100.0), "g")?;
        }
        if let Some(tip) = self.cue.tip_mm {
            number("cue.tip_mm", tip, (8.0, 15.0), "mm")?;
        }
        if let Some(reach) = self.reach_m {
            number("reach_m", reach, (0.3, 2.0), "m")?;
        }
        number("proof.target", self.proof.target, (0.3, 0.9), "of attempts made")?;
        self.usual.check("usual")?;
        Ok(self.today.check("today")?)
    }

    /// The player with this stroke, within today's bounds.
    ///
    /// # Errors
    /// [`ProfileError`] with the first field that is wrong.
    pub fn player(&self, stroke: Stroke) -> Result<Player, ProfileError> {
        self.check()?;
        let usual = Player::with(stroke);
        let player = Player {
            limits: self.today.within(self.usual.instead_of(usual.limits)),
            reach_m: self.reach_m.unwrap_or(usual.reach_m),
            end_mass_kg: self.cue.end_mass_g.map_or(usual.end_mass_kg, |grams| 1e-3 * grams),
            ..usual
        };
        player.check()?;
        Ok(player)
    }

    /// Whether lengths are in inches and speeds in miles an hour.
    pub fn imperial(&self) -> bool {
        self.units == Units::Imperial
    }

    /// What odds rest on without the player having said it, each with what is assumed, in the player's own units.
    pub fn unmeasured(&self) -> Vec<String> {
        let imperial = self.imperial();
        let (usual, limits) = (Player::default(), Limits::default());
        let mut list = Vec::new();
        let mut assumed = |known: bool, words: String| {
            if !known {
                list.push(words);
            }
        };
        assumed(
            self.cue.end_mass_g.is_some(),
            format!("end mass of the cue (taken as {:.0} g)", 1e3 * usual.end_mass_kg),
        );
        assumed(self.reach_m.is_some(), format!("reach (taken as {})", tape(usual.reach_m, imperial)));
        assumed(
            self.usual.hardest_mps.is_some(),
            format!("strongest comfortable hit (taken as {})", speed(limits.hardest_mps, imperial)),
        );
        assumed(
            self.usual.most_draw.is_some(),
            format!("most draw (taken as {} of the ball's radius)", limits.most_draw),
        );
        list
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_enough_and_the_rest_is_said_to_be_assumed() {
        let profile = Profile::new("Ann");
        assert_eq!(profile.player(Stroke::default()).unwrap(), Player::default());
        assert_eq!(profile.unmeasured().len(), 4);
        assert_eq!(serde_json::from_str::<Profile>(r#"{"name": "Ann"}"#).unwrap(), profile);
    }

    #[test]
    fn what_the_player_says_takes_the_place_of_assumptions() {
        let mut profile = Profile::new("Ann");
        profile.cue.end_mass_g = Some(8.0);
        profile.reach_m = Some(0.7);
        profile.usual = Bounds { hardest_mps: Some(9.0), most_draw: Some(0.25), ..Bounds::default() };
        let player = profile.player(Stroke::default()).unwrap();
        assert_eq!((player.end_mass_kg, player.reach_m), (0.008, 0.7));
        assert_eq!((player.limits.hardest_mps, player.limits.most_draw), (9.0, 0.25));
        assert!(profile.unmeasured().is_empty());
        let text = serde_json::to_string(&profile).unwrap();
        assert_eq!(serde_json::from_str::<Profile>(&text).unwrap(), profile);
    }

    #[test]
    fn today_only_narrows() {
        let mut profile = Profile::new("Ann");
        profile.usual.hardest_mps = Some(4.0);
        profile.today = Bounds { hardest_mps: Some(8.0), most_draw: Some(0.0), ..Bounds::default() };
        let limits = profile.player(Stroke::default()).unwrap().limits;
        assert_eq!((limits.hardest_mps, limits.most_draw), (4.0, 0.0));
    }

    #[test]
    fn what_cannot_be_is_refused_with_field_value_and_range() {
        let mut profile = Profile::new("Ann");
        profile.today.most_draw = Some(0.9);
        let said = profile.check().unwrap_err().to_string();
        assert_eq!(said, "today.most_draw is 0.9; it must be 0 to 0.5 of the ball's radius");
        profile = Profile::new("");
        assert!(profile.check().is_err());
        profile = Profile { reach_m: Some(f64::INFINITY), ..Profile::new("Ann") };
        assert!(profile.player(Stroke::default()).is_err());
        profile = Profile::new("Ann");
        profile.cue.tip_mm = Some(30.0);
        assert_eq!(profile.check().unwrap_err().to_string(), "cue.tip_mm is 30; it must be 8 to 15 mm");
    }
}
