//! The desk: what people do, turned into events.
//!
//! Everything that is noted goes through [`Desk`], whatever screen or command it comes from: it sees to the order of things
//! (a visit before its blocks, a block before its sets), to who may write what, and says what to do where something does not
//! fit. It writes nothing down itself: its events are handed to a store, and count from then on.

mod open;
mod refused;
mod writer;

pub use refused::{Refused, purpose_words};
pub use writer::{Now, Writer};

use crate::advice::judged;
use crate::event::may::{Role, may_write};
use crate::event::{
    Aim, Attempt, Batch, BlockBegan, BlockEnded, Correction, CueEnd, CueEndNoted, Event, Outcome, Payload,
    Purpose, SessionBegan, SessionEnded, SetBegan, SetEnded, Study, Task, WarmUpDeclared,
};
use crate::id::{EventId, PlayerId};
use crate::log::History;
use crate::state::{Set, State, What};
use longrail_stats::Count;
use longrail_stats::promotion::{SHEET, WARM_UP};

/// A day's minutes.
const DAY: u32 = 24 * 60;

/// One player's record, open for writing at one moment. What is noted adds up until [`Desk::events`] hands it out; the state
/// does not follow meanwhile.
pub struct Desk<'a> {
    history: &'a History,
    player: PlayerId,
    writer: &'a mut Writer,
    now: Now,
    random: &'a mut dyn FnMut() -> u128,
    events: Vec<Event>,
}

impl<'a> Desk<'a> {
    /// A desk over the record of `player` as it stands. `random` gives fresh random bits.
    pub fn new(
        history: &'a History,
        player: PlayerId,
        writer: &'a mut Writer,
        now: Now,
        random: &'a mut dyn FnMut() -> u128,
    ) -> Self {
        Self { history, player, writer, now, random, events: Vec::new() }
    }

    /// What was noted.
    pub fn events(self) -> Vec<Event> {
        self.events
    }

    const fn state(&self) -> &State {
        self.history.state()
    }

    /// Notes anything that needs no order.
    ///
    /// # Errors
    /// [`Refused::MayNot`] if the author may not write this in the player's record.
    pub fn note(&mut self, payload: Payload) -> Result<EventId, Refused> {
        let role = if self.writer.author() == self.player { Role::Player } else { Role::Scorer };
        let kind = payload.kind();
        if !may_write(role, kind) {
            return Err(Refused::MayNot { role, kind });
        }
        let random = (self.random)();
        let event = self.writer.event(self.player, self.now, random, payload);
        let id = event.head.id;
        self.events.push(event);
        Ok(id)
    }

    /// Begins a visit, and its first block, both for `purpose`.
    ///
    /// # Errors
    /// If a visit is open, or the minutes are out of range.
    pub fn begin_session(
        &mut self,
        purpose: Purpose,
        minutes_free: u32,
        card: Option<EventId>,
    ) -> Result<EventId, Refused> {
        if let Some((_, session)) = self.state().open_session() {
            let began = session.began.as_ref().map(|(wall, _)| wall.date());
            return Err(Refused::SessionOpen(began.unwrap_or_default()));
        }
        if !(1..=DAY).contains(&minutes_free) {
            return Err(Refused::Minutes(minutes_free));
        }
        let session = self.note(Payload::SessionBegan(SessionBegan { purpose, minutes_free, card }))?;
        self.note(Payload::BlockBegan(BlockBegan { session, purpose }))?;
        Ok(session)
    }

    /// Goes over to another purpose: ends set and block, begins a block. Nothing if the open block has that purpose.
    ///
    /// # Errors
    /// If no visit is open.
    pub fn begin_block(&mut self, purpose: Purpose) -> Result<EventId, Refused> {
        let (session, _) = self.state().open_session().ok_or(Refused::NoSession)?;
        match self.state().open_block(session) {
            Some((block, began)) if began.purpose == purpose => Ok(block),
            _ => self.begin_another_block(purpose),
        }
    }

    /// Ends set and block, and begins a block, of whatever purpose the one before was.
    ///
    /// # Errors
    /// If no visit is open.
    pub fn begin_another_block(&mut self, purpose: Purpose) -> Result<EventId, Refused> {
        let (session, _) = self.state().open_session().ok_or(Refused::NoSession)?;
        if let Some((block, _)) = self.state().open_block(session) {
            self.end_open_set(block)?;
            self.note(Payload::BlockEnded(BlockEnded { block }))?;
        }
        self.note(Payload::BlockBegan(BlockBegan { session, purpose }))
    }

    /// Begins a set in the open block, or in a new one for drill work where none is open. A set that is open is ended.
    ///
    /// # Errors
    /// If no visit is open, or its block is for match play.
    pub fn begin_set(&mut self, task: Task, aim: Aim) -> Result<EventId, Refused> {
        let (session, _) = self.state().open_session().ok_or(Refused::NoSession)?;
        let block = match self.state().open_block(session) {
            Some((_, began)) if began.purpose == Purpose::MatchPlay => {
                return Err(Refused::NoDrills(purpose_words(began.purpose)));
            }
            Some((block, _)) => {
                self.end_open_set(block)?;
                block
            }
            None => {
                let purpose = Purpose::DrillWork;
                self.note(Payload::BlockBegan(BlockBegan { session, purpose }))?
            }
        };
        self.note(Payload::SetBegan(SetBegan { block, task, aim }))
    }

    fn end_open_set(&mut self, block: EventId) -> Result<(), Refused> {
        if let Some((set, _)) = self.state().open_set(block) {
            self.note(Payload::SetEnded(SetEnded { set }))?;
        }
        Ok(())
    }

    /// Goes on only if this set is the open one: an entry that was meant for another is refused, not counted here.
    ///
    /// # Errors
    /// If no set is open, or another one.
    pub fn at_set(&self, meant: EventId) -> Result<(), Refused> {
        if self.open_set()? == meant { Ok(()) } else { Err(Refused::OtherSet) }
    }

    fn open_set(&self) -> Result<EventId, Refused> {
        self.state().set_now().map(|(set, _)| set).ok_or(Refused::NoSet)
    }

    /// Declares the next attempts of the open set as warm-up.
    ///
    /// # Errors
    /// If no set is open, it has attempts already, or the number is out of range.
    pub fn warm_up(&mut self, attempts: u32) -> Result<(), Refused> {
        let (set, open) = self.state().set_now().ok_or(Refused::NoSet)?;
        if !(1..=WARM_UP).contains(&attempts) {
            return Err(Refused::WarmUp(attempts));
        }
        let shot = u32::try_from(open.entries.len()).unwrap_or(u32::MAX);
        if shot > 0 {
            return Err(Refused::WarmUpLate(shot));
        }
        self.note(Payload::WarmUpDeclared(WarmUpDeclared { set, attempts })).map(|_| ())
    }

    /// The open set, for an entry. Behind a full sheet a new one would begin; where the full one has passed, that is decided
    /// first.
    fn set_for_entry(&self) -> Result<(EventId, &Set), Refused> {
        let (id, set) = self.state().set_now().ok_or(Refused::NoSet)?;
        let proof = set.began.as_ref().filter(|(_, began)| began.aim == Aim::Proof);
        let sheet = proof.and_then(|(_, began)| self.state().shots(&began.task)?.open());
        let rules = self.state().profile.as_ref().and_then(|profile| profile.proof.rules().ok());
        if let (Some(sheet), Some(rules)) = (sheet.filter(|sheet| sheet.tried >= SHEET), rules)
            && judged(sheet, &rules).is_ok_and(|sheet| sheet.promoted().is_some())
        {
            return Err(Refused::Passed);
        }
        Ok((id, set))
    }

    /// Notes an attempt in the open set.
    ///
    /// # Errors
    /// If no set is open, or its sheet is full and has passed.
    pub fn attempt(&mut self, outcome: Outcome, cue_end: Option<CueEnd>) -> Result<EventId, Refused> {
        let (set, _) = self.set_for_entry()?;
        self.note(Payload::Attempt(Attempt { set, outcome, cue_end }))
    }

    /// Notes a count in the open set.
    ///
    /// # Errors
    /// If no set is open, its sheet is full and has passed, the count cannot be, or only a part of it is warm-up.
    pub fn batch(&mut self, count: Count) -> Result<EventId, Refused> {
        let (set, open) = self.set_for_entry()?;
        let (made, tried, left) = (count.made(), count.tried(), open.warm_up_left);
        if !(1..=10_000).contains(&tried) {
            return Err(Refused::Counts { made, tried });
        }
        if left > 0 && tried > left {
            return Err(Refused::WarmUpSplit(left));
        }
        self.note(Payload::Batch(Batch { set, made, tried }))
    }

    /// Notes where the cue ball ended in the last attempt of the open set.
    ///
    /// # Errors
    /// If no set is open, or its last entry is no single miss.
    pub fn cue_end(&mut self, cue_end: CueEnd) -> Result<(), Refused> {
        let (set, open) = self.state().set_now().ok_or(Refused::NoSet)?;
        let last = open.entries.last().filter(|entry| {
            // What was made has its cue ball where it should be.
            matches!(entry.what, What::Attempt { outcome, .. } if !outcome.made())
        });
        let of = last.ok_or(Refused::NoMiss)?.event;
        self.note(Payload::CueEndNoted(CueEndNoted { set, of, cue_end })).map(|_| ())
    }

    /// Takes back the last entry of the open set, and says what it was.
    ///
    /// # Errors
    /// If no set is open, or it has no entry left.
    pub fn undo(&mut self) -> Result<What, Refused> {
        let (_, open) = self.state().set_now().ok_or(Refused::SetEnded)?;
        let last = *open.entries.last().ok_or(Refused::NothingToUndo)?;
        self.note(Payload::Correction(Correction { of: last.event }))?;
        Ok(last.what)
    }

    /// Ends the open set.
    ///
    /// # Errors
    /// If no set is open.
    pub fn end_set(&mut self) -> Result<EventId, Refused> {
        let set = self.open_set()?;
        self.note(Payload::SetEnded(SetEnded { set }))?;
        Ok(set)
    }

    /// Ends the visit with everything that is open in it.
    ///
    /// # Errors
    /// If no visit is open, or the focus is out of range.
    pub fn end_session(&mut self, focus: Option<u8>, line: &str) -> Result<EventId, Refused> {
        let (session, _) = self.state().open_session().ok_or(Refused::NoSession)?;
        if let Some(focus) = focus
            && !(1..=5).contains(&focus)
        {
            return Err(Refused::Focus(focus));
        }
        if let Some((block, _)) = self.state().open_block(session) {
            self.end_open_set(block)?;
            self.note(Payload::BlockEnded(BlockEnded { block }))?;
        }
        self.note(Payload::SessionEnded(SessionEnded { session, focus, line: line.to_owned() }))?;
        Ok(session)
    }

    /// Notes study away from the table.
    ///
    /// # Errors
    /// If the minutes are out of range, or somebody else writes.
    pub fn study(&mut self, minutes: u32, line: &str) -> Result<EventId, Refused> {
        if !(1..=DAY).contains(&minutes) {
            return Err(Refused::Minutes(minutes));
        }
        self.note(Payload::Study(Study { minutes, line: line.to_owned() }))
    }
}
