//! Why something is not noted, and what to do instead.

use crate::event::may::Role;
use crate::event::{Kind, Purpose};
use thiserror::Error;

/// Why something is not noted. Nothing was changed.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum Refused {
    /// A visit is still open.
    #[error("the visit that began {0} is still open: end it first")]
    SessionOpen(String),
    /// No visit is open.
    #[error("no visit is open: begin one with its purpose first")]
    NoSession,
    /// No set is open.
    #[error("no set is open: begin one first")]
    NoSet,
    /// Another set is open than the one that was meant.
    #[error("another set is open by now, so nothing was noted: look at the screen, then enter it there")]
    OtherSet,
    /// The set has ended.
    #[error("no set is open: an entry is taken back before its set ends")]
    SetEnded,
    /// Nothing is left that could be taken back.
    #[error("nothing is left in this set that could be taken back")]
    NothingToUndo,
    /// Where the cue ball ended is noted after a miss.
    #[error("where the cue ball ended is noted after a miss, and the last entry is none")]
    NoMiss,
    /// Warm-up is declared before the first shot.
    #[error(
        "warm-up is declared before it is shot, and this set has {0} attempts already: end it and begin another"
    )]
    WarmUpLate(u32),
    /// The block is for something else.
    #[error("a {0} block has no sets of drills: begin a block for drill work, a new skill or a test")]
    NoDrills(&'static str),
    /// Minutes out of range.
    #[error("minutes are {0}; they must be 1 to 1440")]
    Minutes(u32),
    /// Focus out of range.
    #[error("focus is {0}; it must be 1 to 5")]
    Focus(u8),
    /// Too many warm-up attempts.
    #[error("warm-up is {0} attempts; it must be 1 to 10")]
    WarmUp(u32),
    /// A count of which only a part is warm-up: nobody can say which part.
    #[error("the next {0} attempts are warm-up: enter those by themselves, then the count")]
    WarmUpSplit(u32),
    /// The sheet is full, and has passed.
    #[error(
        "this sheet is full and has passed: end the set and take the pass; the next attempts are another sheet's"
    )]
    Passed,
    /// Counts that cannot be.
    #[error("{made} of {tried} cannot be: tried is 1 to 10000, and made is at most tried")]
    Counts {
        /// Made.
        made: u32,
        /// Tried.
        tried: u32,
    },
    /// Somebody else's record.
    #[error("only {0} erases the own record: `longrail player use` says who you are")]
    NotYours(String),
    /// A writer who may not.
    #[error("{} may not write {} in this record", role_words(*.role), .kind.name())]
    MayNot {
        /// Who.
        role: Role,
        /// What.
        kind: Kind,
    },
}

const fn role_words(role: Role) -> &'static str {
    match role {
        Role::Player => "the player",
        Role::Scorer => "a scorer",
        Role::Instructor => "an instructor",
        Role::Administrator => "an administrator",
    }
}

/// A purpose in words.
pub const fn purpose_words(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::DrillWork => "drill work",
        Purpose::NewSkill => "new skill",
        Purpose::Test => "test",
        Purpose::MatchPlay => "match play",
    }
}
