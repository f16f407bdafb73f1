//! The guide: where the record puts the player, and what is next.
//!
//! A [`Guide`] reads one player's state together with what its [`Host`] has: drills, and ladders worked out. Commands and screens
//! ask it the same questions and so give the same answers; it writes nothing.
//!
//! [`Posed`] is a drill on a table, [`Known`] the stroke as the record knows it, [`Ended`] what a set's end says, [`Proposal`] one
//! thing to do next, [`blocks`] a visit made of them.

mod ended;
mod known;
mod ladders;
mod next;
mod pace;
mod posed;
mod visit;

pub use ended::{Decided, Ended, moved_already, sheet, so_far};
pub use known::{Known, passed};
pub use ladders::{Ladders, Wanted, prescribed_for};
pub use next::{ACTIVE_DAYS, Proposal, Wish, active, ladders_of, last_shot};
pub use pace::{outlook, pace};
pub use posed::Posed;
pub use visit::{BREAK, Block, LEFT_MINUTES, Part, blocks, caution, last_noted};

use std::rc::Rc;

use longrail_stats::StatsError;
use longrail_stroke::StrokeError;
use thiserror::Error;

use crate::card::CardError;
use crate::constraints::ConstraintsError;
use crate::drill::{Drill, RungError};
use crate::event::Task;
use crate::ladder::Worked;
use crate::player::{Profile, ProfileError};
use crate::state::State;

/// Why the guide has no answer.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum GuideError {
    /// The record has no profile.
    #[error("this record has no name yet: give the player one first")]
    NoProfile,
    /// The drill of a task is not at hand.
    #[error("there is no drill {0:?} here any more")]
    NoDrill(String),
    /// The drill is at hand in another version.
    #[error("{drill} is at version {now} now; this was shot at version {then}")]
    OtherVersion {
        /// Its id.
        drill: String,
        /// The version at hand.
        now: u32,
        /// The version on record.
        then: u32,
    },
    /// The table of a task has not arrived.
    #[error("the table of this set is not on record yet: import the rest of it")]
    NoTable,
    /// The set has no beginning.
    #[error("the set has no beginning on record: import the rest of it")]
    NoBeginning,
    /// A ladder was handed out that is not whole.
    #[error("{0} is not wholly worked out")]
    NotWorked(String),
    /// The table.
    #[error(transparent)]
    Card(#[from] CardError),
    /// The rung.
    #[error(transparent)]
    Rung(#[from] RungError),
    /// The constraints.
    #[error(transparent)]
    Constraints(#[from] ConstraintsError),
    /// The profile.
    #[error(transparent)]
    Profile(#[from] ProfileError),
    /// The shot.
    #[error(transparent)]
    Stroke(#[from] StrokeError),
    /// The counts.
    #[error(transparent)]
    Stats(#[from] StatsError),
}

/// Who has drills and works ladders out.
pub trait Host {
    /// Why it cannot.
    type Error: From<GuideError> + std::fmt::Display;

    /// The drill of this id, if it is at hand.
    ///
    /// # Errors
    /// If it is at hand and cannot be read.
    fn drill(&self, id: &str) -> Result<Option<Drill>, Self::Error>;

    /// A ladder of this drill, wholly worked out.
    ///
    /// # Errors
    /// If it cannot be, or is not yet.
    fn worked(&self, drill: &Drill, wanted: &Wanted) -> Result<Rc<Worked>, Self::Error>;
}

/// One player's state, with what the host has.
pub struct Guide<'a, H> {
    state: &'a State,
    host: &'a H,
    ladders: Ladders,
}

impl<'a, H: Host> Guide<'a, H> {
    /// A guide that has read no ladder yet.
    pub fn new(state: &'a State, host: &'a H) -> Self {
        Self { state, host, ladders: Ladders::default() }
    }

    /// Who has the drills.
    pub fn host(&self) -> &'a H {
        self.host
    }

    /// The record.
    pub const fn state(&self) -> &'a State {
        self.state
    }

    /// The profile.
    ///
    /// # Errors
    /// If there is none.
    pub fn profile(&self) -> Result<&'a Profile, H::Error> {
        Ok(self.state.profile.as_ref().ok_or(GuideError::NoProfile)?)
    }

    /// What a task on record was posed as.
    ///
    /// # Errors
    /// If its drill is not at hand in its version, or its table has not arrived.
    pub fn posed(&self, task: &Task) -> Result<Posed, H::Error> {
        let drill = self.host.drill(&task.drill)?;
        let drill = drill.ok_or_else(|| GuideError::NoDrill(task.drill.clone()))?;
        if drill.version != task.drill_version {
            let (now, then) = (drill.version, task.drill_version);
            return Err(GuideError::OtherVersion { drill: drill.id, now, then }.into());
        }
        let known = self.state.cards.get(&task.card).ok_or(GuideError::NoTable)?;
        Ok(Posed::new(drill, task.setup, (task.card, known.card.clone()))?)
    }

    /// The name of a task's table.
    pub fn table(&self, task: &Task) -> String {
        table(self.state, task)
    }
}

/// The name of a task's table; empty if the card has not arrived.
pub fn table(state: &State, task: &Task) -> String {
    state.cards.get(&task.card).map(|known| known.card.name.clone()).unwrap_or_default()
}
