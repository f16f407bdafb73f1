//! Like with like: which records may be held against each other.

use longrail_stats::StatsError;
use longrail_stats::change::{self, Comparison, Picked, Sample};
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::card::Key;
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
    #[error("not like with like, so not compared: {}; carry one over by the stroke instead", why.join("; "))]
    NotAlike {
        /// What differs, in words.
        why: Vec<String>,
    },
    /// The counts themselves.
    #[error(transparent)]
    Stats(#[from] StatsError),
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

    /// What stands against comparing, in words, lengths in inches to whom `imperial` says; nothing if like is compared with like.
    pub fn differences(&self, other: &Self, imperial: bool) -> Vec<String> {
        let mut found = Vec::new();
        if self.drill != other.drill {
            found.push(format!("drills {} and {}", self.drill, other.drill));
        } else if self.version != other.version {
            found.push(format!("versions {} and {} of {}", self.version, other.version, self.drill));
        }
        if self.rung != other.rung {
            found.push(format!("rungs {} and {}", self.rung, other.rung));
        }
        if self.setup != other.setup {
            found.push("set up at different corners".to_owned());
        }
        if self.constraints != other.constraints {
            found.push("different constraints".to_owned());
        }
        found.extend(self.table.differences(&other.table, imperial));
        found
    }
}

/// Compares two records as one of `comparisons` that the reader has opened; `picked` says whether they were named before
/// anybody looked. What stands against it is told in inches to whom `imperial` says.
///
/// # Errors
/// [`CompareError::NotAlike`] with all that differs; [`CompareError::Stats`] if one was collected until a rule stopped it.
pub fn compare(
    first: &Recorded,
    second: &Recorded,
    comparisons: u32,
    picked: Picked,
    imperial: bool,
) -> Result<Comparison, CompareError> {
    let why = first.label.differences(&second.label, imperial);
    if !why.is_empty() {
        return Err(CompareError::NotAlike { why });
    }
    Ok(change::compare(first.sample, second.sample, comparisons, picked)?)
}
