//! Counting: whole numbers only, so that sums do not depend on their order.

use std::collections::BTreeMap;

/// How often each whole number came up in one column of a scenario.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counts(BTreeMap<i64, u64>);

/// A value with the standard error of its simulation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The value; nothing where there is none (no run, or a median beyond the horizon).
    pub value: Option<f64>,
    /// Standard error of the simulation; 0 where the value is nothing.
    pub error: f64,
    /// Runs behind it.
    pub runs: u64,
}

impl Counts {
    /// One more `value`.
    pub fn add(&mut self, value: i64) {
        *self.0.entry(value).or_default() += 1;
    }

    /// How many values.
    pub fn runs(&self) -> u64 {
        self.0.values().sum()
    }

    /// Adds the counts of `other`.
    pub fn merge(&mut self, other: &Self) {
        for (&value, &count) in &other.0 {
            *self.0.entry(value).or_default() += count;
        }
    }

    /// Share of values that are at most `limit`. Its error is that of (hits + ½)/(runs + 1), so that no hit at all is
    /// not taken for certainty.
    pub fn share_up_to(&self, limit: i64) -> Estimate {
        let hits: u64 = self.0.range(..=limit).map(|(_, count)| count).sum();
        share(hits, self.runs())
    }

    /// Share of values that are 1: for columns of yes (1) and no (0).
    pub fn share(&self) -> Estimate {
        self.share_of(1)
    }

    /// Share of values that are `value`.
    pub fn share_of(&self, value: i64) -> Estimate {
        share(self.0.get(&value).copied().unwrap_or(0), self.runs())
    }

    /// Mean of the values over `unit`, with the error of a mean of independent runs.
    pub fn mean(&self, unit: f64) -> Estimate {
        let runs = self.runs();
        let n = wide(runs);
        if runs == 0 {
            return Estimate { value: None, error: 0.0, runs };
        }
        let moment = |f: &dyn Fn(f64) -> f64| {
            // Values are below 2⁵³ but for the mark of "never", which no mean is taken of.
            #[allow(clippy::cast_precision_loss)]
            let sum: f64 = self.0.iter().map(|(&v, &count)| f(v as f64 / unit) * wide(count)).sum();
            sum
        };
        let mean = moment(&|v| v) / n;
        let variance = moment(&|v| (v - mean) * (v - mean)) / (n - 1.0).max(1.0);
        Estimate { value: Some(mean), error: (variance / n).sqrt(), runs }
    }

    /// The smallest value with at least the share `q` of all values at or below it.
    pub fn quantile(&self, q: f64) -> Option<i64> {
        let goal = q.clamp(0.0, 1.0) * wide(self.runs());
        let mut below = 0;
        for (&value, &count) in &self.0 {
            below += count;
            if wide(below) >= goal {
                return Some(value);
            }
        }
        None
    }

    /// A quantile over `unit`, with the error of half the distance between its neighbours one standard error of a share
    /// to either side.
    pub fn quantile_of(&self, q: f64, unit: f64) -> Estimate {
        let runs = self.runs();
        let step = (q * (1.0 - q) / wide(runs.max(1))).sqrt();
        // Below 2⁵³.
        #[allow(clippy::cast_precision_loss)]
        let at = |q: f64| self.quantile(q).map(|v| v as f64 / unit);
        let error = at(q + step).zip(at(q - step)).map_or(0.0, |(high, low)| 0.5 * (high - low));
        Estimate { value: at(q), error, runs }
    }

    /// The median, nothing if it lies above `horizon`. Its error is half the distance between the quantiles one standard
    /// error of a share (½/√runs) to either side.
    pub fn median(&self, horizon: i64) -> Estimate {
        let runs = self.runs();
        let inside = |q: f64| self.quantile(q).filter(|&v| v <= horizon);
        let step = 0.5 / wide(runs.max(1)).sqrt();
        // Attempts and rungs: far below 2⁵³.
        #[allow(clippy::cast_precision_loss)]
        let at = |v: i64| v as f64;
        match (inside(0.5), inside(0.5 - step), inside(0.5 + step)) {
            (Some(middle), Some(low), Some(high)) => {
                Estimate { value: Some(at(middle)), error: 0.5 * (at(high) - at(low)), runs }
            }
            (Some(middle), ..) => Estimate { value: Some(at(middle)), error: f64::INFINITY, runs },
            (None, ..) => Estimate { value: None, error: 0.0, runs },
        }
    }
}

/// `hits` of `runs` with the error of (hits + ½)/(runs + 1).
fn share(hits: u64, runs: u64) -> Estimate {
    if runs == 0 {
        return Estimate { value: None, error: 0.0, runs };
    }
    let (hits, n) = (wide(hits), wide(runs));
    let p = (hits + 0.5) / (n + 1.0);
    Estimate { value: Some(hits / n), error: (p * (1.0 - p) / n).sqrt(), runs }
}

/// Counts are far below 2⁵³.
#[allow(clippy::cast_precision_loss)]
pub(crate) fn wide(count: u64) -> f64 {
    count as f64
}

/// The columns of one scenario.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally(Vec<Counts>);

impl Tally {
    /// One more `value` in a column.
    pub fn add(&mut self, column: usize, value: i64) {
        if self.0.len() <= column {
            self.0.resize(column + 1, Counts::default());
        }
        if let Some(counts) = self.0.get_mut(column) {
            counts.add(value);
        }
    }

    /// Adds the columns of `other`.
    pub fn merge(&mut self, other: &Self) {
        if self.0.len() < other.0.len() {
            self.0.resize(other.0.len(), Counts::default());
        }
        for (mine, theirs) in self.0.iter_mut().zip(&other.0) {
            mine.merge(theirs);
        }
    }

    /// A column; empty if nothing was ever written to it.
    pub fn column(&self, column: usize) -> Counts {
        self.0.get(column).cloned().unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::{Counts, Tally};

    fn of(values: &[i64]) -> Counts {
        let mut counts = Counts::default();
        for &value in values {
            counts.add(value);
        }
        counts
    }

    #[test]
    fn mean_median_and_quantiles_are_those_of_the_list() {
        // By hand: mean 4, variance (9+4+1+0+36)/4 = 12.5, error √(12.5/5).
        let counts = of(&[1, 2, 3, 4, 10]);
        let mean = counts.mean(1.0);
        assert_eq!(mean.value, Some(4.0));
        assert!((mean.error - 2.5_f64.sqrt()).abs() < 1e-12);
        assert_eq!(counts.median(100).value, Some(3.0));
        assert_eq!(counts.median(2).value, None);
        assert_eq!(counts.quantile(0.2), Some(1));
        assert_eq!(Counts::default().quantile(0.5), None);
    }

    #[test]
    fn no_hit_in_a_hundred_is_not_certainty() {
        let none = of(&[0; 100]).share();
        assert_eq!(none.value, Some(0.0));
        assert!(none.error > 0.004);
    }

    #[test]
    fn the_order_of_merging_does_not_matter() {
        let part = |column, values: &[i64]| {
            let mut tally = Tally::default();
            for &value in values {
                tally.add(column, value);
            }
            tally
        };
        let parts = [part(0, &[1, 2]), part(2, &[5]), part(0, &[2])];
        let sum = |order: [usize; 3]| {
            let mut whole = Tally::default();
            for i in order {
                whole.merge(&parts[i]);
            }
            whole
        };
        assert_eq!(sum([0, 1, 2]), sum([2, 1, 0]));
        assert_eq!(sum([0, 1, 2]).column(0), of(&[1, 2, 2]));
    }
}
