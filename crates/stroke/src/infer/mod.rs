//! A stroke inferred from attempts.
//!
//! 1. For each rung, the chance of every outcome is a function of the error of aim alone, once errors of speed and tip are
//!    averaged over: a [`Surface`]. It is worked out once, with some thousands of shots, and then answers for any spread.
//! 2. The spread σ of aim, its bias μ and the lapse λ have a grid of possible values with prior weights; each attempt
//!    multiplies the weights by its chance: a [`Posterior`].
//!
//! Method, prior and their operating characteristics: the study of progression, 3.1 to 3.4. Without the side of the misses
//! σ and |μ| cannot be told apart; what is inferred then is an *effective spread*, and no bias is claimed.

mod posterior;
mod surface;

pub use posterior::{Inferred, LAPSES, Parameter, Posterior, Prior};
pub use surface::{Chances, Surface};

use serde::{Deserialize, Serialize};

/// What is known of an attempt's outcome.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Seen {
    /// Made.
    Made,
    /// The ball was missed on the left of its pocket.
    Left,
    /// On the right.
    Right,
    /// The ball was missed; the side was not seen.
    Missed,
    /// The ball was potted, or none was to be, but the cue ball did not do what it should.
    Strayed,
    /// Not made; nothing more is known.
    Failed,
}

/// Outcomes of attempts at one rung.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// Attempts of each kind, in the order of [`Seen`].
    pub counts: [u32; 6],
}

impl Tally {
    /// "36 of 50", with nothing known of the misses.
    pub fn of(made: u32, tried: u32) -> Self {
        let mut tally = Self::default();
        tally.counts[Seen::Made as usize] = made;
        tally.counts[Seen::Failed as usize] = tried.saturating_sub(made);
        tally
    }

    /// Made, missed on the left, missed on the right.
    pub fn sided(made: u32, left: u32, right: u32) -> Self {
        let mut tally = Self::default();
        tally.counts[Seen::Made as usize] = made;
        tally.counts[Seen::Left as usize] = left;
        tally.counts[Seen::Right as usize] = right;
        tally
    }

    /// One attempt more.
    pub fn add(&mut self, seen: Seen) {
        self.counts[seen as usize] = self.counts[seen as usize].saturating_add(1);
    }

    /// Whether the side of a miss is among what is known.
    pub(crate) fn has_sides(&self) -> bool {
        self.counts[Seen::Left as usize] + self.counts[Seen::Right as usize] > 0
    }
}
