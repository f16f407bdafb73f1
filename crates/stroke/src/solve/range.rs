//! The coarse search: hits over the player's whole range. Straight pots have a lattice of their own (`lattice.rs`).

use longrail_math::{Vec2, fx};
use longrail_physics::Engine;
use longrail_physics::table::PocketId;

use super::Candidate;
use super::aim::Sight;
use crate::Hit;
use crate::error::StrokeError;
use crate::goal::Check;
use crate::nodes::Nodes;
use crate::odds::Setting;

/// Speeds of the coarse search, from softest to hardest by equal factors.
const SPEEDS: u32 = 8;

/// Nodes for the odds of a coarse hit that makes its goal as intended.
const FEW: u32 = 64;

/// Directions over a ball from edge to edge, and around the circle.
const OVER_BALL: u32 = 41;
const AROUND: u32 = 180;

impl Setting<'_> {
    /// Coarse hits with their scores; see [`Self::straight`] for `speeds`.
    pub(super) fn coarse(&self, engine: &mut Engine, speeds: usize) -> Result<Vec<Candidate>, StrokeError> {
        if let Some(found) = self.straight(engine, speeds)? {
            return Ok(found);
        }
        let mut found = Vec::new();
        let few = Nodes::sobol(1, FEW, 1);
        for hit in self.directed() {
            let Some(hit) = self.reachable(&hit) else { continue };
            let plain = self.as_intended(engine, &hit, None)?;
            let makes = plain.score == 0.0;
            found.push(if makes { self.examined(engine, &plain, &few)? } else { plain });
        }
        Ok(found)
    }

    /// Hits in all directions, the chance of each guessed from how many of those next to it make the goal: many times as quick
    /// as to work it out.
    pub(super) fn scanned(&self, engine: &mut Engine) -> Result<Vec<Candidate>, StrokeError> {
        let mut found: Vec<Candidate> = Vec::new();
        for hit in self.plain_hits() {
            let mut fans: Vec<Vec<Hit>> = vec![self.around(&hit).collect()];
            fans.extend(self.plan.target().map(|target| self.over_ball(&hit, target).collect()));
            for fan in fans {
                let mut row = Vec::with_capacity(fan.len());
                for hit in fan {
                    if let Some(hit) = self.reachable(&hit) {
                        row.push(self.as_intended(engine, &hit, None)?);
                    }
                }
                let made: Vec<f64> = row.iter().map(|one| if one.score == 0.0 { 1.0 } else { 0.0 }).collect();
                for (k, one) in row.iter_mut().enumerate() {
                    if one.score == 0.0 {
                        let near = |k: Option<usize>| k.and_then(|k| made.get(k)).copied().unwrap_or(0.0);
                        let beside = |by: usize| near(k.checked_sub(by)) + near(Some(k + by));
                        one.score = (3.0 + 2.0 * beside(1) + beside(2)) / 9.0;
                    }
                }
                found.extend(row);
            }
        }
        Ok(found)
    }

    /// Coarse hits that send a ball straight into its pocket, if that is what is wanted: many times as quick as to search all
    /// directions. They have so many `speeds`.
    pub(super) fn straight(
        &self,
        engine: &mut Engine,
        speeds: usize,
    ) -> Result<Option<Vec<Candidate>>, StrokeError> {
        let wanted = self.plan.checks.iter().find_map(|check| match check {
            Check::Pot { ball, pocket, banks: 0, .. } if self.plan.target() == Some(*ball) => {
                Some((*ball, *pocket))
            }
            _ => None,
        });
        let Some((ball, pocket)) = wanted else { return Ok(None) };
        let mut found = Vec::new();
        for pocket in PocketId::ALL.into_iter().filter(|id| pocket.is_none_or(|wanted| wanted == *id)) {
            found.extend(self.lattice(engine, speeds, ball, pocket)?);
        }
        Ok(Some(found))
    }

    /// `hit` raised as far as it must be, if that is within the player's limits.
    pub(super) fn reachable(&self, hit: &Hit) -> Option<Hit> {
        let hit = self.playable(hit).ok()?;
        (hit.elevation_deg <= self.player.limits.steepest_deg).then_some(hit)
    }

    /// `hit` aimed as `sight` says and raised as far as it must be, if that can be done within the player's limits.
    pub(super) fn sighted(
        &self,
        engine: &mut Engine,
        hit: &Hit,
        sight: Sight,
    ) -> Result<Option<Hit>, StrokeError> {
        self.raised(hit, |hit| self.aimed(engine, hit, sight))
    }

    /// As [`Self::sighted`]; without a sight the direction stays.
    pub(super) fn sighted_or_reachable(
        &self,
        engine: &mut Engine,
        hit: &Hit,
        sight: Option<Sight>,
    ) -> Result<Option<Hit>, StrokeError> {
        match sight {
            Some(sight) => self.sighted(engine, hit, sight),
            None => Ok(self.reachable(hit)),
        }
    }

    /// As [`Self::sighted`] from a direction that is near already, roughly and quicker.
    pub(super) fn sighted_at_a_look(
        &self,
        engine: &mut Engine,
        hit: &Hit,
        sight: Sight,
    ) -> Result<Option<Hit>, StrokeError> {
        self.raised(hit, |hit| self.aimed_at_a_look(engine, hit, sight))
    }

    /// `hit` aimed, and raised as far as it must be.
    fn raised(
        &self,
        hit: &Hit,
        mut aimed: impl FnMut(&Hit) -> Result<Option<Hit>, StrokeError>,
    ) -> Result<Option<Hit>, StrokeError> {
        let Some(level) = aimed(hit)? else { return Ok(None) };
        let Some(raised) = self.reachable(&level) else { return Ok(None) };
        // A raised cue swerves: its direction is solved again.
        if raised.elevation_deg > 0.0 { aimed(&raised) } else { Ok(Some(raised)) }
    }

    /// Hits over the ranges of speed and tip, each in many directions.
    fn directed(&self) -> Vec<Hit> {
        let mut hits = Vec::new();
        for hit in self.plain_hits() {
            if let Some(target) = self.plan.target() {
                hits.extend(self.over_ball(&hit, target));
            }
            // All around as well where a ball is meant: a rail may lead to it.
            hits.extend(self.around(&hit));
        }
        hits
    }

    /// Hits all around.
    #[allow(clippy::unused_self)]
    fn around(&self, hit: &Hit) -> impl Iterator<Item = Hit> + use<> {
        let hit = *hit;
        (0..AROUND).map(move |k| Hit { direction_deg: 360.0 * f64::from(k) / f64::from(AROUND), ..hit })
    }

    /// Hits that go from one edge of ball `target` to the other.
    fn over_ball(&self, hit: &Hit, target: usize) -> impl Iterator<Item = Hit> + use<> {
        let balls = self.layout.balls();
        let (cue, ball) = (&balls[self.plan.cue], &balls[target]);
        let way: Vec2 = ball.position - cue.position;
        let middle = fx::atan2(way.y, way.x).to_degrees();
        let widest = fx::asin(((cue.radius_m + ball.radius_m) / way.norm().max(1e-9)).min(1.0)).to_degrees();
        let hit = *hit;
        (0..OVER_BALL).map(move |k| {
            let share = 2.0 * f64::from(k) / f64::from(OVER_BALL - 1) - 1.0;
            Hit { direction_deg: middle + 0.995 * share * widest, ..hit }
        })
    }

    /// Speeds and tips: few, since each is tried in many directions.
    fn plain_hits(&self) -> Vec<Hit> {
        let limits = &self.player.limits;
        let factor = limits.hardest_mps / limits.softest_mps;
        let speed = |k: u32| limits.softest_mps * fx::pow(factor, f64::from(k) / f64::from(SPEEDS - 1));
        let sides =
            if limits.most_side > 0.0 { vec![-limits.most_side, 0.0, limits.most_side] } else { vec![0.0] };
        let mut hits = Vec::new();
        for k in 0..SPEEDS {
            for tip_up in [-limits.most_draw, 0.0, limits.most_follow] {
                for &tip_right in &sides {
                    let hit = Hit { tip_up, tip_right, ..Hit::plain(speed(k), 0.0) };
                    // Both at once may be too far out.
                    if hit.tip_offset() <= 0.47 {
                        hits.push(hit);
                    }
                }
            }
        }
        hits
    }
}
