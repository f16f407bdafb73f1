//! Intervals and how much they are meant to hold.

use crate::StatsError;
use crate::error::open_chance;

/// A range of values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// Does it hold this value? Ends included.
    pub fn contains(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// From end to end.
    pub fn width(self) -> f64 {
        self.high - self.low
    }
}

/// What share of intervals is meant to hold the truth: more than 0, less than 1.
///
/// ```
/// use longrail_stats::Level;
/// assert_eq!(Level::new(0.95)?, Level::P95);
/// assert!(Level::new(1.0).is_err());
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Level(f64);

impl Level {
    /// 80 %: what screens show.
    pub const P80: Self = Self(0.80);
    /// 95 %: what comparisons show.
    pub const P95: Self = Self(0.95);

    /// A share of 1 is no level: only everything holds the truth always.
    ///
    /// # Errors
    /// If the share is not greater than 0 and less than 1.
    pub fn new(level: f64) -> Result<Self, StatsError> {
        open_chance("level", level).map(Self)
    }

    /// The share itself.
    pub const fn share(self) -> f64 {
        self.0
    }

    /// What is left outside on one side, if both sides get the same.
    pub(crate) fn tail(self) -> f64 {
        0.5 * (1.0 - self.0)
    }
}
