//! The rule as whole numbers: how many makes of n decide.

use super::{Alpha, Evidence, Side};
use crate::StatsError;
use crate::error::check;

/// For each number of tries, the count of makes from which (or down to which) evidence reaches its threshold.
///
/// Exact: see [`Evidence::reaches`].
#[derive(Clone, Debug, PartialEq)]
pub struct Boundary {
    evidence: Evidence,
    alpha: Alpha,
    /// Entry n − 1: for the side above, the fewest makes of n that suffice; below, the most.
    makes: Vec<Option<u32>>,
}

impl Boundary {
    /// Longest boundary that is computed.
    pub const LONGEST: u32 = 5000;

    /// Boundary for 1 to `tries` tries.
    ///
    /// # Errors
    /// If `tries` exceeds [`Boundary::LONGEST`].
    pub fn new(evidence: Evidence, alpha: Alpha, tries: u32) -> Result<Self, StatsError> {
        if tries > Self::LONGEST {
            return Err(StatsError::TooMany { most: Self::LONGEST });
        }
        let mut makes = Vec::with_capacity(tries as usize);
        // One more try against the side lowers E, so what fails at n fails at n + 1: the number needed never falls.
        let mut needed = 1;
        for n in 1..=tries {
            let reaches = |count: u32| match evidence.side() {
                Side::Above => evidence.reaches(alpha, count, n - count),
                Side::Below => evidence.reaches(alpha, n - count, count),
            };
            while needed <= n && !reaches(needed) {
                needed += 1;
            }
            makes.push((needed <= n).then_some(match evidence.side() {
                Side::Above => needed,
                Side::Below => n.saturating_sub(needed),
            }));
        }
        Ok(Self { evidence, alpha, makes })
    }

    /// How many tries it covers.
    pub fn tries(&self) -> u32 {
        // At most LONGEST.
        u32::try_from(self.makes.len()).unwrap_or(u32::MAX)
    }

    /// Count of makes at the boundary after `tried` tries; nothing if no count suffices, or beyond the boundary.
    pub fn makes(&self, tried: u32) -> Option<u32> {
        let index = tried.checked_sub(1)?;
        self.makes.get(index as usize).copied().flatten()
    }

    /// Is the boundary reached? Beyond its length the formula answers, not the table.
    pub fn reached(&self, made: u32, missed: u32) -> bool {
        let tried = made.saturating_add(missed);
        if tried > self.tries() {
            return self.evidence.reaches(self.alpha, made, missed);
        }
        match (self.makes(tried), self.evidence.side()) {
            (None, _) => false,
            (Some(makes), Side::Above) => made >= makes,
            (Some(makes), Side::Below) => made <= makes,
        }
    }

    /// The evidence behind it.
    pub const fn evidence(&self) -> &Evidence {
        &self.evidence
    }

    /// Its α.
    pub const fn alpha(&self) -> Alpha {
        self.alpha
    }
}

/// One row of the table that players carry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Row {
    /// Number of tries.
    pub tried: u32,
    /// Promote at this many makes or more (α 0.10).
    pub promote: Option<u32>,
    /// Promote under the stricter rule at this many or more (α 0.05).
    pub strict: Option<u32>,
    /// Step back at this many or fewer (α 0.20).
    pub step_back: Option<u32>,
    /// Step back under the stricter rule at this many or fewer (α 0.10).
    pub step_back_strict: Option<u32>,
}

/// The table of counts for a target, 1 to 100 tries; the step back is judged against the target less 0.10.
///
/// ```
/// use longrail_stats::promotion::counts_table;
/// let rows = counts_table(0.5)?;
/// // Study of progression, section 1.7: 34 of 50, 63 of 100, step back at 13 of 50.
/// assert_eq!(rows[49].promote, Some(34));
/// assert_eq!(rows[99].promote, Some(63));
/// assert_eq!(rows[49].step_back, Some(13));
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
///
/// # Errors
/// If the target is not from 0.11 to 0.99.
pub fn counts_table(target: f64) -> Result<Vec<Row>, StatsError> {
    check("target rate", target, "from 0.11 to 0.99", |v| (0.11..=0.99).contains(&v))?;
    let up = Evidence::above(target)?;
    let down = Evidence::below(super::step_back_line(target))?;
    let boundary = |evidence, alpha| Boundary::new(evidence, Alpha::new(alpha)?, super::SHEET);
    let (promote, strict) = (boundary(up, 0.10)?, boundary(up, 0.05)?);
    let (back, back_strict) = (boundary(down, 0.20)?, boundary(down, 0.10)?);
    let row = |tried| Row {
        tried,
        promote: promote.makes(tried),
        strict: strict.makes(tried),
        step_back: back.makes(tried),
        step_back_strict: back_strict.makes(tried),
    };
    Ok((1..=super::SHEET).map(row).collect())
}
