//! What a sheet is judged by.

use super::{Alpha, Boundary, Evidence, SHEET, step_back_line};
use crate::StatsError;

/// How sure is sure enough.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Strictness {
    /// α 0.10 for promotion, 0.20 for a step back (study of progression, section 0).
    #[default]
    Usual,
    /// α 0.05 and 0.10: for form that clusters by day (section 1.4), or a teacher who wants it.
    Strict,
}

/// The rule of one sheet: its target and boundaries. Made once; a sheet is judged by it without allocation.
#[derive(Clone, Debug, PartialEq)]
pub struct Rules {
    target: f64,
    strictness: Strictness,
    promote: Boundary,
    step_back: Option<Boundary>,
    two_visits: bool,
}

impl Rules {
    /// What has to be said wherever the two-visit condition is switched on.
    pub const TWO_VISITS_NOTE: &str = "The condition of two visits was not studied: it can only make a promotion \
        later, so the promise holds, but nobody has measured how much later or how much it protects.";

    /// The rule for a target rate. A target below 0.11 has no step back.
    ///
    /// # Errors
    /// If the target is not from 0.01 to 0.99.
    pub fn new(target: f64, strictness: Strictness) -> Result<Self, StatsError> {
        let (up, down) = match strictness {
            Strictness::Usual => (0.10, 0.20),
            Strictness::Strict => (0.05, 0.10),
        };
        let promote = Boundary::new(Evidence::above(target)?, Alpha::new(up)?, SHEET)?;
        let line = step_back_line(target);
        let step_back = if line < 0.01 {
            None
        } else {
            Some(Boundary::new(Evidence::below(line)?, Alpha::new(down)?, SHEET)?)
        };
        Ok(Self { target, strictness, promote, step_back, two_visits: false })
    }

    /// The same rule, with promotion only at a look taken in the second visit of the sheet or a later one. Off unless
    /// asked for; see [`Rules::TWO_VISITS_NOTE`].
    #[must_use]
    pub fn with_two_visits(mut self, two_visits: bool) -> Self {
        self.two_visits = two_visits;
        self
    }

    /// The target rate.
    pub const fn target(&self) -> f64 {
        self.target
    }

    /// How strict it is.
    pub const fn strictness(&self) -> Strictness {
        self.strictness
    }

    /// Boundary of promotion.
    pub const fn promote(&self) -> &Boundary {
        &self.promote
    }

    /// Boundary of the step back; nothing where the target leaves no room for one.
    pub const fn step_back(&self) -> Option<&Boundary> {
        self.step_back.as_ref()
    }

    /// Is the two-visit condition on?
    pub const fn two_visits(&self) -> bool {
        self.two_visits
    }
}
