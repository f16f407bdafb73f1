//! Where on a ladder to play.
//!
//! Two rungs, on purpose: the *work rung*, where learning is thought to be quickest and the stroke shows best, and the
//! *frontier rung* farther out, which is being proved. Rungs are counted from 1, the easiest; chances are given for all rungs
//! of a ladder, easiest first, as the stroke predicts them. Constants: study of progression, 0 and 3.5.
//!
//! A drill becomes a ladder on a table for a player ([`Posed`]), which is worked out once ([`Working`], [`Worked`]) and then
//! answers for any stroke ([`crate::form`]).

mod posed;
mod start;
mod step;
mod worked;
mod working;

pub use posed::Posed;
pub use start::{FIRST_SET, first_rung, in_words, prior, reference_for};
pub use step::{FinerStep, Move, NOVICE_DROP, next_step, work_move};
pub use worked::{Prescribed, StoredError, WorkError, Worked};
pub use working::{Progress, Working};

use longrail_math::order;

/// Chance at which a work rung is best: near it a gain shows most (2Φ(1) − 1 = 0.683; study, 3.2).
pub const WORK_CENTRE: f64 = 0.68;

/// Chances between which a work rung stays where it is.
pub const WORK_RANGE: (f64, f64) = (0.55, 0.75);

/// Chances of the easier rungs that are mixed in.
pub const EASIER_RANGE: (f64, f64) = (0.75, 0.85);

/// Chances of the rungs farther out that are mixed in.
pub const FARTHER_RANGE: (f64, f64) = (0.35, 0.50);

/// Attempts of a gauge (study, 3.5).
pub const GAUGE_ATTEMPTS: u32 = 30;

/// What a set is for, one purpose at a time: each has a rung of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// To get better: at the work rung ([`work_rung`]), with easier and farther ones mixed in ([`mixed`]).
    Work,
    /// To learn what the stroke is: [`GAUGE_ATTEMPTS`] at the rung that tells most about it
    /// ([`crate::form::Form::most_telling`]).
    Gauge,
    /// To pass: at the frontier rung ([`frontier_rung`]), on a sheet.
    Prove,
}

/// How well a work rung fits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fit {
    /// Its chance lies within [`WORK_RANGE`].
    Good,
    /// Even the first rung is harder: the ladder starts too far out for this player.
    TooHard,
    /// Even the last rung is easier: the ladder is done.
    TooEasy,
    /// The steps of the ladder are too long: one rung is too easy and the next too hard ([`next_step`] goes between).
    Between,
}

/// A rung to work on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorkRung {
    /// Which, from 1.
    pub rung: u32,
    /// Its chance.
    pub chance: f64,
    /// How well it fits.
    pub fit: Fit,
}

/// The rung whose chance is nearest to [`WORK_CENTRE`]; of equals the outermost. `None` for a ladder without rungs.
///
/// ```
/// use longrail_practice::ladder::{Fit, work_rung};
/// // Study of progression, 3.1: a straight shot on 9 ft with a spread of 0.25°, at 1.5 to 5 diamonds.
/// let chances = [0.934, 0.817, 0.704, 0.610, 0.534, 0.474, 0.385];
/// let work = work_rung(&chances).unwrap();
/// // 3.5 of the study: "p is near .68 at 2.5 diamonds".
/// assert_eq!((work.rung, work.fit), (3, Fit::Good));
/// ```
pub fn work_rung(chances: &[f64]) -> Option<WorkRung> {
    let (rung, chance) = nearest(chances, WORK_CENTRE)?;
    let (low, high) = WORK_RANGE;
    let fit = if (low..=high).contains(&chance) {
        Fit::Good
    } else if chances.iter().all(|&chance| chance < low) {
        Fit::TooHard
    } else if chances.iter().all(|&chance| chance > high) {
        Fit::TooEasy
    } else {
        Fit::Between
    };
    Some(WorkRung { rung, chance, fit })
}

/// The rung to be proved: the one beyond the outermost that was `passed`; if none was, the outermost with a chance of at
/// least `target`, or else the first. `None` if the ladder is done or has no rungs.
pub fn frontier_rung(chances: &[f64], target: f64, passed: Option<u32>) -> Option<u32> {
    let rungs = u32::try_from(chances.len()).ok()?;
    let rung = match passed {
        Some(passed) => passed.checked_add(1)?,
        None => (1..)
            .zip(chances)
            .filter(|(_, chance)| **chance >= target)
            .map(|(rung, _)| rung)
            .max()
            .unwrap_or(1),
    };
    (rung <= rungs).then_some(rung)
}

/// Attempts over rungs for a set of work: seven tenths at the work rung, two at an easier one, one farther out; rungs that
/// the ladder does not have are left out, and their attempts go to the work rung. The split is a judgement (study, 3.5).
pub fn mixed(chances: &[f64], attempts: u32) -> Vec<(u32, u32)> {
    let Some(work) = work_rung(chances) else { return Vec::new() };
    let within = |(low, high): (f64, f64)| {
        nearest(chances, 0.5 * (low + high))
            .filter(|(rung, chance)| *rung != work.rung && (low..=high).contains(chance))
            .map(|(rung, _)| rung)
    };
    let mut shares = Vec::new();
    let mut left = attempts;
    for (range, tenths) in [(EASIER_RANGE, 2), (FARTHER_RANGE, 1)] {
        let share = attempts / 10 * tenths + attempts % 10 * tenths / 10;
        if let Some(rung) = within(range).filter(|_| share > 0) {
            shares.push((rung, share));
            left -= share;
        }
    }
    shares.push((work.rung, left));
    order::sort_by(&mut shares, Ord::cmp);
    shares
}

/// The rung whose chance is nearest to `wanted`, of equals the outermost.
fn nearest(chances: &[f64], wanted: f64) -> Option<(u32, f64)> {
    let away = |chance: f64| (chance - wanted).abs();
    (1..)
        .zip(chances.iter().copied())
        .reduce(|best, one| if away(one.1) <= away(best.1) { one } else { best })
}
