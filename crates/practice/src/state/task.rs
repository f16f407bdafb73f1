//! What was shot at one task: its counts, and its sheets, which are what the promotion rule reads.
//!
//! A sheet goes on until it has 100 attempts, ends in an accepted promotion or step back, or nothing was tried on it for
//! 28 days (study of progression, section 1.3). It is never discarded by hand, and resumed on return.

use crate::event::{Aim, Wall};
use crate::id::EventId;
use longrail_stats::promotion::{LAY_OFF_DAYS, SHEET};
use serde::{Deserialize, Serialize};

/// Milliseconds in a day.
const DAY_MS: f64 = 86_400_000.0;

/// Counts of one task, without warm-up.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tally {
    /// Made in proof sets.
    pub proof_made: u32,
    /// Tried in proof sets. The collection of these is ended by a rule; see `longrail_stats::change::Collection`.
    pub proof_tried: u32,
    /// Made in work sets.
    pub work_made: u32,
    /// Tried in work sets.
    pub work_tried: u32,
}

impl Tally {
    /// Made in all.
    pub const fn made(&self) -> u32 {
        self.proof_made.saturating_add(self.work_made)
    }

    /// Tried in all.
    pub const fn tried(&self) -> u32 {
        self.proof_tried.saturating_add(self.work_tried)
    }
}

/// What a sheet takes of an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Shot {
    pub(super) made: u32,
    pub(super) tried: u32,
    pub(super) warm_up: bool,
    pub(super) wall: Wall,
}

/// Why a sheet is over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ended {
    /// This promotion was accepted.
    Promoted(EventId),
    /// The player stepped back with this event.
    SteppedBack(EventId),
    /// It reached 100 attempts.
    Full,
    /// Nothing was tried for 28 days or more.
    LayOff,
}

/// An entry of a sheet. Warm-up is among them, marked; leave it out of the rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SheetEntry {
    /// Made.
    pub made: u32,
    /// Tried; 1 for a single attempt or a batch of one, which the rule cannot tell apart.
    pub tried: u32,
    /// Declared warm-up.
    pub warm_up: bool,
    /// The visit in which it was, from 1 within the sheet.
    pub visit: u32,
}

/// The entries that the promotion rule looks at, one after the other.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sheet {
    /// In order, while the sheet is open; afterwards its counts are all that is asked for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub entries: Vec<SheetEntry>,
    /// Made, without warm-up.
    pub made: u32,
    /// Tried, without warm-up.
    pub tried: u32,
    /// The visits in which it was shot.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub visits: Vec<EventId>,
    /// When the latest entry was made.
    pub last: Wall,
    /// Why it is over; nothing while it is open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ended: Option<Ended>,
}

/// What was shot at one task.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shots {
    /// Its sets, in the order in which they began.
    pub sets: Vec<EventId>,
    /// Its counts.
    pub tally: Tally,
    /// Its sheets, the oldest first. The last may be open; one that is full stays open until the next entry or decision, so
    /// that a promotion on the hundredth attempt belongs to it.
    pub sheets: Vec<Sheet>,
}

impl Shots {
    /// The sheet that is open.
    pub fn open(&self) -> Option<&Sheet> {
        self.sheets.last().filter(|sheet| sheet.ended.is_none())
    }

    /// Whether a rule stopped what was collected on sheets here.
    pub fn stopped(&self) -> bool {
        self.sheets
            .iter()
            .any(|sheet| matches!(sheet.ended, Some(Ended::Promoted(_) | Ended::SteppedBack(_))))
    }

    /// The sheet on which the next attempt would be: none if it would begin a new one.
    pub fn going_on(&self, now: Wall) -> Option<&Sheet> {
        self.open().filter(|sheet| sheet.over_by(now).is_none())
    }

    /// The sheet that counts now: a full one as well, which is still to be decided; none if it was left for too long.
    pub fn counting(&self, now: Wall) -> Option<&Sheet> {
        self.open().filter(|sheet| sheet.over_by(now) != Some(Ended::LayOff))
    }

    /// Takes an entry of a set, shot in this visit.
    pub(super) fn take(&mut self, aim: Aim, shot: Shot, visit: EventId) {
        if aim == Aim::Proof {
            self.sheet(shot, visit);
        }
        if shot.warm_up {
            return;
        }
        let (made, tried) = match aim {
            Aim::Proof => (&mut self.tally.proof_made, &mut self.tally.proof_tried),
            Aim::Work => (&mut self.tally.work_made, &mut self.tally.work_tried),
        };
        *made = made.saturating_add(shot.made);
        *tried = tried.saturating_add(shot.tried);
    }

    fn sheet(&mut self, shot: Shot, visit: EventId) {
        if let Some(why) = self.open().and_then(|sheet| sheet.over_by(shot.wall)) {
            self.end(why);
        }
        if self.open().is_none() {
            self.sheets.push(Sheet::default());
        }
        if let Some(sheet) = self.sheets.last_mut() {
            sheet.enter(shot, visit);
        }
    }

    /// Ends the open sheet, if there is one.
    pub(super) fn end(&mut self, why: Ended) {
        if let Some(sheet) = self.sheets.last_mut().filter(|sheet| sheet.ended.is_none()) {
            sheet.ended = Some(why);
            sheet.entries = Vec::new();
        }
    }
}

impl Sheet {
    fn enter(&mut self, shot: Shot, visit: EventId) {
        let Shot { made, tried, warm_up, wall } = shot;
        if !warm_up {
            self.made = self.made.saturating_add(made);
            self.tried = self.tried.saturating_add(tried);
        }
        let known = self.visits.iter().position(|known| *known == visit);
        let at = known.unwrap_or_else(|| {
            self.visits.push(visit);
            self.visits.len() - 1
        });
        let visit = u32::try_from(at).unwrap_or(u32::MAX - 1) + 1;
        self.entries.push(SheetEntry { made, tried, warm_up, visit });
        self.last = wall;
    }

    /// Why an entry at this moment would not be on this sheet any more.
    fn over_by(&self, now: Wall) -> Option<Ended> {
        let ms = now.ms.saturating_sub(self.last.ms);
        // Exact: times of this century in milliseconds are below 2^53.
        #[allow(clippy::cast_precision_loss)]
        let days = ms as f64 / DAY_MS;
        if self.tried >= SHEET {
            Some(Ended::Full)
        } else if days >= LAY_OFF_DAYS {
            Some(Ended::LayOff)
        } else {
            None
        }
    }
}
