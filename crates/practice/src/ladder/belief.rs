//! What is believed of a player on one ladder: some strokes that it may be, and how likely each is.
//!
//! A short form of the inference in `longrail_stroke::infer`, for the first minutes of a newcomer and for choosing the rung
//! that tells most: a handful of strokes, made and missed, one ladder.

use longrail_math::fx;
use longrail_stats::{Count, StatsError};

/// Strokes with weights, and the chance of each on every rung.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    /// Weights, their sum 1.
    weights: Vec<f64>,
    /// For each stroke its chances on the rungs, easiest first.
    chances: Vec<Vec<f64>>,
}

impl Belief {
    /// Strokes with prior `weights` (0 or more, not all 0) and the chances of each on every rung.
    ///
    /// # Errors
    /// [`StatsError`] if numbers are out of range, or the lists do not go together.
    pub fn new(weights: &[f64], chances: Vec<Vec<f64>>) -> Result<Self, StatsError> {
        let wrong = |name, given, needed| Err(StatsError::WrongLength { name, given, needed });
        if weights.is_empty() || weights.len() != chances.len() {
            return wrong("list of weights", weights.len(), chances.len().max(1));
        }
        let rungs = chances.first().map_or(0, Vec::len).max(1);
        if let Some(row) = chances.iter().find(|row| row.len() != rungs) {
            return wrong("list of chances", row.len(), rungs);
        }
        let sum: f64 = weights.iter().sum();
        let fits = weights.iter().all(|weight| *weight >= 0.0) && sum > 0.0 && sum.is_finite();
        if !fits {
            let (name, allowed) = ("sum of the weights", "greater than 0, and no weight below it");
            return Err(StatsError::OutOfRange { name, value: sum, allowed });
        }
        if let Some(&value) = chances.iter().flatten().find(|chance| !(0.0..=1.0).contains(*chance)) {
            return Err(StatsError::OutOfRange { name: "chance", value, allowed: "from 0 to 1" });
        }
        Ok(Self { weights: weights.iter().map(|weight| weight / sum).collect(), chances })
    }

    /// Takes in attempts at a rung, from 1. Attempts that none of the strokes could make change nothing.
    ///
    /// # Errors
    /// [`StatsError::OutOfRange`] for a rung that the ladder does not have.
    pub fn observe(&mut self, rung: u32, count: Count) -> Result<(), StatsError> {
        let column = usize::try_from(rung).ok().and_then(|rung| rung.checked_sub(1));
        let inside = column.filter(|column| self.chances.iter().all(|row| *column < row.len()));
        let Some(column) = inside else {
            let (name, allowed) = ("rung", "one of the ladder's, from 1");
            return Err(StatsError::OutOfRange { name, value: f64::from(rung), allowed });
        };
        let ln = |chance: f64, times: u32| if times == 0 { 0.0 } else { f64::from(times) * fx::ln(chance) };
        let likely: Vec<f64> = self
            .chances
            .iter()
            .map(|row| ln(row[column], count.made()) + ln(1.0 - row[column], count.missed()))
            .collect();
        let top = likely.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if top == f64::NEG_INFINITY {
            return Ok(());
        }
        let after: Vec<f64> =
            self.weights.iter().zip(&likely).map(|(weight, ln)| weight * fx::exp(ln - top)).collect();
        let sum: f64 = after.iter().sum();
        if sum > 0.0 {
            self.weights = after.iter().map(|weight| weight / sum).collect();
        }
        Ok(())
    }

    /// How likely each stroke is.
    pub fn weights(&self) -> &[f64] {
        &self.weights
    }

    /// The chance on every rung, over all strokes.
    pub fn predicted(&self) -> Vec<f64> {
        let rungs = self.chances.first().map_or(0, Vec::len);
        (0..rungs).map(|rung| self.mean(rung, |chance| chance)).collect()
    }

    /// The rung, from 1, at which one attempt tells most about the stroke, and how much in nats: what is open about the
    /// outcome less what would be open if the stroke were known (Lindley 1956; the Psi method of Kontsevich & Tyler 1999
    /// chooses so).
    pub fn most_telling(&self) -> (u32, f64) {
        let open = |chance: f64| {
            let part = |p: f64| if p > 0.0 { -p * fx::ln(p) } else { 0.0 };
            part(chance) + part(1.0 - chance)
        };
        let told = self
            .predicted()
            .into_iter()
            .enumerate()
            .map(|(rung, chance)| open(chance) - self.mean(rung, open));
        (1..).zip(told).reduce(|best, one| if one.1 > best.1 { one } else { best }).unwrap_or((1, 0.0))
    }

    fn mean(&self, rung: usize, of: impl Fn(f64) -> f64) -> f64 {
        self.weights.iter().zip(&self.chances).map(|(weight, row)| weight * of(row[rung])).sum()
    }
}
