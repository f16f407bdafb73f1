//! Kinds of hit: what a player would call two ways of playing a shot.

use std::fmt;

use longrail_math::order;
use serde::Serialize;

use super::Candidate;
use crate::Hit;
use crate::goal::Lack;

/// What tells one way of playing a shot from another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Kind {
    /// 0 soft, 1 medium, 2 firm, 3 hard.
    pub speed: u8,
    /// −2 much draw to 2 much follow.
    pub spin: i8,
    /// −1 left, 0 none, 1 right.
    pub side: i8,
    /// Rails that the cue ball touches.
    pub rails: u8,
    /// Whether it touches one before it meets a ball.
    pub rail_first: bool,
}

impl Kind {
    /// The kind of `hit`, which was played as intended and lacks `lack`.
    pub(super) fn of(hit: &Hit, lack: &Lack) -> Self {
        let speed = [1.0, 2.2, 4.0].iter().filter(|&&bound| hit.speed_mps >= bound).count();
        let spin = match hit.tip_up {
            up if up < -0.25 => -2,
            up if up < -0.08 => -1,
            up if up > 0.25 => 2,
            up if up > 0.08 => 1,
            _ => 0,
        };
        let side = if hit.tip_right > 0.08 { 1 } else { -i8::from(hit.tip_right < -0.08) };
        // Three bounds, and more than 255 rails there are not.
        #[allow(clippy::cast_possible_truncation)]
        let (speed, rails) = (speed as u8, lack.rails.min(255) as u8);
        Self { speed, spin, side, rails, rail_first: lack.rail_first }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let speed = ["soft", "medium", "firm", "hard"][usize::from(self.speed.min(3))];
        let spin = match self.spin {
            -2 => "much draw",
            -1 => "a little draw",
            0 => "centre ball",
            1 => "a little follow",
            _ => "much follow",
        };
        write!(f, "{speed}, {spin}")?;
        match self.side {
            -1 => write!(f, ", left side")?,
            1 => write!(f, ", right side")?,
            _ => {}
        }
        if self.rail_first {
            write!(f, ", rail first")?;
        }
        match self.rails {
            0 => write!(f, ", no rail"),
            1 => write!(f, ", one rail"),
            rails => write!(f, ", {rails} rails"),
        }
    }
}

/// The best candidate of each kind, best first, at most `most`.
pub(super) fn best_of_each(candidates: &[Candidate], most: usize) -> Vec<Candidate> {
    best_unlike(candidates, most, |a, b| a.kind == b.kind)
}

/// The best candidates that lie apart from each other, best first, at most `most`: where different searches may end.
pub(super) fn best_apart<T: AsRef<Candidate> + Clone>(candidates: &[T], most: usize) -> Vec<T> {
    best_unlike(candidates, most, |a, b| Alike::IN_REACH.holds(a, b))
}

/// The best candidates of which no two are `alike`, best first, at most `most`.
pub(super) fn best_unlike<T: AsRef<Candidate> + Clone>(
    candidates: &[T],
    most: usize,
    alike: impl Fn(&Candidate, &Candidate) -> bool,
) -> Vec<T> {
    let mut sorted: Vec<&T> = candidates.iter().collect();
    order::sort_by(&mut sorted, |a, b| T::as_ref(b).score.total_cmp(&T::as_ref(a).score));
    let mut best: Vec<T> = Vec::new();
    for candidate in sorted {
        if best.len() == most {
            break;
        }
        if !best.iter().any(|kept| alike(kept.as_ref(), T::as_ref(candidate))) {
            best.push(candidate.clone());
        }
    }
    best
}

/// Directions that differ by more are never alike, where none was solved.
const FAR_DEG: f64 = 5.0;

/// How far two hits may differ and still be alike.
#[derive(Clone, Copy, Debug)]
pub(super) struct Alike {
    /// The faster speed over the slower one.
    speed: f64,
    /// Tips, in radii.
    tip: f64,
    /// Sights, in spreads of aim.
    sight: f64,
}

impl Alike {
    /// A search from either is likely to find the other.
    pub(super) const IN_REACH: Self = Self { speed: 1.333, tip: 0.15, sight: 4.0 };
    /// Next to each other on one ridge of hits that are nearly as good as each other, along which a search seldom goes far.
    pub(super) const NEAR: Self = Self { speed: 1.15, tip: 0.09, sight: 2.5 };
    /// Hardly another hit.
    pub(super) const THE_SAME: Self = Self { speed: 1.08, tip: 0.05, sight: 1.5 };

    /// Whether two hits are.
    pub(super) fn holds(self, a: &Candidate, b: &Candidate) -> bool {
        let (p, q) = (&a.hit, &b.hit);
        let speeds = (p.speed_mps / q.speed_mps).max(q.speed_mps / p.speed_mps);
        // A direction of its own counts only where none was solved.
        let aims = match (a.sight, b.sight) {
            (Some(its), Some(other)) => {
                (its.past_m - other.past_m).abs() < self.sight * its.spread_m.max(other.spread_m)
            }
            _ => (p.direction_deg - q.direction_deg).abs() < FAR_DEG,
        };
        let by = |one: &Candidate| one.sight.and_then(|sight| sight.rail);
        a.kind.rails == b.kind.rails
            && by(a) == by(b)
            && speeds < self.speed
            && (p.tip_up - q.tip_up).abs() < self.tip
            && (p.tip_right - q.tip_right).abs() < self.tip
            && aims
    }
}
