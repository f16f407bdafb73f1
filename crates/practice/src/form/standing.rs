//! Where a stroke puts a player on a ladder.

use longrail_stroke::infer::placement::Ladder;
use longrail_stroke::infer::{Offset, Parameter, Posterior};

use crate::advice::Moved;
use crate::ladder::{FinerStep, Move, WorkRung, Worked, frontier_rung, next_step, work_move, work_rung};

/// Where on a ladder the chance passes a target, in rungs from 1: half a rung before the first stands for "easier than that",
/// half a rung beyond the last for "harder".
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Even {
    /// One time in ten it is easier than this.
    pub low: f64,
    /// The middle.
    pub middle: f64,
    /// One time in ten it is harder than this.
    pub high: f64,
}

/// Where a stroke puts a player on a ladder. All of it is modelled.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// The chance of one attempt now, rung by rung, with its 80 % range; none where no hit makes it. Of a streak of k it is the
    /// chance for each of them.
    pub chances: Vec<Option<Parameter>>,
    /// Where the chance passes the target.
    pub even: Even,
    /// The target.
    pub target: f64,
}

impl Standing {
    pub(super) fn of(posterior: &Posterior, worked: &Worked, offset: Option<&Offset>, target: f64) -> Self {
        let ladder = Ladder { rungs: worked.surfaces(), family: offset };
        let (chances, start) = posterior.standing(&ladder, target);
        let even = Even { low: start.low + 1.0, middle: start.middle + 1.0, high: start.high + 1.0 };
        Self { chances, even, target }
    }

    /// Mean chances, easiest rung first; 0 where no hit makes it.
    pub fn made(&self) -> Vec<f64> {
        self.chances.iter().map(|chance| chance.map_or(0.0, |chance| chance.mean)).collect()
    }

    /// The chance at a rung, from 1, in a straight line between two of the ladder's own; 0 where no hit makes it.
    pub fn at(&self, rung: f64) -> Parameter {
        let none = Parameter { mean: 0.0, sd: 0.0, low: 0.0, high: 0.0, shown: false };
        // A rung is 1 or more.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let below = (rung.floor() as usize).saturating_sub(1);
        let at = |index: usize| self.chances.get(index).copied().flatten().unwrap_or(none);
        let (near, far, part) = (at(below), at(below + 1), rung - rung.floor());
        if part == 0.0 {
            return near;
        }
        let between = |a: f64, b: f64| a + part * (b - a);
        Parameter {
            mean: between(near.mean, far.mean),
            sd: between(near.sd, far.sd),
            low: between(near.low, far.low),
            high: between(near.high, far.high),
            shown: near.shown && far.shown,
        }
    }

    /// The rung to work on.
    pub fn work(&self) -> Option<WorkRung> {
        work_rung(&self.made())
    }

    /// The rung to prove, beyond the outermost that was `passed`.
    pub fn frontier(&self, passed: Option<u32>) -> Option<u32> {
        frontier_rung(&self.made(), self.target, passed)
    }

    /// The next step from a place on the ladder, small enough ([`next_step`]).
    pub fn next_step(&self, from: f64, most_drop: f64) -> Option<FinerStep> {
        next_step(&self.made(), from, most_drop)
    }

    /// Whether the work rung moves ([`work_move`]).
    pub fn work_move(&self, rung: u32, moved_this_session: bool) -> Option<Move> {
        work_move(&self.made(), rung, moved_this_session)
    }

    /// How far the even rung has moved since `before`, the standing ahead of a set.
    pub fn since(&self, before: &Self) -> Moved {
        Moved { before: before.even.middle, now: self.even.middle }
    }
}
