//! What the stroke is now, from the record; and where on a ladder that puts the player.
//!
//! The record comes in as sessions of attempts, each with the [`Surface`] of its rung; the stroke that follows is that of
//! `longrail_stroke::infer`, and drifts from session to session. A worked ladder then has a [`Standing`] for it.

mod standing;

pub use standing::{Even, Standing};

use longrail_stroke::StrokeError;
use longrail_stroke::infer::{Inferred, Offset, Posterior, Prior, Seen, Surface, Tally};

use crate::ladder::Worked;

/// Sessions that are read: the last ones. ln σ drifts by a standard deviation of 0.04 from one to the next (study of
/// progression, 4.1), so that what lies a hundred sessions back is off by 0.40 and more: no better than the prior, whose
/// standard deviation is .35 to .6.
pub const SESSIONS: usize = 100;

/// Where attempts were made, or are to be made, as seen from the player's own table and usual shots.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Elsewhere<'a> {
    /// The table by its name, if it is not the player's own.
    pub table: Option<&'a str>,
    /// The family of shots by its name, if it is not the one that σ is that of.
    pub family: Option<&'a str>,
}

impl Elsewhere<'_> {
    /// By how much ln σ may be off there.
    fn offset(self) -> Option<Offset> {
        Offset::of(self.table, self.family)
    }
}

/// Attempts at one rung.
#[derive(Clone, Copy, Debug)]
pub struct Attempts<'a> {
    /// What outcomes there say of a stroke.
    pub surface: &'a Surface,
    /// Where.
    pub at: Elsewhere<'a>,
    /// What was seen.
    pub tally: Tally,
}

/// One visit.
#[derive(Clone, Debug, Default)]
pub struct Session<'a> {
    /// Its day, counted from anywhere.
    pub day: f64,
    /// Attempts, in any order; a rung may come several times.
    pub attempts: Vec<Attempts<'a>>,
}

impl Session<'_> {
    /// Whether there is an attempt in it.
    fn tried(&self) -> bool {
        self.attempts.iter().any(|attempts| attempts.tally.tried() > 0)
    }
}

/// The stroke as far as it is known.
#[derive(Clone, Debug)]
pub struct Form {
    posterior: Posterior,
    /// Day of the last session.
    day: Option<f64>,
}

impl Form {
    /// After the last [`SESSIONS`] of `sessions`, oldest first.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] with the field of the prior that is wrong, or for days that go backwards.
    pub fn read(prior: Prior, sessions: &[Session<'_>]) -> Result<Self, StrokeError> {
        let mut form = Self { posterior: Posterior::new(prior)?, day: None };
        let shot: Vec<&Session<'_>> = sessions.iter().filter(|session| session.tried()).collect();
        let read = &shot[shot.len().saturating_sub(SESSIONS)..];
        for (number, session) in (1..).zip(read) {
            form.take(session, number == read.len())?;
        }
        Ok(form)
    }

    /// Takes in one session more.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] for a day before the last session's.
    pub fn session(&mut self, session: &Session<'_>) -> Result<(), StrokeError> {
        if session.tried() { self.take(session, true) } else { Ok(()) }
    }

    /// What stands after the session is read only if it `is_last`.
    fn take(&mut self, session: &Session<'_>, is_last: bool) -> Result<(), StrokeError> {
        self.begin(session.day)?;
        let offsets: Vec<Option<Offset>> =
            session.attempts.iter().map(|attempts| attempts.at.offset()).collect();
        let taken = session
            .attempts
            .iter()
            .zip(&offsets)
            .map(|(attempts, offset)| (attempts.surface, &attempts.tally, offset.as_ref()));
        if is_last {
            self.posterior.take_all(taken);
        } else {
            self.posterior.pass(taken);
        }
        Ok(())
    }

    /// Begins a session on `day`, whose attempts come one by one.
    ///
    /// # Errors
    /// As [`Self::session`].
    pub fn begin(&mut self, day: f64) -> Result<(), StrokeError> {
        if let Some(last) = self.day {
            self.posterior.session(day - last)?;
        }
        self.day = Some(day);
        Ok(())
    }

    /// Takes in one attempt of the present session.
    pub fn attempt(&mut self, surface: &Surface, at: Elsewhere<'_>, seen: Seen) {
        self.posterior.attempt(surface, at.offset().as_ref(), seen);
    }

    /// The weights over possible strokes.
    pub fn posterior(&self) -> &Posterior {
        &self.posterior
    }

    /// The stroke in numbers.
    pub fn inferred(&self) -> Inferred {
        self.posterior.inferred()
    }

    /// Where this stroke puts the player on a ladder for the chance `target`; `None` while the ladder is not wholly worked out.
    /// Without attempts there it is a prediction and not a measurement; attempts there replace it.
    pub fn on(&self, worked: &Worked, at: Elsewhere<'_>, target: f64) -> Option<Standing> {
        worked.is_complete().then(|| Standing::of(&self.posterior, worked, at.offset().as_ref(), target))
    }

    /// The rung, from 1, at which one attempt is expected to tell most about the spread of aim (the psi method of Kontsevich &
    /// Tyler 1999 chooses so); `sides` says whether the side of a miss and the cue ball's end will be recorded. `None` while no
    /// surface is worked out.
    pub fn most_telling(&self, worked: &Worked, sides: bool) -> Option<u32> {
        let told = (1..)
            .zip(worked.surfaces())
            .filter_map(|(rung, surface)| Some((rung, self.posterior.information(surface.as_ref()?, sides))));
        told.reduce(|best, one| if one.1 > best.1 { one } else { best }).map(|(rung, _)| rung)
    }
}
