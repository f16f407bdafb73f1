//! How many more attempts would settle a comparison.

use super::better::chance_for_expected;
use crate::{Count, StatsError, error::check};

/// Beyond this many more attempts the answer is "not within reach".
pub const MOST_TO_SETTLE: u32 = 100_000;

/// More attempts until the chance passes the bar, if both rates go on as seen. An expectation and no promise: the rates
/// seen are themselves uncertain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settle {
    /// If only the second count grows; nothing if that never settles it within [`MOST_TO_SETTLE`].
    pub second_alone: Option<u32>,
    /// If both counts grow by as many each.
    pub both: Option<u32>,
}

/// How many more attempts would bring the chance of a difference in the direction seen to `bar` (0.95 for "likely";
/// see [`threshold`](super::threshold)).
///
/// Expected counts stand in for the attempts to come: m more at a rate p̂ add m p̂ makes, whole or not.
///
/// ```
/// use longrail_stats::{Count, change};
/// let settle = change::attempts_to_settle(Count::new(30, 50)?, Count::new(36, 50)?, 0.95)?;
/// assert!(settle.both.is_some_and(|more| more > 10 && more < 100));
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
///
/// # Errors
/// If the bar is not from 0.5 to 0.9999.
pub fn attempts_to_settle(first: Count, second: Count, bar: f64) -> Result<Settle, StatsError> {
    check("bar", bar, "from 0.5 to 0.9999", |v| (0.5..=0.9999).contains(&v))?;
    let (Some(p1), Some(p2)) = (first.rate(), second.rate()) else {
        return Ok(Settle { second_alone: None, both: None });
    };
    if p1 == p2 {
        return Ok(Settle { second_alone: None, both: None });
    }
    let chance = |more_first: u32, more_second: u32| {
        let grown = |count: Count, p: f64, more: u32| {
            let more = f64::from(more);
            [f64::from(count.made()) + more * p, f64::from(count.missed()) + more * (1.0 - p)]
        };
        let up = chance_for_expected(grown(first, p1, more_first), grown(second, p2, more_second));
        if p2 > p1 { up } else { 1.0 - up }
    };
    Ok(Settle {
        second_alone: fewest(|more| chance(0, more) >= bar),
        both: fewest(|more| chance(more, more) >= bar),
    })
}

/// The smallest number for which the growing condition holds.
fn fewest(holds: impl Fn(u32) -> bool) -> Option<u32> {
    if holds(0) {
        return Some(0);
    }
    let mut high = 1;
    while !holds(high) {
        if high >= MOST_TO_SETTLE {
            return None;
        }
        high = (2 * high).min(MOST_TO_SETTLE);
    }
    let mut low = high / 2;
    while high - low > 1 {
        let middle = low + (high - low) / 2;
        if holds(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    Some(high)
}
