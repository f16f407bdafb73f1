//! The constraints of a set: which there are, and the one text that names them in a record.

use std::cmp::Ordering;
use std::fmt;
use std::str::FromStr;

use longrail_math::order;
use longrail_stroke::constraint::{Constraint, ConstraintError, EXAMPLES};
use longrail_stroke::{StrokeError, Task};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::drill::Setup;
use crate::measure::constraint_words;

/// Between two constraints in the text.
const BETWEEN: &str = "; ";

/// Most blockers that fit a sensible layout.
const MOST_BLOCKERS: usize = 6;

/// Why constraints are refused.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum ConstraintsError {
    /// One by itself, as text.
    #[error(transparent)]
    Text(#[from] ConstraintError),
    /// A number out of range.
    #[error(transparent)]
    Range(#[from] StrokeError),
    /// Two of one kind, which contradict each other or say the same twice over.
    #[error("\"{first}\" and \"{second}\" are two of one kind; keep one of them")]
    Twice {
        /// One.
        first: Constraint,
        /// The other.
        second: Constraint,
    },
    /// Too many blockers.
    #[error("{count} blockers; there can be at most {MOST_BLOCKERS}, for instance \"{}\"", EXAMPLES[5])]
    Blockers {
        /// How many.
        count: usize,
    },
}

/// Constraints that hold together, each kind once; blockers several times, at different places.
///
/// As text they are the key of evidence (`event::Task::constraints`): in one order, without repetition, numbers in their
/// shortest form, so that equal sets have equal text. None at all is the empty text.
///
/// ```
/// use longrail_practice::constraints::Constraints;
/// let constraints: Constraints = "streak 3; pocket 0.90; streak 3".parse().unwrap();
/// assert_eq!(constraints.to_string(), "pocket 0.9; streak 3");
/// assert_eq!("".parse(), Ok(Constraints::default()));
/// ```
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Constraints(Vec<Constraint>);

impl Constraints {
    /// These, in any order; what is there twice counts once.
    ///
    /// # Errors
    /// [`ConstraintsError`] for a number out of range, two different ones of a kind, or too many blockers.
    pub fn new(constraints: impl IntoIterator<Item = Constraint>) -> Result<Self, ConstraintsError> {
        let mut all: Vec<Constraint> = constraints.into_iter().collect();
        for one in &all {
            one.check()?;
        }
        order::sort_by(&mut all, order);
        all.dedup();
        let blocks = |one: &Constraint| matches!(one, Constraint::Blocker { .. });
        let twice = |pair: &&[Constraint]| place(&pair[0]).0 == place(&pair[1]).0 && !blocks(&pair[0]);
        if let Some([first, second]) = all.windows(2).find(twice) {
            return Err(ConstraintsError::Twice { first: first.clone(), second: second.clone() });
        }
        let count = all.iter().filter(|one| blocks(one)).count();
        if count > MOST_BLOCKERS {
            return Err(ConstraintsError::Blockers { count });
        }
        Ok(Self(all))
    }

    /// All of them, in the order of the text.
    pub fn all(&self) -> &[Constraint] {
        &self.0
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// In words for people: "pocket 90 % as wide, no side"; empty for none.
    pub fn words(&self, imperial: bool) -> String {
        self.0.iter().map(|one| constraint_words(one, imperial)).collect::<Vec<_>>().join(", ")
    }

    /// The task under all of them. A streak changes no task: it is priced by [`Self::chance`].
    ///
    /// # Errors
    /// As [`Constraint::on`].
    pub fn on(&self, task: Task) -> Result<Task, StrokeError> {
        self.0.iter().try_fold(task, |task, constraint| constraint.on(&task))
    }

    /// What is asked for at a corner: blockers go where the layout goes.
    #[must_use]
    pub fn at(&self, setup: Setup) -> Self {
        let mut all: Vec<_> = self.0.iter().map(|constraint| setup.constraint(constraint)).collect();
        order::sort_by(&mut all, order);
        Self(all)
    }

    /// How many are to be made in a row; 1 without a streak.
    pub fn in_a_row(&self) -> u32 {
        let streak = |one: &Constraint| if let Constraint::Streak(count) = one { Some(*count) } else { None };
        self.0.iter().find_map(streak).unwrap_or(1)
    }

    /// What the chance of one attempt becomes: pᵏ for k in a row, as if attempts did not depend on each other.
    pub fn chance(&self, made: f64) -> f64 {
        self.0.iter().fold(made, |chance, constraint| constraint.chance(chance))
    }
}

/// Number of the kind, and what tells two of a kind apart. Numbers of kinds are part of the format and never change.
fn place(constraint: &Constraint) -> (u8, f64, f64) {
    match *constraint {
        Constraint::NarrowerPocket(share) => (0, share, 0.0),
        Constraint::SmallerZone(share) => (1, share, 0.0),
        Constraint::Speed { softest_mps, hardest_mps } => (2, softest_mps, hardest_mps),
        Constraint::NoSide => (3, 0.0, 0.0),
        // A zero with a sign is the same place.
        Constraint::Blocker { along, across } => (4, along + 0.0, across + 0.0),
        Constraint::Streak(count) => (5, f64::from(count), 0.0),
    }
}

fn order(a: &Constraint, b: &Constraint) -> Ordering {
    let (a, b) = (place(a), place(b));
    a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2))
}

impl fmt::Display for Constraints {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (k, constraint) in self.0.iter().enumerate() {
            write!(f, "{}{constraint}", if k > 0 { BETWEEN } else { "" })?;
        }
        Ok(())
    }
}

impl FromStr for Constraints {
    type Err = ConstraintsError;

    fn from_str(text: &str) -> Result<Self, ConstraintsError> {
        if text.trim().is_empty() {
            return Ok(Self::default());
        }
        let constraints =
            text.split(BETWEEN.trim()).map(str::parse).collect::<Result<Vec<Constraint>, _>>()?;
        Self::new(constraints)
    }
}

impl TryFrom<String> for Constraints {
    type Error = ConstraintsError;

    fn try_from(text: String) -> Result<Self, ConstraintsError> {
        text.parse()
    }
}

impl From<Constraints> for String {
    fn from(constraints: Constraints) -> Self {
        constraints.to_string()
    }
}
