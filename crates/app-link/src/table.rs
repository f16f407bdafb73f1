//! The screen at the table.

use serde::{Deserialize, Serialize};

/// On which side of the pocket's centre the object ball passed, seen from the ball.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Side {
    /// On the left.
    Left,
    /// On the right.
    Right,
    /// Not seen.
    NotSeen,
}

/// Where the cue ball ended, against where it should have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum CueEnd {
    /// Short of its place.
    Short,
    /// Beyond it.
    Long,
    /// Beside it.
    Off,
}

/// What is pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Press {
    /// Made.
    Made,
    /// Missed on a side.
    Missed(Side),
    /// Where the cue ball of the last miss ended.
    CueEnd(CueEnd),
    /// Take back the last entry.
    Undo,
    /// So many of so many.
    Batch {
        /// Made.
        made: u32,
        /// Tried.
        tried: u32,
    },
}

/// An entry of the set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Mark {
    /// Made.
    Made,
    /// Missed; on which side, if that was said.
    Missed(Option<Side>),
    /// A count.
    Batch(u32, u32),
}

/// The way from a rail to a ball's centre.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Way {
    /// Which rail.
    pub rail: String,
    /// In diamonds, as text; empty if frozen.
    pub diamonds: String,
    /// As a tape measures it, in the player's units; empty if frozen.
    pub tape: String,
    /// In widths of the ball, as text; empty if frozen.
    pub balls: String,
}

/// Where a ball lies.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Ball {
    /// `cue`, a number, or another name.
    pub id: String,
    /// From the head or foot rail.
    pub short: Way,
    /// From the left or right rail.
    pub long: Way,
}

/// The bounds of a proof's lane, as makes less misses after 1, 2, … 100 attempts.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Bounds {
    /// To pass.
    pub pass: Vec<f64>,
    /// To step back; empty if the rule has none.
    pub back: Vec<f64>,
}

/// The evidence of a proof as a lane between two bounds.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Lane {
    /// Makes less misses after each attempt, from the first of the sheet; counts have all their attempts in a straight line.
    pub walk: Vec<f64>,
    /// Attempts at which an earlier visit ended.
    pub visits: Vec<u32>,
    /// In one sentence: the nearest way to pass.
    pub says: String,
    /// What passes at the count as it is: "26 of 37"; empty where no count passes yet, or it has passed.
    pub at_now: String,
    /// What stays the same for all counts: "34 of 50".
    pub at_fifty: String,
}

/// When things began, in milliseconds since 1970.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Clock {
    /// The open block.
    pub block_ms: f64,
    /// The visit.
    pub visit_ms: f64,
    /// Minutes that are meant for the block; 0 for no plan.
    pub block_minutes: u32,
    /// Minutes that were at hand for the visit.
    pub minutes: u32,
}

/// What does not change while the set is open.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fixed {
    /// The set.
    pub set: String,
    /// Who shoots.
    pub player: String,
    /// That player's id.
    pub player_id: String,
    /// The drill's title.
    pub title: String,
    /// The rung.
    pub rung: String,
    /// Rungs of the ladder.
    pub rungs: u32,
    /// For a proof.
    pub proof: bool,
    /// The goal in a line.
    pub goal: String,
    /// The table.
    pub table: String,
    /// The layout as a picture; empty where the drill is not at hand.
    pub picture: String,
    /// Where the balls lie.
    pub balls: Vec<Ball>,
    /// What to intend; empty if not known yet.
    pub hit: String,
    /// Chance there, with its 80 % range.
    pub odds: Option<(f64, f64, f64)>,
    /// Where several in a row are wanted: how many, and the chance of all of them. The odds are of each.
    pub in_a_row: Option<(u32, f64)>,
    /// Whether the goal says where the cue ball goes.
    pub places_cue: bool,
    /// The bounds of its lane, of a proof.
    pub bounds: Option<Bounds>,
    /// What the odds rest on, a sentence.
    pub rests_on: String,
    /// What makes it harder, in words; empty for nothing.
    pub constraints: String,
    /// The chance without that.
    pub plain: Option<f64>,
    /// Least and greatest chance by what rails may be that nobody has measured; none if the shot needs no rail, or they are
    /// measured.
    pub rails: Option<(f64, f64)>,
    /// Before the first attempt of a sheet: what it is likely to bring.
    pub outlook: String,
    /// What to mind.
    pub cautions: Vec<String>,
    /// What is assumed of the table.
    pub assumed: Vec<String>,
    /// When block and visit began.
    pub clock: Option<Clock>,
    /// Constraints that may be put on: text, and words.
    pub harder: Vec<(String, String)>,
    /// Those that are on, in words, each with the text of all the others.
    pub on: Vec<(String, String)>,
    /// Bounds of speed that may be typed, as they are proposed; none where the hit is not known, or bounds are on.
    pub bounded: Option<[String; 2]>,
    /// Speeds are typed in miles an hour.
    pub imperial: bool,
    /// What is still being computed; empty if all is there.
    pub computing: String,
    /// What begins the same set again.
    pub begin: super::Begin,
}

/// What changes with each press.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Score {
    /// Made in this set.
    pub made: u32,
    /// Tried in this set.
    pub tried: u32,
    /// Made and tried on the sheet, of a proof.
    pub sheet: Option<(u32, u32)>,
    /// Attempts of the warm-up still to come.
    pub warm_up: u32,
    /// The last entries, oldest first.
    pub marks: Vec<Mark>,
    /// How the evidence stands.
    pub stands: String,
    /// What a pass takes.
    pub next: String,
    /// Whether the sheet has passed.
    pub passed: bool,
    /// The evidence of a proof.
    pub lane: Option<Lane>,
    /// What the last press did, where that is not seen at once.
    pub notice: String,
    /// A caution, such as a break that is due.
    pub caution: String,
}

/// The open set of one player.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Seat {
    /// What stays.
    pub fixed: Fixed,
    /// What changes.
    pub score: Score,
    /// Players with an open set, this one among them: id and name.
    pub others: Vec<(String, String)>,
}

/// What a constraint costs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Price {
    /// The constraint, as text.
    pub constraint: String,
    /// In words.
    pub words: String,
    /// The chance without it.
    pub before: f64,
    /// The chance with it, and its 80 % range.
    pub after: (f64, f64, f64),
}

/// A constraint that somebody asks for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Harder {
    /// One that was proposed: its text.
    Proposed(String),
    /// Bounds of speed, as typed: m/s, or miles an hour.
    Speed([String; 2]),
    /// A ball in the way, as typed: diamonds from the head rail, and from the right one, at the corner where the set is shot.
    Blocker([String; 2]),
}

/// A set that has ended: three lines.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ended {
    /// The set.
    pub set: String,
    /// What you did.
    pub did: String,
    /// What it settled.
    pub settled: String,
    /// What is next.
    pub next: String,
    /// A pass may be accepted.
    pub passed: bool,
    /// A step back is offered.
    pub step_back: bool,
    /// What to begin next.
    pub begin: Option<super::Begin>,
    /// And that in words: "Rung 4".
    pub begin_words: String,
}
