//! The first screens: who is here, and what to do.

use serde::{Deserialize, Serialize};

/// What a visit is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Purpose {
    /// Work on a drill.
    #[default]
    DrillWork,
    /// Something new.
    NewSkill,
    /// Finding out where one stands.
    Test,
    /// Games.
    MatchPlay,
}

/// A player or a table to choose.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Start {
    /// What the record calls it.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Something beside it: a table's size and place.
    pub more: String,
    /// Whether a set is open, of a player.
    pub scoring: bool,
}

/// What is open.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Open {
    /// What the visit is for.
    pub purpose: Purpose,
    /// When it began, milliseconds since 1970.
    pub began_ms: f64,
    /// Minutes at hand.
    pub minutes: u32,
    /// Whether it was left long ago; then it ends when the next begins, and nothing is scored in it.
    pub left: bool,
    /// The open set in a line: "Diagonal stop, rung 3: 24 of 37"; empty if none is open.
    pub set: String,
}

/// Who is here, and what is open.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Home {
    /// The player in use; nothing on the first visit.
    pub player: Option<Start>,
    /// All players.
    pub players: Vec<Start>,
    /// The table in use.
    pub table: Option<Start>,
    /// All tables of the player.
    pub tables: Vec<Start>,
    /// The open visit.
    pub open: Option<Open>,
    /// What a newcomer may say of the own game, easiest first.
    pub sentences: Vec<String>,
    /// Sizes that a table may have: name, and what it is.
    pub sizes: Vec<(String, String)>,
    /// Events that are nowhere but here.
    pub not_backed_up: u64,
    /// Something was noted later than this device's clock says it is.
    pub clock_behind: bool,
    /// Drills in use of all there are.
    pub drills: (u32, u32),
    /// Lengths in inches.
    pub imperial: bool,
    /// The cue is in the left hand.
    pub left_handed: bool,
}

/// A part of a visit that is proposed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// How long.
    pub minutes: u32,
    /// What for; none while resting.
    pub purpose: Option<Purpose>,
    /// What: "Diagonal stop, rung 3"; empty for games and rest.
    pub what: String,
    /// Why.
    pub why: String,
    /// Chance there, with its 80 % range.
    pub odds: Option<(f64, f64, f64)>,
    /// What begins it.
    pub begin: Option<super::Begin>,
}

/// A drill to choose.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Drill {
    /// Its id.
    pub id: String,
    /// Its title.
    pub title: String,
    /// What it trains, in a word or two.
    pub family: String,
    /// What it is good for.
    pub why: String,
    /// What it takes: "2 balls, about 90 attempts an hour".
    pub takes: String,
}

/// What to do in a visit.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Today {
    /// The blocks, in order.
    pub blocks: Vec<Block>,
    /// Everything else there is to do, each with its reason.
    pub others: Vec<Block>,
    /// Drills to begin, those that most begin with first.
    pub drills: Vec<Drill>,
    /// What is still being computed for this; empty if all is there.
    pub computing: String,
}
