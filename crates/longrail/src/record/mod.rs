//! The record: players, tables, visits, sets and attempts, and what they say.
//!
//! **Knows** what people type, and in which words the record answers.
//! **Does not know** how events are kept, nor what follows from them.
//!
//! `home.rs` is this device's folder, `book.rs` a record open for one player: everything is read and noted through it.

mod book;
mod changes;
mod evidence;
mod home;
pub(crate) mod journal;
mod keep;
mod ladders;
mod ledger;
mod lines;
mod moment;
mod player;
mod score;
mod session;
mod set;
mod table;
mod table_side;
mod task;
mod today;
mod transfer;

pub(crate) use book::{Shelf, Source};
pub(crate) use home::Home;

use clap::{Args, Subcommand};
use longrail_practice::event::Purpose;

use crate::exit::Failure;

/// Commands on the record, each with where it is.
#[derive(Args)]
pub(crate) struct On<T: Args> {
    #[command(flatten)]
    pub(crate) what: T,
    #[command(flatten)]
    pub(crate) source: Source,
}

/// The record's commands.
#[derive(Subcommand)]
pub(crate) enum Command {
    /// Players: who you are, your cue, how far you go, what a proof asks for.
    Player(On<player::Arguments>),
    /// Table cards: what is known of a table, and how it is measured.
    Table(On<table::Arguments>),
    /// A visit to the table: its purpose first, its blocks, its end.
    Session(On<session::Arguments>),
    /// A set: consecutive attempts at one rung.
    Set(On<set::Arguments>),
    /// Scores attempts: one key each on a full screen, or a count such as 36/50.
    Score(On<score::Arguments>),
    /// Takes back the last entry of the set.
    Undo(On<score::UndoArguments>),
    /// Says where you stand and what to do next.
    Today(On<today::Arguments>),
    /// What the record proves, rung by rung.
    Evidence(On<evidence::Arguments>),
    /// Is it really better? Holds two sets, weeks or months against each other.
    Changes(On<changes::Arguments>),
    /// The journal: what went on, what worked, what you will do next.
    Journal(On<journal::Arguments>),
    /// Minutes by purpose and week.
    Ledger(On<ledger::Arguments>),
    /// Notes study away from the table.
    Study(On<ledger::StudyArguments>),
    /// The record as a whole: where it is, export, import, check, rescue, erase.
    Record(On<keep::Arguments>),
}

pub(crate) fn run(command: &Command) -> Result<(), Failure> {
    match command {
        Command::Player(on) => player::run(&on.what, &on.source),
        Command::Table(on) => table::run(&on.what, &on.source),
        Command::Session(on) => session::run(&on.what, &on.source),
        Command::Set(on) => set::run(&on.what, &on.source),
        Command::Score(on) => score::run(&on.what, &on.source),
        Command::Undo(on) => score::undo(&on.what, &on.source),
        Command::Today(on) => today::run(&on.what, &on.source),
        Command::Evidence(on) => evidence::run(&on.what, &on.source),
        Command::Changes(on) => changes::run(&on.what, &on.source),
        Command::Journal(on) => journal::run(&on.what, &on.source),
        Command::Ledger(on) => ledger::run(&on.what, &on.source),
        Command::Study(on) => ledger::study(&on.what, &on.source),
        Command::Record(on) => keep::run(&on.what, &on.source),
    }
}

/// A purpose on the command line.
#[derive(Clone, Copy, clap::ValueEnum)]
pub(crate) enum For {
    /// Work on a drill.
    DrillWork,
    /// Something new.
    NewSkill,
    /// Finding out where you stand.
    Test,
    /// Games.
    MatchPlay,
}

impl For {
    pub(super) const fn purpose(self) -> Purpose {
        match self {
            Self::DrillWork => Purpose::DrillWork,
            Self::NewSkill => Purpose::NewSkill,
            Self::Test => Purpose::Test,
            Self::MatchPlay => Purpose::MatchPlay,
        }
    }
}

/// Fresh random bits.
fn random() -> Result<u128, Failure> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes)
        .map_err(|error| Failure::File(format!("the system gives no random numbers: {error}")))?;
    Ok(u128::from_ne_bytes(bytes))
}
