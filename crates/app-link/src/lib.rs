//! What passes between the app's screens and its workers.
//!
//! **Knows** the questions that screens ask, the views that answer them, and how they are written.
//! **Does not know** how a view is drawn, nor where it comes from.
//!
//! A screen asks a [`Question`] under a number ([`Ask`]); the record's worker sends an [`Answer`] with that number, and may send
//! [`Told`] at any time. The screens pass [`Order`]s on to the worker that computes, and its [`Done`]s back.
//! Names of players, tables and sets are texts that only the record's worker reads.

mod evidence;
mod setup;
mod table;
mod today;

pub use evidence::{Chart, Compared, Evidence, Ladder, Rung, RungState};
pub use setup::{Kept, Measured, Player, Setup, Table, TypedIn};
pub use table::{
    Ball, Bounds, Clock, CueEnd, Ended, Fixed, Harder, Lane, Mark, Press, Price, Score, Seat, Side, Way,
};
pub use today::{Block, Drill, Home, Open, Purpose, Start, Today};

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

/// Writes a message. Both ends are of one build, so it has no names in it: they would cost loading time on either side.
pub fn write<T: Serialize>(message: &T) -> Vec<u8> {
    // It writes into memory: nothing there can fail.
    postcard::to_allocvec(message).unwrap_or_default()
}

/// Reads a message; nothing, if it is none of this type.
pub fn read<T: DeserializeOwned>(bytes: &[u8]) -> Option<T> {
    postcard::from_bytes(bytes).ok()
}

/// How a set is begun.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Begin {
    /// For which player; none for the one in use.
    pub player: Option<String>,
    /// The drill.
    pub drill: String,
    /// The rung; none for the one that is proposed.
    pub rung: Option<String>,
    /// For a proof.
    pub proof: bool,
    /// Turned by half a turn.
    pub turned: bool,
    /// Mirrored from left to right.
    pub mirrored: bool,
    /// What makes it harder, as text; empty for nothing.
    pub constraints: String,
    /// On which table.
    pub table: String,
    /// So many first attempts are warm-up.
    pub warm_up: u32,
    /// What the block is for; none for one that suits the set. Another block than the open one begins if need be.
    pub purpose: Option<Purpose>,
    /// Minutes that are meant for the block; 0 for no plan.
    pub minutes: u32,
    /// What the visit is for and minutes at hand, if none is open.
    pub visit: Option<(Purpose, u32)>,
}

/// What screens ask of the record. Those that change it are answered when what they changed is kept for good.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Question {
    /// Who is here, and what is open. [`Reply::Home`]
    Home,
    /// What to do in a visit. [`Reply::Today`]
    Today {
        /// What it is for.
        purpose: Purpose,
        /// Minutes at hand.
        minutes: u32,
    },
    /// The ladders on the table in use. [`Reply::Ladders`]
    Ladders,
    /// What the record proves on a ladder, by its key. [`Reply::Evidence`]
    Evidence {
        /// [`Ladder::key`]; none for the one shot last.
        ladder: Option<String>,
        /// Whether the picture is for daylight.
        light: bool,
    },
    /// Players, tables and data. [`Reply::Setup`]
    Setup,
    /// Adds a player, who is in use from now on. [`Reply::Home`]
    AddPlayer {
        /// The name.
        name: String,
        /// What the player says of the own game: a number into [`Home::sentences`].
        start: Option<u32>,
    },
    /// The record is about this player from now on. [`Reply::Home`]
    UsePlayer {
        /// Whose.
        player: String,
    },
    /// Changes what is known of the player. [`Reply::Setup`]
    ChangePlayer(Box<Player>),
    /// Adds a table, which is in use from now on. [`Reply::Home`]
    AddTable(Box<Table>),
    /// Changes a table. [`Reply::Setup`]
    ChangeTable(Box<Table>),
    /// This table is in use from now on. [`Reply::Home`]
    UseTable {
        /// Which.
        table: String,
    },
    /// A table is no longer offered. [`Reply::Setup`]
    RetireTable {
        /// Which.
        table: String,
    },
    /// Begins a visit, or in an open one a block for another purpose. [`Reply::Home`]
    BeginSession {
        /// What it is for.
        purpose: Purpose,
        /// Minutes at hand.
        minutes: u32,
    },
    /// Ends the visit, and those of learners on this device. [`Reply::Home`]
    EndSession {
        /// Whose: whom the screen shows as in use.
        player: String,
        /// How well the mind was on it, 1 to 5.
        focus: Option<u8>,
        /// One line on it.
        line: String,
    },
    /// Begins a set; a visit or block that it needs is begun with it. [`Reply::Seat`]
    BeginSet(Box<Begin>),
    /// The open set. [`Reply::Seat`]
    Seat {
        /// Of which player; none for the one in use.
        player: Option<String>,
        /// Whether the picture is for daylight.
        light: bool,
        /// Whether the table lies lengthwise in it.
        wide: bool,
    },
    /// Something pressed while scoring. [`Reply::Score`]
    Press {
        /// Of which player.
        player: String,
        /// In which set: where another is open by now, it is refused. Empty for the open one.
        set: String,
        /// What.
        press: Press,
    },
    /// What a constraint costs on the open set's rung. [`Reply::Price`], or [`Reply::Later`] while it is computed.
    Price {
        /// Of which player; none for the one in use.
        player: Option<String>,
        /// The constraint.
        constraint: Harder,
    },
    /// Ends the open set. [`Reply::Ended`]
    EndSet {
        /// Of which player.
        player: String,
        /// Which.
        set: String,
    },
    /// What is decided at a set's end: a pass is accepted, or a step back taken. [`Reply::Ended`], as it is after that.
    Decide {
        /// Of which set.
        set: String,
        /// Whether what was offered is taken.
        taken: bool,
    },
    /// Holds a set against the one before it at the same task. [`Reply::Evidence`]
    Compare {
        /// [`Ladder::key`].
        ladder: String,
        /// Whether the picture is for daylight.
        light: bool,
    },
    /// All events of everyone, a line each. [`Reply::Log`]
    Export,
    /// Takes in such lines. [`Reply::Taken`]
    Import {
        /// The lines.
        lines: String,
    },
    /// What was exported is kept elsewhere now. [`Reply::Home`]
    BackedUp {
        /// [`Reply::Log::until`].
        until: u64,
    },
    /// Erases the player in use. [`Reply::Home`]
    Erase {
        /// Who that is on the screen: another one is refused.
        player: String,
    },
    /// Shares with the record of the machine that serves the app, if it has one. [`Reply::Later`]
    Share,
}

/// What the record answers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Reply {
    /// Who is here, and what is open.
    Home(Box<Home>),
    /// What to do in a visit.
    Today(Box<Today>),
    /// The ladders.
    Ladders(Vec<Ladder>),
    /// What the record proves.
    Evidence(Box<Evidence>),
    /// Players, tables and data.
    Setup(Box<Setup>),
    /// The open set; nothing if none is open.
    Seat(Option<Box<Seat>>),
    /// How it stands after a press.
    Score(Box<Score>),
    /// What a constraint costs.
    Price(Price),
    /// It is being computed; [`Told::Changed`] says when to ask again.
    Later,
    /// A set has ended.
    Ended(Box<Ended>),
    /// All events.
    Log {
        /// A line each.
        lines: String,
        /// How far it goes.
        until: u64,
        /// How many.
        events: u64,
    },
    /// What became of lines that were read.
    Taken {
        /// New ones.
        new: u64,
        /// Those that were here already.
        known: u64,
        /// Those of players who were erased: they stay out.
        erased: u64,
        /// What was refused and why, a line each.
        refused: Vec<String>,
    },
}

/// An answer to one question: the reply, or what is wrong and what to do.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Answer {
    /// Of which question.
    pub number: u32,
    /// What it is.
    pub reply: Result<Reply, String>,
}

/// What the record's worker says unasked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Told {
    /// It is ready.
    Ready,
    /// It cannot work at all, and why.
    Failed(String),
    /// Something is otherwise than before: another window wrote, or a ladder is worked out.
    Changed,
    /// What the machine that serves the app has of the record is here now, as far as it can be had.
    Shared,
    /// A ladder is wanted, or none any more.
    Wanted(Option<Order>),
    /// An answer.
    Answer(Answer),
}

/// What the worker that computes is to do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Order {
    /// What the result is kept under.
    pub key: String,
    /// What is computed, for people.
    pub title: String,
    /// What is computed, for the worker.
    pub what: String,
}

/// What the worker that computes has done.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Done {
    /// Of which order.
    pub key: String,
    /// Steps done.
    pub done: u32,
    /// Steps in all.
    pub of: u32,
    /// The result so far, where it is worth keeping; or what is wrong.
    pub result: Option<Result<String, String>>,
    /// Whether it is whole.
    pub whole: bool,
}

/// What the screens send to the record's worker.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Ask {
    /// A question, under a number.
    Question(u32, Question),
    /// What the other worker has done.
    Done(Done),
}

#[cfg(test)]
mod tests {
    use super::{Answer, Chart, Evidence, Reply, Told, read, write};

    #[test]
    fn a_message_comes_out_as_it_went_in() {
        let evidence = Evidence {
            ladders: vec![("a".into(), "Diagonal stop".into())],
            counted: (24, 37),
            chart: Chart { picture: "<svg/>".into(), says: "½".into() },
            ..Evidence::default()
        };
        for reply in [Ok(Reply::Evidence(Box::new(evidence))), Ok(Reply::Later), Err("no".to_owned())] {
            let told = Told::Answer(Answer { number: 300, reply });
            assert_eq!(read(&write(&told)), Some(told));
        }
    }

    #[test]
    fn what_is_no_message_is_nothing() {
        assert_eq!(read::<Told>(&[]), None);
        assert_eq!(read::<Told>(&[250, 1, 2]), None);
    }
}
