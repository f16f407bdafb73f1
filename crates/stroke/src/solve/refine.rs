//! The fine search around a coarse hit.

use longrail_physics::Engine;

use super::aim::Sight;
use super::{Candidate, Kind};
use crate::Hit;
use crate::error::StrokeError;
use crate::nodes::Nodes;
use crate::odds::{Category, Setting, scattered};

/// First steps: direction in degrees, speed as a factor's excess, tip in radii. A hit that sends a ball at a pocket is
/// moved by where it sends it, and its direction solved anew with every step: speed and tip change the throw, and the
/// ridge of good hits would run askew to all four.
const STEPS: [f64; 4] = [0.2, 0.15, 0.06, 0.06];

/// The step of a sight, in metres at the mouth, in place of the first of [`STEPS`].
const SIGHT_M: f64 = 0.015;

/// How fine a search is.
pub(super) struct Fineness {
    nodes: Nodes,
    /// First steps, as a share of [`STEPS`].
    reach: f64,
    /// Rounds; steps halve after each that finds nothing better.
    rounds: u32,
}

impl Fineness {
    /// For the many: few nodes, long steps.
    pub(super) fn rough() -> Self {
        Self { nodes: Nodes::sobol(1, 32, 1), reach: 1.0, rounds: 6 }
    }

    /// For a hit that starts near where it will end.
    pub(super) fn follow() -> Self {
        Self { nodes: Nodes::sobol(1, 64, 4), reach: 0.4, rounds: 4 }
    }

    pub(super) fn nodes(&self) -> &Nodes {
        &self.nodes
    }

    /// For the best of them.
    pub(super) fn fine() -> Self {
        Self { nodes: Nodes::sobol(1, 128, 2), reach: 0.7, rounds: 8 }
    }

    /// For choosing among those that are left.
    pub(super) fn exam() -> Self {
        Self { nodes: Nodes::sobol(1, 1024, 5), reach: 0.4, rounds: 4 }
    }

    /// For those that will be shown.
    pub(super) fn last() -> Self {
        Self { nodes: Nodes::sobol(1, 256, 3), reach: 0.4, rounds: 5 }
    }
}

impl Setting<'_> {
    /// The best hit near `start`, by a pattern search one coordinate at a time.
    pub(super) fn refined(
        &self,
        engine: &mut Engine,
        start: &Candidate,
        fineness: &Fineness,
    ) -> Result<Candidate, StrokeError> {
        let nodes = &fineness.nodes;
        let mut best = self.rescored(engine, start, nodes)?;
        let mut steps = STEPS.map(|step| fineness.reach * step);
        for _ in 0..fineness.rounds {
            let before = best.score;
            for (coordinate, step) in steps.into_iter().enumerate() {
                if coordinate == 3 && self.player.limits.most_side == 0.0 {
                    continue;
                }
                for sign in [1.0, -1.0] {
                    let Some((hit, sight)) = self.moved(engine, &best, coordinate, sign * step)? else {
                        continue;
                    };
                    if let Some(better) = self.candidate(engine, &hit, sight, nodes, best.score)? {
                        best = better;
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

    /// The same hit with its score by `nodes`: scores by different nodes must not be compared.
    pub(super) fn rescored(
        &self,
        engine: &mut Engine,
        candidate: &Candidate,
        nodes: &Nodes,
    ) -> Result<Candidate, StrokeError> {
        let again = self.candidate(engine, &candidate.hit, candidate.sight, nodes, f64::NEG_INFINITY)?;
        Ok(again.unwrap_or(*candidate))
    }

    /// `hit` with its score, if that is above `beat`: its odds if it makes its goal as intended, and else, negative, what
    /// it lacks.
    pub(super) fn candidate(
        &self,
        engine: &mut Engine,
        hit: &Hit,
        sight: Option<Sight>,
        nodes: &Nodes,
        beat: f64,
    ) -> Result<Option<Candidate>, StrokeError> {
        let lack = self.lacking(engine, hit)?;
        let kind = Kind::of(hit, lack.rails);
        let above = |score: f64| (score > beat).then_some(Candidate { hit: *hit, sight, kind, score });
        if lack.category != Category::Made {
            return Ok(above(-lack.size));
        }
        let stroke = self.stroke(hit);
        let (mut made, mut left) = (0_u32, nodes.all().len());
        // Nodes in their hundreds.
        #[allow(clippy::cast_precision_loss)]
        let share = |made: f64| made / nodes.all().len() as f64;
        for node in nodes.all() {
            made += u32::from(self.play(engine, &scattered(hit, &stroke, node))?.made());
            left -= 1;
            // Not even if all that are left were made.
            #[allow(clippy::cast_precision_loss)]
            if share(f64::from(made) + left as f64) <= beat {
                return Ok(None);
            }
        }
        // It does make it as intended: a score of nothing would call it a failure.
        Ok(above(share(f64::from(made)).max(1e-6)))
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
        let hit = match sight {
            Some(sight) => self.sighted(engine, &hit, sight)?,
            None => self.reachable(&hit),
        };
        Ok(hit.map(|hit| (hit, sight)))
    }
}
