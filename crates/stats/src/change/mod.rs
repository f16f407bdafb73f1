//! Is the change real? Two counts, named beforehand, side by side.
//!
//! The chance that the second rate is the greater under Jeffreys priors, in words with stated thresholds, and Newcombe's
//! interval for the difference; Fisher's exact test as a cross-check. Study of progression, section 2.

mod better;
mod fisher;
mod settle;

use crate::{Count, Interval, Level, StatsError, rate};
pub use better::{chance_greater, chance_greater_under};
pub use fisher::fisher_two_sided;
pub use settle::{MOST_TO_SETTLE, Settle, attempts_to_settle};

/// How the number of tries came about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Collection {
    /// Settled without regard to the results.
    Fixed,
    /// A rule that looked at the results ended it, such as a promotion: the rate flatters.
    StoppedByRule,
}

/// How the two counts were picked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Picked {
    /// Named before the results were seen.
    Beforehand,
    /// Picked after looking: the words promise too much, and whoever shows them must say so.
    AfterLooking,
}

/// A count, and how it came about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sample {
    /// Made and tried.
    pub count: Count,
    /// How it was collected.
    pub collection: Collection,
}

impl Sample {
    /// A count whose number of tries was settled without regard to the results.
    pub const fn fixed(count: Count) -> Self {
        Self { count, collection: Collection::Fixed }
    }
}

/// Which way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// The second rate is the greater.
    Up,
    /// The second rate is the smaller.
    Down,
}

/// A comparison in a word. Thresholds for k comparisons: 1 − 0.10/k, 1 − 0.05/k, 1 − 0.01/k.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Word {
    /// Below all thresholds; it leans this way, or neither.
    NotSettled(Option<Direction>),
    /// 0.90 or more.
    Leaning(Direction),
    /// 0.95 or more.
    Likely(Direction),
    /// 0.99 or more.
    Clear(Direction),
}

impl Word {
    /// The word for a chance that the second rate is the greater, as one of `comparisons` that were opened (at least 1).
    pub fn of(chance_up: f64, comparisons: u32) -> Self {
        let down = 1.0 - chance_up;
        let (chance, direction) =
            if chance_up >= down { (chance_up, Direction::Up) } else { (down, Direction::Down) };
        if chance >= threshold(0.01, comparisons) {
            Self::Clear(direction)
        } else if chance >= threshold(0.05, comparisons) {
            Self::Likely(direction)
        } else if chance >= threshold(0.10, comparisons) {
            Self::Leaning(direction)
        } else {
            Self::NotSettled((chance > 0.5).then_some(direction))
        }
    }

    /// In English.
    pub const fn text(self) -> &'static str {
        match self {
            Self::NotSettled(None) => "not settled",
            Self::NotSettled(Some(Direction::Up)) => "not settled (leans up)",
            Self::NotSettled(Some(Direction::Down)) => "not settled (leans down)",
            Self::Leaning(Direction::Up) => "leaning up",
            Self::Leaning(Direction::Down) => "leaning down",
            Self::Likely(Direction::Up) => "likely up",
            Self::Likely(Direction::Down) => "likely down",
            Self::Clear(Direction::Up) => "clear: up",
            Self::Clear(Direction::Down) => "clear: down",
        }
    }
}

/// 1 − `error`/k: the bar for one of k comparisons (Bonferroni), so that all together err no more often than one would.
/// Fewer than one comparison counts as one.
pub fn threshold(error: f64, comparisons: u32) -> f64 {
    1.0 - error / f64::from(comparisons.max(1))
}

/// Two counts, compared.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comparison {
    /// The earlier or first count.
    pub first: Count,
    /// The later or second count.
    pub second: Count,
    /// Chance that the second rate is the greater.
    pub chance_greater: f64,
    /// Newcombe's 95 % interval of the difference, second less first.
    pub difference: Interval,
    /// Fisher's exact test, two-sided.
    pub fisher: f64,
    /// In a word.
    pub word: Word,
    /// How many comparisons the thresholds were tightened for.
    pub comparisons: u32,
    /// The bar for "likely" at that number.
    pub bar: f64,
    /// How they were picked.
    pub picked: Picked,
}

/// Compares two samples as one of `comparisons` that the reader has opened.
///
/// ```
/// use longrail_stats::Count;
/// use longrail_stats::change::{Picked, Sample, compare};
/// let before = Sample::fixed(Count::new(30, 50)?);
/// let after = Sample::fixed(Count::new(36, 50)?);
/// let result = compare(before, after, 1, Picked::Beforehand)?;
/// // "Encouraging, not settled" (study of progression, section 2): 89.7 % is below the bar of 90 %.
/// assert_eq!(result.word.text(), "not settled (leans up)");
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
///
/// # Errors
/// If one of the samples was stopped by a rule.
pub fn compare(
    first: Sample,
    second: Sample,
    comparisons: u32,
    picked: Picked,
) -> Result<Comparison, StatsError> {
    for Sample { count, collection } in [first, second] {
        if collection == Collection::StoppedByRule {
            return Err(StatsError::StoppedByRule { made: count.made(), tried: count.tried() });
        }
    }
    let (first, second) = (first.count, second.count);
    let chance_greater = chance_greater(first, second);
    Ok(Comparison {
        first,
        second,
        chance_greater,
        difference: newcombe(first, second, Level::P95),
        fisher: fisher_two_sided(first, second),
        word: Word::of(chance_greater, comparisons),
        comparisons: comparisons.max(1),
        bar: threshold(0.05, comparisons),
        picked,
    })
}

/// Newcombe's interval for the difference of the rates, second less first: method 10 of "Interval estimation for the
/// difference between independent proportions", Statistics in Medicine 17 (1998), from two Wilson intervals.
/// −1 to 1 if one of the counts is 0 of 0.
pub fn newcombe(first: Count, second: Count, level: Level) -> Interval {
    let (Some(p1), Some(p2)) = (first.rate(), second.rate()) else {
        return Interval { low: -1.0, high: 1.0 };
    };
    let (w1, w2) = (rate::wilson(first, level), rate::wilson(second, level));
    let root = |x: f64, y: f64| (x * x + y * y).sqrt();
    let difference = p2 - p1;
    Interval {
        low: difference - root(p2 - w2.low, w1.high - p1),
        high: difference + root(w2.high - p2, p1 - w1.low),
    }
}
