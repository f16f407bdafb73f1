//! What is seen of an attempt, and how likely that is.

use serde::{Deserialize, Serialize};

use crate::odds::Category;

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
    /// The ball was potted, or none was to be, but the cue ball did not do what it should; how was not seen.
    Strayed,
    /// Not made; nothing more is known.
    Failed,
    /// Strayed: the cue ball came up short, or touched too few rails.
    Short,
    /// Strayed: the cue ball went too far.
    Long,
    /// Strayed in any other way: off its line, a scratch, a foul.
    Off,
}

impl Seen {
    /// All of them, in the order of [`Tally::counts`].
    pub const ALL: [Self; 9] = [
        Self::Made,
        Self::Left,
        Self::Right,
        Self::Missed,
        Self::Strayed,
        Self::Failed,
        Self::Short,
        Self::Long,
        Self::Off,
    ];

    /// What who keeps the score sees of an outcome, if nothing escapes him; `aim_deg` is the error of aim, positive to the
    /// left. A ball missed by far is missed on the side to which it was sent: to the right by an aim too far left.
    pub fn of(category: Category, aim_deg: f64) -> Self {
        match category {
            Category::Made => Self::Made,
            Category::MissedLeft => Self::Left,
            Category::Astray if aim_deg <= 0.0 => Self::Left,
            Category::MissedRight | Category::Astray => Self::Right,
            Category::Short => Self::Short,
            Category::Long => Self::Long,
            Category::Off | Category::Scratch | Category::Foul | Category::Miscue => Self::Off,
        }
    }

    /// The same where the side of a miss and the cue ball's end are not kept.
    #[must_use]
    pub fn blurred(self) -> Self {
        match self {
            Self::Left | Self::Right => Self::Missed,
            Self::Short | Self::Long | Self::Off => Self::Strayed,
            other => other,
        }
    }
}

/// Outcomes of attempts at one rung.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tally {
    /// Attempts of each kind, in the order of [`Seen`].
    pub counts: [u32; 9],
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
        self.add_many(seen, 1);
    }

    /// `count` attempts more.
    pub fn add_many(&mut self, seen: Seen, count: u32) {
        let kept = &mut self.counts[seen as usize];
        *kept = kept.saturating_add(count);
    }

    /// Adds the attempts of another tally.
    pub fn merge(&mut self, other: &Self) {
        for (seen, count) in Seen::ALL.into_iter().zip(other.counts) {
            self.add_many(seen, count);
        }
    }

    /// Attempts of all kinds.
    pub fn tried(&self) -> u32 {
        self.counts.iter().fold(0, |sum, count| sum.saturating_add(*count))
    }

    /// Whether the side of a miss is among what is known.
    pub(super) fn has_sides(&self) -> bool {
        self.counts[Seen::Left as usize] > 0 || self.counts[Seen::Right as usize] > 0
    }

    /// What was seen, and how often.
    pub(super) fn seen(&self) -> impl Iterator<Item = (Seen, u32)> {
        Seen::ALL.into_iter().zip(self.counts).filter(|(_, count)| *count > 0)
    }
}

/// Chances of what happens where attention holds, in this order: made, missed on the left, on the right, cue ball short,
/// long, off. They add up to 1.
pub(super) type Shares = [f64; 6];

/// The place of what was seen in [`Shares`]; `None` where it is a sum of several.
pub(super) fn place(seen: Seen) -> Option<usize> {
    match seen {
        Seen::Made => Some(0),
        Seen::Left => Some(1),
        Seen::Right => Some(2),
        Seen::Short => Some(3),
        Seen::Long => Some(4),
        Seen::Off => Some(5),
        Seen::Missed | Seen::Strayed | Seen::Failed => None,
    }
}

/// The chance of what was seen where attention holds.
pub(super) fn chance(shares: &Shares, seen: Seen) -> f64 {
    let [made, left, right, short, long, off] = *shares;
    match seen {
        Seen::Made => made,
        Seen::Left => left,
        Seen::Right => right,
        Seen::Missed => left + right,
        Seen::Strayed => short + long + off,
        Seen::Failed => 1.0 - made,
        Seen::Short => short,
        Seen::Long => long,
        Seen::Off => off,
    }
}

/// The chance of what was seen in a lapse: it misses the ball, on either side alike; with no ball to pot the cue ball strays,
/// short, long or off alike.
pub(super) fn chance_of_lapse(seen: Seen, pots: bool) -> f64 {
    match (seen, pots) {
        (Seen::Failed, _) | (Seen::Missed, true) | (Seen::Strayed, false) => 1.0,
        (Seen::Left | Seen::Right, true) => 0.5,
        (Seen::Short | Seen::Long | Seen::Off, false) => 1.0 / 3.0,
        _ => 0.0,
    }
}

/// Chances of what happens, lapses left out: made, left, right and strayed add up to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Chances {
    /// Made.
    pub made: f64,
    /// The ball missed on the left.
    pub left: f64,
    /// The ball missed on the right.
    pub right: f64,
    /// The ball potted, or none to pot, and the cue ball not where it should be.
    pub strayed: f64,
    /// The part of `strayed` in which it came up short.
    pub short: f64,
    /// The part in which it went too far.
    pub long: f64,
}

impl From<Shares> for Chances {
    fn from([made, left, right, short, long, off]: Shares) -> Self {
        Self { made, left, right, strayed: short + long + off, short, long }
    }
}
