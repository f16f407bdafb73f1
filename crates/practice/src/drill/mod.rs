//! A drill: a layout with a goal, and one axis along which it gets harder.
//!
//! Drills are files in TOML, one drill a file (`docs/drills.md`); those in `drills/` come with the program, and a player's own
//! have the same form. Reading a file is a function of its text, behind the feature `drill-files`.

mod error;
mod number;
mod place;
#[cfg(feature = "drill-files")]
mod read;
mod rungs;
mod setup;
#[cfg(feature = "drill-files")]
mod shipped;

#[cfg(feature = "drill-files")]
pub use error::FileError;
pub use error::RungError;
pub use number::{NoRung, RungNumber};
pub use place::{Place, Step};
pub use rungs::Rung;
pub use setup::Setup;
#[cfg(feature = "drill-files")]
pub use shipped::SHIPPED;

use std::collections::BTreeMap;

use longrail_stroke::Goal;
use serde::{Deserialize, Serialize};

/// What a drill trains. Odds of one family say more about each other than about another family.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// Straight in, the cue ball stops.
    StraightStop,
    /// Straight in, the cue ball comes back.
    StraightDraw,
    /// Straight in, the cue ball goes on.
    StraightFollow,
    /// A cut that gets thinner.
    CutByAngle,
    /// A cut from farther away.
    CutByDistance,
    /// An object ball on a rail.
    AlongTheRail,
    /// Far between the balls, or far to the pocket.
    LongPot,
    /// An object ball on the foot spot.
    SpotShot,
    /// Into a side pocket.
    SidePocket,
    /// Speed alone.
    Lag,
    /// A pot, and the cue ball into a zone by one rail.
    PositionOneRail,
    /// The object ball by a rail to the pocket.
    Bank,
    /// The other player is left without a straight shot.
    Safety,
}

impl Family {
    /// Its name in drill files.
    pub fn name(self) -> String {
        // One name, in one place: that of the files.
        serde_json::to_value(self).ok().and_then(|name| name.as_str().map(str::to_owned)).unwrap_or_default()
    }
}

/// Seconds of a shot itself: address, stroke, and the balls coming to rest. An assumption; the record of a player's own sets
/// tells better.
pub const SHOT_SECONDS: u32 = 15;

/// A drill.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drill {
    /// Name of its file without the ending; small letters, digits and hyphens.
    pub id: String,
    /// Version of the drill itself: raised when layout or goal change, so that old records stay with the old one. 1 to 1000.
    pub version: u32,
    /// What it trains.
    pub family: Family,
    /// Title, in a few words.
    pub title: String,
    /// What it is for, in one line.
    pub why: String,
    /// How it gets harder, in one line.
    pub harder: String,
    /// Where the balls lie on the first rung, by name.
    pub balls: BTreeMap<String, Place>,
    /// What counts as made.
    pub goal: Goal,
    /// Number of rungs; 2 to 60.
    pub rungs: u32,
    /// What moves from rung to rung, by name.
    pub moves: BTreeMap<String, Step>,
    /// Seconds to set the layout up again; 1 to 600.
    pub seconds_to_reset: u32,
    /// What to mind, each in one line.
    pub cautions: Vec<String>,
    /// Table sizes for which it is meant.
    pub sizes: Vec<String>,
}

impl Drill {
    /// Balls needed, the cue ball included.
    pub fn balls_needed(&self) -> usize {
        self.balls.len()
    }

    /// Attempts an hour, if a shot takes [`SHOT_SECONDS`].
    pub fn attempts_an_hour(&self) -> u32 {
        3600 / (self.seconds_to_reset + SHOT_SECONDS)
    }

    /// Length of the longest step from rung to rung, in diamonds.
    pub fn step_diamonds(&self) -> f64 {
        let length = |step: &Step| (step.along * step.along + step.across * step.across).sqrt();
        self.moves.values().map(length).fold(0.0, f64::max)
    }
}
