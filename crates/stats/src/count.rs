//! How many of how many.

use crate::StatsError;

/// A number of tries, and how many of them were made.
///
/// ```
/// use longrail_stats::Count;
/// let count = Count::new(34, 50)?;
/// assert_eq!((count.made(), count.missed(), count.tried()), (34, 16, 50));
/// assert!(Count::new(51, 50).is_err());
/// assert_eq!(Count::new(0, 0)?.rate(), None);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Count {
    made: u32,
    tried: u32,
}

impl Count {
    /// Most tries in one count: ten million, ten times what the accuracy of the intervals was measured for.
    pub const MOST: u32 = 10_000_000;

    /// `made` of `tried`.
    ///
    /// # Errors
    /// If more were made than tried, or more tried than [`Count::MOST`].
    pub fn new(made: u32, tried: u32) -> Result<Self, StatsError> {
        if made > tried {
            return Err(StatsError::MoreMadeThanTried { made, tried });
        }
        if tried > Self::MOST {
            return Err(StatsError::TooMany { most: Self::MOST });
        }
        Ok(Self { made, tried })
    }

    /// For parts that were checked one by one; the sum of a few may pass [`Count::MOST`] a little.
    pub(crate) const fn of_parts(made: u32, missed: u32) -> Self {
        Self { made, tried: made + missed }
    }

    /// Number made.
    pub const fn made(self) -> u32 {
        self.made
    }

    /// Number missed.
    pub const fn missed(self) -> u32 {
        self.tried - self.made
    }

    /// Number tried.
    pub const fn tried(self) -> u32 {
        self.tried
    }

    /// Made over tried; nothing for 0 of 0.
    pub fn rate(self) -> Option<f64> {
        (self.tried > 0).then(|| f64::from(self.made) / f64::from(self.tried))
    }

    /// Both counts together.
    ///
    /// # Errors
    /// If the sum exceeds [`Count::MOST`].
    pub fn plus(self, other: Self) -> Result<Self, StatsError> {
        // Each is little more than ten million at most, so the sums fit.
        Self::new(self.made + other.made, self.tried + other.tried)
    }

    /// The same tries with makes and misses exchanged.
    #[must_use]
    pub const fn mirrored(self) -> Self {
        Self { made: self.tried - self.made, tried: self.tried }
    }
}
