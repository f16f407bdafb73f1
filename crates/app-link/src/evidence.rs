//! Ladders, and what the record proves on them.

use serde::{Deserialize, Serialize};

/// What a rung is to the player.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum RungState {
    /// Passed once.
    Passed,
    /// Easier than what was passed or proposed first: taken as read.
    Below,
    /// The one to work at.
    Work,
    /// The one to prove.
    Prove,
    /// Farther out.
    Ahead,
}

/// A rung of a ladder.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rung {
    /// Its name: "3", or "2.5" between two.
    pub name: String,
    /// What it is.
    pub state: RungState,
    /// Whether it is also the one to work at, where it is the one to prove.
    pub both: bool,
    /// Made and tried there.
    pub counted: (u32, u32),
    /// The 80 % range of the rate; none without attempts.
    pub range: Option<(f64, f64)>,
    /// A rule stopped the count, which therefore flatters.
    pub stopped: bool,
    /// Chance now, with its 80 % range.
    pub odds: Option<(f64, f64, f64)>,
    /// Made and tried on the open sheet.
    pub sheet: Option<(u32, u32)>,
}

/// A ladder on a table.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ladder {
    /// What the record calls it.
    pub key: String,
    /// The drill's id.
    pub drill: String,
    /// The drill's title.
    pub title: String,
    /// What it trains.
    pub family: String,
    /// The table, and the corner and constraints where they are not the usual ones.
    pub place: String,
    /// What grows from rung to rung.
    pub axis: String,
    /// Its rungs, easiest first; none of a ladder that nothing was shot on and that is not worked out.
    pub rungs: Vec<Rung>,
    /// A pass, in words: "rung 3 once, on 2026-11-03".
    pub passed: String,
    /// The chance on that rung now, with its 80 % range.
    pub passed_odds: Option<(f64, f64, f64)>,
    /// What begins a set of work.
    pub work: Option<super::Begin>,
    /// What begins a proof.
    pub prove: Option<super::Begin>,
    /// Whether anything was shot on it.
    pub begun: bool,
    /// Whether its odds are still being computed.
    pub computing: bool,
}

/// A picture with its numbers as a sentence.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Chart {
    /// SVG text.
    pub picture: String,
    /// The sentence.
    pub says: String,
}

/// Two sets held against each other.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Compared {
    /// The verdict in a few words.
    pub word: String,
    /// The sentence with the numbers.
    pub says: String,
    /// Whether it was settled.
    pub settled: bool,
}

/// What the record proves on one ladder.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Evidence {
    /// All ladders with attempts, the latest first: key and title.
    pub ladders: Vec<(String, String)>,
    /// The ladder shown; none if nothing was shot yet.
    pub ladder: Option<Ladder>,
    /// First and last day of its attempts.
    pub dates: (String, String),
    /// Made and tried in all.
    pub counted: (u32, u32),
    /// The picture.
    pub chart: Chart,
    /// The latest sets, newest first: date, what, made and tried.
    pub sets: Vec<(String, String, u32, u32)>,
    /// The two latest sets at one task, if there are two that may be compared: in words.
    pub comparable: String,
    /// What came of comparing them.
    pub compared: Option<Compared>,
    /// Comparisons opened so far.
    pub opened: u32,
    /// What the numbers rest on.
    pub rests_on: String,
    /// What is still being computed; empty if all is there.
    pub computing: String,
}
