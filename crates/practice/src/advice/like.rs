//! Like with like: which records may be held against each other.

use longrail_stats::StatsError;
use longrail_stats::change::{self, Comparison, Picked, Sample};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::card::{Difference, Key};
use crate::constraints::Constraints;
use crate::drill::{Drill, Setup};

/// Under what attempts were made.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Label {
    /// The drill's id.
    pub drill: String,
    /// The drill's version.
    pub version: u32,
    /// The rung, from 1; a fraction lies between two rungs.
    pub rung: f64,
    /// The corner at which it was set up.
    pub setup: Setup,
    /// What made it harder.
    #[serde(default, skip_serializing_if = "Constraints::is_empty")]
    pub constraints: Constraints,
    /// The table.
    pub table: Key,
}

/// Attempts and what they were made under.
#[derive(Clone, Debug, PartialEq)]
pub struct Recorded {
    /// Under what.
    pub label: Label,
    /// How many, and how their number came about.
    pub sample: Sample,
}

/// Why two records are not compared.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum CompareError {
    /// They are not like with like.
    #[error("{}", not_alike(why, false))]
    NotAlike {
        /// What differs.
        why: Vec<Difference>,
    },
    /// The counts themselves.
    #[error(transparent)]
    Stats(#[from] StatsError),
}

fn not_alike(why: &[Difference], imperial: bool) -> String {
    let why = Difference::all(why, imperial);
    format!("not like with like, so not compared: {why}; carry one over by the stroke instead")
}

impl CompareError {
    /// The message, with lengths in inches to whom `imperial` says.
    pub fn words(&self, imperial: bool) -> String {
        match self {
            Self::NotAlike { why } => not_alike(why, imperial),
            Self::Stats(error) => error.to_string(),
        }
    }
}

impl Label {
    /// A rung of a drill on a table, without constraints.
    pub fn new(drill: &Drill, rung: f64, setup: Setup, table: Key) -> Self {
        Self {
            drill: drill.id.clone(),
            version: drill.version,
            rung,
            setup,
            constraints: Constraints::default(),
            table,
        }
    }

    /// What stands against comparing; nothing if like is compared with like.
    pub fn differences(&self, other: &Self) -> Vec<Difference> {
        let mut words = Vec::new();
        if self.drill != other.drill {
            words.push(format!("drills {} and {}", self.drill, other.drill));
        } else if self.version != other.version {
            words.push(format!("versions {} and {} of {}", self.version, other.version, self.drill));
        }
        if self.rung != other.rung {
            words.push(format!("rungs {} and {}", self.rung, other.rung));
        }
        if self.setup != other.setup {
            words.push("set up at different corners".to_owned());
        }
        if self.constraints != other.constraints {
            words.push("different constraints".to_owned());
        }
        let words = words.into_iter().map(Difference::Words);
        words.chain(self.table.differences(&other.table)).collect()
    }
}

/// Compares two records as one of `comparisons` that the reader has opened; `picked` says whether they were named before
/// anybody looked.
///
/// # Errors
/// [`CompareError::NotAlike`] with all that differs; [`CompareError::Stats`] if one was collected until a rule stopped it.
pub fn compare(
    first: &Recorded,
    second: &Recorded,
    comparisons: u32,
    picked: Picked,
) -> Result<Comparison, CompareError> {
    let why = first.label.differences(&second.label);
    if !why.is_empty() {
        return Err(CompareError::NotAlike { why });
    }
    Ok(change::compare(first.sample, second.sample, comparisons, picked)?)
}
