//! The next step, small enough; and when the work rung moves.

use super::WORK_RANGE;

/// The most by which a step may lower a novice's chance.
pub const NOVICE_DROP: f64 = 0.05;

/// Parts of a rung that can be set up: an eighth of a quarter diamond is a centimetre on a 9-ft table.
const PARTS: [f64; 4] = [1.0, 0.5, 0.25, 0.125];

/// A step from one rung towards the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FinerStep {
    /// Where it leads, in rungs from 1; a fraction lies between two rungs.
    pub to: f64,
    /// The chance there, in a straight line between the two rungs.
    pub chance: f64,
    /// By how much the chance falls.
    pub drop: f64,
    /// Whether that is no more than was asked for; if not, it is the shortest step that can be set up.
    pub fits: bool,
}

/// The longest step from rung `from` towards the next that lowers the chance by no more than `most_drop`: a whole rung, a
/// half, a quarter or an eighth. `None` if there is no next rung.
///
/// ```
/// use longrail_practice::ladder::{NOVICE_DROP, next_step};
/// // From 70 % to 61 % is too far for a novice; half of it is not.
/// let step = next_step(&[0.70, 0.61], 1.0, NOVICE_DROP).unwrap();
/// assert_eq!(step.to, 1.5);
/// assert!((step.drop - 0.045).abs() < 1e-12 && step.fits);
/// ```
pub fn next_step(chances: &[f64], from: f64, most_drop: f64) -> Option<FinerStep> {
    // Written so that what is not a number fails, too.
    if !(from >= 1.0 && from < whole(chances.len())) {
        return None;
    }
    let chance = |place: f64| {
        // A place on the ladder.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let below = place.floor() as usize;
        let (near, far) = (chances.get(below - 1)?, chances.get(below).or(chances.last())?);
        Some(near + (place - place.floor()) * (far - near))
    };
    let here = chance(from)?;
    let last = whole(chances.len());
    let mut steps = PARTS.into_iter().filter_map(|part| {
        let to = (from + part).min(last);
        let there = chance(to)?;
        // A thousandth of a point is rounding.
        let drop = (here - there).max(0.0);
        Some(FinerStep { to, chance: there, drop, fits: drop <= most_drop + 1e-5 })
    });
    let mut shortest = steps.next()?;
    while !shortest.fits
        && let Some(step) = steps.next()
    {
        shortest = step;
    }
    Some(shortest)
}

/// What becomes of the work rung.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Move {
    /// It stays: its chance is within the range.
    Stay,
    /// It stays, since it moved already in this session.
    MovedAlready,
    /// One rung farther out: this one has become easy.
    Out {
        /// The new one.
        to: u32,
    },
    /// One rung back: this one is too hard at present.
    Back {
        /// The new one.
        to: u32,
    },
    /// It stays, since there is no rung on that side.
    AtTheEnd,
}

/// Whether the work rung `rung` moves: at most one step a session, and only if the chance that the stroke predicts for it
/// lies outside [`WORK_RANGE`]. `None` for a rung that the ladder does not have.
pub fn work_move(chances: &[f64], rung: u32, moved_this_session: bool) -> Option<Move> {
    let index = usize::try_from(rung).ok()?.checked_sub(1)?;
    let chance = *chances.get(index)?;
    let (low, high) = WORK_RANGE;
    Some(if (low..=high).contains(&chance) {
        Move::Stay
    } else if moved_this_session {
        Move::MovedAlready
    } else if chance > high && index + 1 < chances.len() {
        Move::Out { to: rung + 1 }
    } else if chance < low && index > 0 {
        Move::Back { to: rung - 1 }
    } else {
        Move::AtTheEnd
    })
}

/// The length of a ladder.
#[allow(clippy::cast_precision_loss)]
fn whole(length: usize) -> f64 {
    length as f64
}
