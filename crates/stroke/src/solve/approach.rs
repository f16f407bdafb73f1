//! From a hit that fails to one that makes its goal: a pattern search, one coordinate at a time, over what it lacks. Each hit
//! that is tried costs one shot.

use longrail_physics::Engine;

use super::{Candidate, Kind, Sight};
use crate::Hit;
use crate::error::StrokeError;
use crate::odds::Setting;

/// First steps: direction in degrees, speed as a factor's excess, tip in radii. A hit that sends a ball at a pocket is
/// moved by where it sends it, and its direction solved anew with every step: speed and tip change the throw.
const STEPS: [f64; 4] = [0.2, 0.15, 0.06, 0.06];

/// The step of a sight, in metres at the mouth, in place of the first of [`STEPS`].
const SIGHT_M: f64 = 0.015;

/// Rounds; steps halve after each that finds nothing better.
const ROUNDS: u32 = 30;

impl Setting<'_> {
    /// `start`, or a hit near it that lacks less.
    pub(super) fn approached(
        &self,
        engine: &mut Engine,
        start: &Candidate,
    ) -> Result<Candidate, StrokeError> {
        let mut best = self.as_intended(engine, &start.hit, start.sight)?;
        let mut steps = STEPS;
        for _ in 0..ROUNDS {
            let before = best.score;
            for (coordinate, step) in steps.into_iter().enumerate() {
                if coordinate == 3 && self.player.limits.most_side == 0.0 {
                    continue;
                }
                for sign in [1.0, -1.0] {
                    if best.score == 0.0 {
                        return Ok(best);
                    }
                    let Some((hit, sight)) = self.moved(engine, &best, coordinate, sign * step)? else {
                        continue;
                    };
                    let tried = self.as_intended(engine, &hit, sight)?;
                    if tried.score > best.score {
                        best = tried;
                        break;
                    }
                }
            }
            if best.score <= before {
                steps = steps.map(|step| 0.5 * step);
            }
        }
        Ok(best)
    }

    /// `hit` with what it lacks as intended, negative, for its score.
    pub(super) fn as_intended(
        &self,
        engine: &mut Engine,
        hit: &Hit,
        sight: Option<Sight>,
    ) -> Result<Candidate, StrokeError> {
        let lack = self.lacking(engine, hit)?;
        Ok(Candidate { hit: *hit, sight, kind: Kind::of(hit, &lack), score: -lack.size })
    }

    /// `from` moved by `step` in one coordinate, if that can be played within the player's limits.
    fn moved(
        &self,
        engine: &mut Engine,
        from: &Candidate,
        coordinate: usize,
        step: f64,
    ) -> Result<Option<(Hit, Option<Sight>)>, StrokeError> {
        let limits = &self.player.limits;
        let (mut hit, mut sight) = (Hit { elevation_deg: 0.0, ..from.hit }, from.sight);
        match (coordinate, &mut sight) {
            (0, Some(sight)) => sight.past_m += step * SIGHT_M / STEPS[0],
            (0, None) => hit.direction_deg += step,
            (1, _) => {
                hit.speed_mps = (hit.speed_mps * (1.0 + step)).clamp(limits.softest_mps, limits.hardest_mps);
            }
            (2, _) => hit.tip_up = (hit.tip_up + step).clamp(-limits.most_draw, limits.most_follow),
            _ => hit.tip_right = (hit.tip_right + step).clamp(-limits.most_side, limits.most_side),
        }
        Ok(self.sighted_or_reachable(engine, &hit, sight)?.map(|hit| (hit, sight)))
    }
}
