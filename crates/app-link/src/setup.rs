//! Players, tables and data.

use serde::{Deserialize, Serialize};

/// What lengths and speeds are typed in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum TypedIn {
    /// Metres, and metres a second.
    #[default]
    Metric,
    /// Inches, and miles an hour.
    Imperial,
}

/// What is known of a player. Numbers are texts as they were typed; empty for what is not known.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Player {
    /// Who; changes of somebody else are refused.
    pub id: String,
    /// The name.
    pub name: String,
    /// What the player says of the own game: a number into [`super::Home::sentences`].
    pub start: Option<u32>,
    /// Lengths in inches, speeds in miles an hour.
    pub imperial: bool,
    /// What the texts below are in, which another choice of units does not change.
    pub typed_in: TypedIn,
    /// The cue is in the left hand.
    pub left_handed: bool,
    /// End mass of the shaft, grams.
    pub end_mass_g: String,
    /// Reach, metres or inches.
    pub reach: String,
    /// Strongest comfortable hit, m/s or mph.
    pub hardest: String,
    /// Most draw, in radii of the ball.
    pub most_draw: String,
    /// The chance that a proof asks for, per cent.
    pub target: String,
    /// The stricter rule.
    pub strict: bool,
}

/// A length or number as it was measured; empty for what is not known.
pub type Measured = String;

/// A table card. Lengths are in metres and millimetres, or all in inches.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Table {
    /// What the record calls it; empty for a new one.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Where it stands.
    pub place: String,
    /// Lengths are in inches.
    pub imperial: bool,
    /// Its size by name; empty for one that was measured.
    pub size: String,
    /// Nose to nose along and across the table, of one that was measured: m or in.
    pub surface: [Measured; 2],
    /// Mouth of all corners, where they are alike: mm or in, or balls and the room beside them.
    pub corners: Measured,
    /// Mouth of both sides.
    pub sides: Measured,
    /// Mouth of each pocket, in the order of `PocketId::ALL`.
    pub pockets: [Measured; 6],
    /// A ball's way until it stops, m or in, and the seconds it takes.
    pub cloth: [Measured; 2],
    /// A rebound: from the mark to the nose, m or in; the seconds to there; how far back.
    pub rails: [Measured; 3],
    /// An odd cue ball: diameter in mm or in, weight in g.
    pub cue_ball: [Measured; 2],
    /// Whether it keeps potted balls; none if that is not known.
    pub keeps: Option<bool>,
    /// Where balls roll off, in words.
    pub roll_off: String,
    /// What is assumed of it, in words.
    pub assumed: Vec<String>,
}

/// How safe the data are.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Kept {
    /// Events on this device.
    pub events: u64,
    /// Events that are nowhere but here.
    pub not_backed_up: u64,
    /// Date of the last export; empty if there was none.
    pub backed_up: String,
}

/// Players, tables and data.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Setup {
    /// The player in use.
    pub player: Player,
    /// The tables.
    pub tables: Vec<Table>,
    /// The table in use.
    pub table: String,
    /// How safe the data are.
    pub kept: Kept,
    /// What is assumed of the player, in words.
    pub assumed: Vec<String>,
    /// What came of a change; empty if nothing was changed.
    pub notice: String,
}
