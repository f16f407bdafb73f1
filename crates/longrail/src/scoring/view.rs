//! What passes between the screen and its desk.

use longrail_practice::event::{CueEnd, Outcome};

/// What the screen shows: words and numbers that are ready-made.
#[derive(Clone, Debug, Default)]
pub(crate) struct View {
    /// Who shoots next.
    pub(crate) learner: String,
    /// The other learners at this table, next first; empty if alone.
    pub(crate) others: Vec<String>,
    /// Drill, rung and kind of set, such as "Straight draw · rung 3 of 9 · proof".
    pub(crate) heading: String,
    /// On which table.
    pub(crate) table: String,
    /// What counts as made, one line.
    pub(crate) goal: String,
    /// A line a ball: where it lies.
    pub(crate) setup: Vec<String>,
    /// Made in this set.
    pub(crate) made: u32,
    /// Tried in this set.
    pub(crate) tried: u32,
    /// Made and tried on the sheet, if the set is a proof.
    pub(crate) sheet: Option<(u32, u32)>,
    /// The last attempts, oldest first.
    pub(crate) recent: Vec<Mark>,
    /// How the evidence stands, one sentence.
    pub(crate) stands: String,
    /// What a pass takes, one sentence.
    pub(crate) next: String,
    /// Attempts of the warm-up still to come.
    pub(crate) warm_up_left: u32,
    /// Minutes of this block so far.
    pub(crate) minutes: u32,
    /// Minutes that the block may take; 0 if nobody said.
    pub(crate) minutes_free: u32,
    /// A caution, such as a break that is due.
    pub(crate) caution: Option<String>,
    /// What the last press did, or why it could not and what to do.
    pub(crate) notice: Option<String>,
}

/// One of the last attempts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Mark {
    /// How it went.
    pub(crate) outcome: Outcome,
    /// Declared a warm-up beforehand.
    pub(crate) warm_up: bool,
}

/// What the player asks for with a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Press {
    /// One attempt more.
    Attempt(Outcome),
    /// The cue ball of the last attempt ended so.
    CueEnd(CueEnd),
    /// Take back the last attempt or count.
    Undo,
    /// A count of attempts, looked at once: 1 to 10000 tried, no more made than tried.
    Batch {
        /// Made.
        made: u32,
        /// Tried.
        tried: u32,
    },
    /// So many of the next attempts are warm-up, 1 to 10.
    WarmUp(u32),
    /// The next learner shoots.
    Swap,
    /// The set is over; asked for twice.
    EndSet,
    /// Leave the screen; the set stays open.
    Leave,
}

/// What follows from a press.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Flow {
    /// The set goes on.
    Goes,
    /// It is over: these lines are shown until a key is pressed, and are then what `run` returns.
    Ended(Vec<String>),
}

/// Whoever keeps the record.
pub(crate) trait Desk {
    /// What to show now. Asked before every drawing, so at least every 15 s.
    fn view(&mut self) -> View;

    /// Notes a press. What cannot be noted is told in the next view's notice. After [`Press::Leave`] the screen closes
    /// whatever is answered; lines of [`Flow::Ended`] are then returned instead of the screen's own.
    fn press(&mut self, press: Press) -> Flow;
}
