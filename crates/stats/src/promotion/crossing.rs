//! How often boundaries are crossed: exact chances by dynamic programming.
//!
//! The state is the number of makes among n tries that crossed nothing so far; each try moves a share p of each state up
//! by one. Rounding errors add up to less than 10⁻¹² over 5,000 tries.

use super::{Boundary, Rules, SHEET};
use crate::StatsError;
use crate::error::chance;

/// Chances of each end of a run of independent attempts, one look after each.
#[derive(Clone, Debug, PartialEq)]
pub struct Chances {
    /// Entry n − 1: chance to have been promoted by attempt n.
    promoted: Vec<f64>,
    /// Entry n − 1: chance to have been advised to step back by attempt n, without a promotion before it.
    stepped_back: Vec<f64>,
}

impl Chances {
    /// Chance to be promoted by attempt `n`; beyond the last computed attempt, the chance by that one.
    pub fn promoted_by(&self, n: u32) -> f64 {
        at(&self.promoted, n)
    }

    /// Chance that the advice to step back comes by attempt `n`, before any promotion.
    pub fn stepped_back_by(&self, n: u32) -> f64 {
        at(&self.stepped_back, n)
    }

    /// Chance that nothing is decided after attempt `n`.
    pub fn undecided_after(&self, n: u32) -> f64 {
        1.0 - self.promoted_by(n) - self.stepped_back_by(n)
    }

    /// The attempt by which half of all runs are decided one way or the other; nothing if that does not happen.
    pub fn median_to_decision(&self) -> Option<u32> {
        let decided: Vec<f64> =
            self.promoted.iter().zip(&self.stepped_back).map(|(up, down)| up + down).collect();
        first_half(&decided)
    }

    /// The attempt by which half of all runs are promoted; nothing if that does not happen.
    pub fn median_to_promotion(&self) -> Option<u32> {
        first_half(&self.promoted)
    }

    /// The attempt by which half of all runs are advised to step back; nothing if that does not happen.
    pub fn median_to_step_back(&self) -> Option<u32> {
        first_half(&self.stepped_back)
    }
}

fn at(cumulative: &[f64], n: u32) -> f64 {
    let index = (n as usize).min(cumulative.len());
    index.checked_sub(1).and_then(|i| cumulative.get(i)).copied().unwrap_or(0.0)
}

fn first_half(cumulative: &[f64]) -> Option<u32> {
    let index = cumulative.iter().position(|&chance| chance >= 0.5)?;
    u32::try_from(index + 1).ok()
}

/// Chances over `tries` attempts with constant chance `p` of a make, stopping at whichever boundary is crossed first.
/// A crossing of both at once counts as a promotion. Leave a boundary out to ignore it.
///
/// ```
/// use longrail_stats::promotion::{Rules, Strictness, crossing_chances};
/// let rules = Rules::new(0.5, Strictness::Usual)?;
/// let chances = crossing_chances(Some(rules.promote()), None, 0.5, 100)?;
/// // Study of progression, section 1.2: 0.0674 a sheet at even chances.
/// assert!((chances.promoted_by(100) - 0.0674).abs() < 0.00005);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
///
/// # Errors
/// If `p` is not from 0 to 1 or `tries` exceeds [`Boundary::LONGEST`].
pub fn crossing_chances(
    promote: Option<&Boundary>,
    step_back: Option<&Boundary>,
    p: f64,
    tries: u32,
) -> Result<Chances, StatsError> {
    chance("chance of a make", p)?;
    if tries > Boundary::LONGEST {
        return Err(StatsError::TooMany { most: Boundary::LONGEST });
    }
    let reached =
        |boundary: Option<&Boundary>, made, missed| boundary.is_some_and(|b| b.reached(made, missed));
    let size = tries as usize;
    let mut chances = Chances { promoted: Vec::with_capacity(size), stepped_back: Vec::with_capacity(size) };
    let mut open = vec![0.0; size + 1];
    open[0] = 1.0;
    let (mut promoted, mut stepped_back) = (0.0, 0.0);
    for n in 1..=tries {
        for made in (0..=n).rev() {
            let place = made as usize;
            let from_make = if made > 0 { open[place - 1] * p } else { 0.0 };
            let mass = from_make + open[place] * (1.0 - p);
            if mass == 0.0 {
                open[place] = 0.0;
            } else if reached(promote, made, n - made) {
                promoted += mass;
                open[place] = 0.0;
            } else if reached(step_back, made, n - made) {
                stepped_back += mass;
                open[place] = 0.0;
            } else {
                open[place] = mass;
            }
        }
        chances.promoted.push(promoted);
        chances.stepped_back.push(stepped_back);
    }
    Ok(chances)
}

/// Chances on one sheet under a rule, both boundaries active: what a player may expect before beginning.
///
/// # Errors
/// If `p` is not from 0 to 1.
pub fn sheet_chances(rules: &Rules, p: f64) -> Result<Chances, StatsError> {
    crossing_chances(Some(rules.promote()), rules.step_back(), p, SHEET)
}

/// Chance that at least one of `sheets` independent sheets promotes, when one does with chance `per_sheet`.
///
/// # Errors
/// If `per_sheet` is not from 0 to 1.
pub fn over_sheets(per_sheet: f64, sheets: u32) -> Result<f64, StatsError> {
    use longrail_math::fx;
    chance("chance per sheet", per_sheet)?;
    Ok(-fx::expm1(f64::from(sheets) * fx::log1p(-per_sheet)))
}
