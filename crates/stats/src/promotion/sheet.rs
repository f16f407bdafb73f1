//! The sheet: up to 100 attempts at one thing, judged after every entry.
//!
//! Study of progression, sections 1.1, 1.3, 1.4 and 1.6. A sheet keeps counts only; it is a few machine words, copied
//! freely, and an attempt costs a comparison with a table.

use super::{Rules, SHEET};
use crate::change::Collection;
use crate::{Count, StatsError};

/// Most warm-up attempts that are left out in a visit (study of progression, section 1.4: declared beforehand).
pub const WARM_UP: u32 = 10;

/// Days without an attempt after which a new sheet begins (section 1.3).
pub const LAY_OFF_DAYS: f64 = 28.0;

/// Where a sheet crossed a boundary. It is kept: later misses do not take a promotion away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Crossing {
    /// Made when it was crossed.
    pub made: u32,
    /// Tried when it was crossed. The rate at this moment flatters; never show it as a level.
    pub tried: u32,
}

/// One sheet.
///
/// ```
/// use longrail_stats::Count;
/// use longrail_stats::promotion::{Rules, Sheet, Strictness, Verdict};
/// let rules = Rules::new(0.5, Strictness::Usual)?;
/// let mut sheet = Sheet::default();
/// for _ in 0..6 {
///     sheet.attempt(&rules, 1, true)?;
/// }
/// let advice = sheet.advice(&rules);
/// assert_eq!(advice.verdict, Verdict::Undecided);
/// assert_eq!(advice.makes_to_promote, Some(1));
/// // The seventh of seven promotes, and misses afterwards do not undo it.
/// sheet.attempt(&rules, 1, true)?;
/// sheet.enter(&rules, 2, Count::new(0, 20)?)?;
/// assert!(matches!(sheet.advice(&rules).verdict, Verdict::Promote(at) if at.tried == 7));
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sheet {
    made: u32,
    missed: u32,
    left_out: u32,
    /// The visit of the last entry or declaration, and how many visits have counted attempts.
    visit: Option<u32>,
    last_counted: Option<u32>,
    visits: u32,
    warm_up_declared: u32,
    warm_up_left: u32,
    promoted: Option<Crossing>,
    stepped_back: Option<Crossing>,
}

/// What follows from a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The boundary of promotion was crossed here.
    Promote(Crossing),
    /// The boundary of the step back was crossed here. Advice: staying is as good an answer, a rest first a better one.
    StepBack(Crossing),
    /// The sheet ended without a decision, as is usual between 40 and 55 % for a target of 50 %: stay, new sheet.
    Stay,
    /// The sheet is open, and neither boundary was crossed.
    Undecided,
}

/// A verdict with the numbers it rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Advice {
    /// What follows.
    pub verdict: Verdict,
    /// Counted attempts so far.
    pub count: Count,
    /// Warm-up attempts left out.
    pub left_out: u32,
    /// Visits with counted attempts.
    pub visits: u32,
    /// The target rate.
    pub target: f64,
    /// ln E for promotion now, and the threshold it is held against.
    pub promote: Weighed,
    /// ln E for a step back now, and its threshold; nothing where the target leaves no room for one.
    pub step_back: Option<Weighed>,
    /// How many makes in a row would promote, if the sheet has room for them.
    pub makes_to_promote: Option<u32>,
    /// How many misses in a row would bring the advice to step back, if the sheet has room for them.
    pub misses_to_step_back: Option<u32>,
    /// Attempts until the sheet ends.
    pub attempts_left: u32,
    /// The two-visit condition is on and not yet met: no count of makes in this visit promotes.
    pub waits_for_second_visit: bool,
}

/// Evidence beside the threshold it is held against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weighed {
    /// ln E.
    pub ln_e: f64,
    /// ln(1/α).
    pub ln_threshold: f64,
}

/// Why the next attempt belongs on a new sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NewSheet {
    /// It promoted; what comes next is another task.
    Promoted,
    /// The player followed the advice to step back.
    SteppedBack,
    /// It reached 100 attempts.
    Full,
    /// The conditions are no longer the same (for example other equipment).
    ConditionsChanged,
    /// Nothing was tried for 28 days or more.
    LayOff {
        /// How long.
        days: f64,
    },
}

/// What happened since the last attempt of a sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Since {
    /// Days since that attempt.
    pub days: f64,
    /// Are the conditions of another class?
    pub conditions_changed: bool,
    /// Was the advice to step back followed?
    pub step_back_taken: bool,
}

impl Sheet {
    /// Announces that the next `attempts` of this visit are warm-up and will be left out. Only what is announced before
    /// its first shot is left out: what is left out after seeing it makes luck into evidence.
    ///
    /// # Errors
    /// If more than [`WARM_UP`] would be left out in one visit, or the sheet has ended.
    pub fn declare_warm_up(&mut self, visit: u32, attempts: u32) -> Result<(), StatsError> {
        self.open()?;
        let before =
            if self.visit == Some(visit) { (self.warm_up_declared, self.warm_up_left) } else { (0, 0) };
        let declared = before.0.saturating_add(attempts);
        if declared > WARM_UP {
            return Err(StatsError::WarmUpTooLong { given: declared, most: WARM_UP });
        }
        self.visit = Some(visit);
        (self.warm_up_declared, self.warm_up_left) = (declared, before.1 + attempts);
        Ok(())
    }

    /// One attempt in the given visit (any number that tells visits apart).
    ///
    /// # Errors
    /// If the sheet has ended.
    pub fn attempt(&mut self, rules: &Rules, visit: u32, made: bool) -> Result<(), StatsError> {
        self.open()?;
        self.come(visit);
        if self.warm_up_left > 0 {
            self.warm_up_left -= 1;
            self.left_out += 1;
            return Ok(());
        }
        self.made += u32::from(made);
        self.missed += u32::from(!made);
        self.look(rules, visit);
        Ok(())
    }

    /// Several attempts entered at once: one look, however many they are. An empty batch changes nothing.
    ///
    /// # Errors
    /// If the sheet has ended, or only a part of the batch is warm-up. The sheet is then unchanged.
    pub fn enter(&mut self, rules: &Rules, visit: u32, batch: Count) -> Result<(), StatsError> {
        self.open()?;
        if batch.tried() == 0 {
            return Ok(());
        }
        let left = if self.visit == Some(visit) { self.warm_up_left } else { 0 };
        if left > 0 && batch.tried() > left {
            return Err(StatsError::WarmUpSplit { batch: batch.tried(), left });
        }
        self.come(visit);
        if left > 0 {
            self.warm_up_left -= batch.tried();
            self.left_out += batch.tried();
            return Ok(());
        }
        // A sheet below 100 and a batch of at most ten million fit.
        self.made += batch.made();
        self.missed += batch.missed();
        self.look(rules, visit);
        Ok(())
    }

    fn open(&self) -> Result<(), StatsError> {
        if self.ended() { Err(StatsError::SheetEnded { tried: self.tried() }) } else { Ok(()) }
    }

    /// A warm-up is over with its visit.
    fn come(&mut self, visit: u32) {
        if self.visit != Some(visit) {
            self.visit = Some(visit);
            (self.warm_up_declared, self.warm_up_left) = (0, 0);
        }
    }

    fn look(&mut self, rules: &Rules, visit: u32) {
        if self.last_counted != Some(visit) {
            self.last_counted = Some(visit);
            self.visits += 1;
        }
        let here = Crossing { made: self.made, tried: self.tried() };
        let visits_suffice = !rules.two_visits() || self.visits >= 2;
        if self.promoted.is_none() && visits_suffice && rules.promote().reached(self.made, self.missed) {
            self.promoted = Some(here);
        }
        if self.stepped_back.is_none()
            && rules.step_back().is_some_and(|boundary| boundary.reached(self.made, self.missed))
        {
            self.stepped_back = Some(here);
        }
    }

    /// Counted attempts.
    pub const fn tried(&self) -> u32 {
        self.made + self.missed
    }

    /// Counted makes.
    pub const fn made(&self) -> u32 {
        self.made
    }

    /// Has it reached 100 attempts?
    pub const fn ended(&self) -> bool {
        self.tried() >= SHEET
    }

    /// How its count came about: once a boundary was crossed, by a rule that looked at the results. Such a rate flatters
    /// (or runs down), and [`crate::change::compare`] refuses it.
    pub const fn collection(&self) -> Collection {
        if self.promoted.is_some() || self.stepped_back.is_some() {
            Collection::StoppedByRule
        } else {
            Collection::Fixed
        }
    }

    /// Where it promoted, if it did.
    pub const fn promoted(&self) -> Option<Crossing> {
        self.promoted
    }

    /// Where it brought the advice to step back, if it did; it may still promote after that.
    pub const fn stepped_back(&self) -> Option<Crossing> {
        self.stepped_back
    }

    /// What follows, with the numbers it rests on.
    pub fn advice(&self, rules: &Rules) -> Advice {
        let verdict = match (self.promoted, self.stepped_back) {
            (Some(at), _) => Verdict::Promote(at),
            (None, Some(at)) => Verdict::StepBack(at),
            (None, None) if self.ended() => Verdict::Stay,
            (None, None) => Verdict::Undecided,
        };
        let weigh = |boundary: &super::Boundary| Weighed {
            ln_e: boundary.evidence().ln_e(self.made, self.missed),
            ln_threshold: boundary.alpha().ln_threshold(),
        };
        let left = SHEET.saturating_sub(self.tried());
        let run = |reached: &dyn Fn(u32) -> bool| (1..=left).find(|&k| reached(k));
        let up = |k| rules.promote().reached(self.made + k, self.missed);
        let down = |k| rules.step_back().is_some_and(|b| b.reached(self.made, self.missed + k));
        Advice {
            verdict,
            count: Count::of_parts(self.made, self.missed),
            left_out: self.left_out,
            visits: self.visits,
            target: rules.target(),
            promote: weigh(rules.promote()),
            step_back: rules.step_back().map(weigh),
            makes_to_promote: if self.promoted.is_some() { None } else { run(&up) },
            misses_to_step_back: if self.promoted.or(self.stepped_back).is_some() {
                None
            } else {
                run(&down)
            },
            attempts_left: left,
            waits_for_second_visit: rules.two_visits() && self.visits < 2 && self.promoted.is_none(),
        }
    }

    /// Does the next attempt belong on a new sheet, and why? The first reason that applies.
    pub fn needs_new(&self, since: Since) -> Option<NewSheet> {
        if self.promoted.is_some() {
            Some(NewSheet::Promoted)
        } else if since.step_back_taken {
            Some(NewSheet::SteppedBack)
        } else if self.ended() {
            Some(NewSheet::Full)
        } else if since.conditions_changed {
            Some(NewSheet::ConditionsChanged)
        } else if since.days >= LAY_OFF_DAYS {
            Some(NewSheet::LayOff { days: since.days })
        } else {
            None
        }
    }
}
