//! The coarse search where a ball is to be potted straight in: a lattice of speeds and tips, the direction solved at each.
//!
//! The ball is sent at the middle of the mouth, beside it where the pocket is wide for the player, and by way of a rail where it
//! lies near one. Each hit is played a few times, as intended and with errors of aim, other ones at each point. What a stroke's errors do is
//! read off the neighbours in the lattice: the chance at a point is the mean of what its neighbours make, weighed by how
//! likely the stroke is to land on them. So a whole lattice costs hardly more shots than the odds of one hit.

use longrail_math::fx;
use longrail_physics::Engine;
use longrail_physics::table::{PocketId, Rail};
use longrail_stats::special::normal_quantile;

use super::aim::Sight;
use super::climb::LEAST;
use super::{Candidate, Kind};
use crate::Hit;
use crate::error::StrokeError;
use crate::odds::Setting;
use crate::whole;

/// Tips from most draw to most follow.
const TIPS: usize = 9;
/// Tips from side to side, if the player uses side.
const SIDES: usize = 5;

/// Errors of aim that are played at each point, and by how much of the way between them they move on from one point to the
/// next: the golden section, which keeps neighbours' errors apart.
const AIMS: u32 = 3;
const GOLDEN: f64 = 0.618_033_988_749_895;

/// Steps in the lattice from which on no neighbour counts.
const FAR: usize = 12;

/// A hit that lacks more than this as intended (m) is not played with errors: none of them would make up for it.
const FAR_M: f64 = 0.2;

/// Offsets from the middle of the mouth that are tried, nearest first: so many, so far apart (m). A ball on a rail that is cut
/// into the rail has to be sent far aside.
const OFFSETS: i32 = 23;
const OFFSET_M: f64 = 0.006;

/// A ball drops, as a rule, up to so far (m) aside of the middle of the mouth.
const WIDE_M: f64 = 0.03;

/// Errors of aim, in spreads, that a sight aside of the middle leaves room for, and distance between sights: in spreads, and in
/// metres at the least.
const SURE: f64 = 1.5;
const NEXT: f64 = 3.0;
const NEXT_M: f64 = 0.0125;

/// A point of the lattice that was played.
struct Point {
    place: [usize; 4],
    candidate: Candidate,
    /// Share of the aims that made it.
    made: f64,
}

impl Setting<'_> {
    /// Hits of `count` speeds, from softest to hardest by equal factors, that send `ball` straight into `pocket`, with their
    /// scores.
    pub(super) fn lattice(
        &self,
        engine: &mut Engine,
        count: usize,
        ball: usize,
        pocket: PocketId,
    ) -> Result<Vec<Candidate>, StrokeError> {
        let (sights, spacing) = self.sights(engine, ball, pocket)?;
        let (plain, steps) = self.plain_lattice(count);
        let mut points: Vec<Point> = Vec::new();
        // From the last direction to a sight the next is not far.
        let mut directions: Vec<Option<f64>> = vec![None; sights.len()];
        for ([i, j, k], hit) in plain {
            for (l, (&sight, last)) in sights.iter().zip(&mut directions).enumerate() {
                let aimed = match *last {
                    None => self.sighted(engine, &hit, sight)?,
                    Some(direction_deg) => {
                        self.sighted_at_a_look(engine, &Hit { direction_deg, ..hit }, sight)?
                    }
                };
                if let Some(hit) = aimed {
                    *last = Some(hit.direction_deg);
                    points.push(self.point(engine, hit, sight, [i, j, k, l])?);
                }
            }
        }
        let spread = &self.player.stroke;
        let widths = [
            spread.speed_sd / steps[0],
            spread.tip_up_sd / steps[1],
            spread.tip_right_sd / steps[2],
            spacing,
        ];
        let shares = widths.map(falling);
        Ok(points.iter().map(|point| smoothed(point, &points, &shares)).collect())
    }

    /// Places in the lattice with their hits, not directed yet, and what a step is in the logarithm of speed and in the tip's
    /// place.
    fn plain_lattice(&self, count: usize) -> (Vec<([usize; 3], Hit)>, [f64; 3]) {
        let limits = &self.player.limits;
        let factor = limits.hardest_mps / limits.softest_mps;
        let speeds = shares(count).map(|share| limits.softest_mps * fx::pow(factor, 0.5 * (share + 1.0)));
        let ups: Vec<f64> = shares(TIPS)
            .map(|share| share * if share < 0.0 { limits.most_draw } else { limits.most_follow })
            .collect();
        let sides: Vec<f64> = if limits.most_side > 0.0 {
            shares(SIDES).map(|share| share * limits.most_side).collect()
        } else {
            vec![0.0]
        };
        let mut hits = Vec::with_capacity(count * ups.len() * sides.len());
        for (i, speed_mps) in speeds.enumerate() {
            for (j, &tip_up) in ups.iter().enumerate() {
                for (k, &tip_right) in sides.iter().enumerate() {
                    let hit = Hit { tip_up, tip_right, ..Hit::plain(speed_mps, 0.0) };
                    // Both at once may be too far out.
                    if hit.tip_offset() <= 0.47 {
                        hits.push(([i, j, k], hit));
                    }
                }
            }
        }
        let steps = [
            fx::ln(factor).max(1e-9) / whole(count - 1),
            (limits.most_draw + limits.most_follow).max(1e-9) / whole(TIPS - 1),
            (2.0 * limits.most_side).max(1e-9) / whole(SIDES - 1),
        ];
        (hits, steps)
    }

    /// Where the ball may be sent, nothing if it cannot be sent into the pocket at all; and the spread of aim as a share of the
    /// distance between two sights.
    fn sights(
        &self,
        engine: &mut Engine,
        ball: usize,
        pocket: PocketId,
    ) -> Result<(Vec<Sight>, f64), StrokeError> {
        let (mut sights, mut spacing) = (Vec::new(), 0.0);
        if let Some(direct) = self.nearest_sight(engine, ball, pocket, None)? {
            (sights, spacing) = fanned(direct);
        }
        for rail in self.rails_along(ball, pocket)? {
            sights.extend(self.nearest_sight(engine, ball, pocket, Some(rail))?);
        }
        Ok((sights, spacing))
    }

    /// At the middle of the mouth, by way of `rail` if there is one; or, where a ball on a rail cannot be sent there, as near to
    /// it as can be. None if the ball cannot be sent into the pocket so.
    fn nearest_sight(
        &self,
        engine: &mut Engine,
        ball: usize,
        pocket: PocketId,
        rail: Option<Rail>,
    ) -> Result<Option<Sight>, StrokeError> {
        let limits = &self.player.limits;
        let plain = Hit::plain((limits.softest_mps * limits.hardest_mps).sqrt(), 0.0);
        let middle = Sight { ball, pocket, past_m: 0.0, spread_m: 0.0, rail };
        let spread_deg = self.player.stroke.aim_sd_deg.max(LEAST[0]);
        let spread_m = spread_deg * self.past_per_degree(middle).abs();
        for k in 0..OFFSETS {
            let steps = f64::from((k + 1) / 2);
            let past_m = OFFSET_M * if k % 2 == 1 { steps } else { -steps };
            let sight = Sight { past_m, spread_m, ..middle };
            if self.sighted(engine, &plain, sight)?.is_some() {
                return Ok(Some(sight));
            }
        }
        Ok(None)
    }

    fn point(
        &self,
        engine: &mut Engine,
        hit: Hit,
        sight: Sight,
        place: [usize; 4],
    ) -> Result<Point, StrokeError> {
        let lack = self.lacking(engine, &hit)?;
        let stroke = self.stroke(&hit);
        let [i, j, k, l] = place.map(whole);
        let shift = (GOLDEN * (i + 2.0 * j + 5.0 * k + 3.0 * l)).fract();
        let mut made = 0.0;
        let aims = if lack.size > FAR_M { 0 } else { AIMS };
        for aim in 0..aims {
            let error = normal_quantile(((f64::from(aim) + shift) / f64::from(AIMS)).max(1e-3));
            let direction_deg = hit.direction_deg + error * stroke.aim_sd_deg;
            if self.play(engine, &Hit { direction_deg, ..hit })?.made() {
                made += 1.0 / f64::from(AIMS);
            }
        }
        let candidate = Candidate { hit, sight: Some(sight), kind: Kind::of(&hit, &lack), score: -lack.size };
        Ok(Point { place, candidate, made })
    }
}

/// The point's candidate with the chance that its neighbours show; one that fails as intended keeps what it lacks, unless
/// its neighbours make it.
fn smoothed(point: &Point, points: &[Point], shares: &[[f64; FAR]; 4]) -> Candidate {
    let (mut sum, mut made) = (0.0, 0.0);
    for other in points {
        let mut weight = 1.0;
        for ((mine, its), share) in point.place.iter().zip(other.place).zip(shares) {
            weight *= share[mine.abs_diff(its).min(FAR - 1)];
        }
        sum += weight;
        made += weight * other.made;
    }
    let chance = made / sum;
    let score = if chance > 0.0 { chance } else { point.candidate.score };
    Candidate { score, ..point.candidate }
}

/// What a neighbour so many steps away counts for, in one number of the lattice over which the stroke spreads by `width` steps;
/// nothing where it is far.
fn falling(width: f64) -> [f64; FAR] {
    std::array::from_fn(|steps| {
        // A third of a step of the lattice is its own coarseness.
        let square = whole(steps) * whole(steps) / (width * width + 0.1);
        if steps == FAR - 1 || square > 9.0 { 0.0 } else { fx::exp(-0.5 * square) }
    })
}

/// `middle`, and sights aside of it from which the ball still drops if the aim errs by [`SURE`] spreads; and the spread of aim
/// as a share of the distance between them. Where the pocket is wide for this player, where in it the ball is sent decides where
/// the cue ball goes.
fn fanned(middle: Sight) -> (Vec<Sight>, f64) {
    let farthest_m = WIDE_M - SURE * middle.spread_m;
    // A few at most.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let aside = (farthest_m / NEXT_M.max(NEXT * middle.spread_m)).round().max(0.0) as usize;
    if aside == 0 || middle.past_m != 0.0 {
        return (vec![middle], 0.0);
    }
    let at = |share: f64| Sight { past_m: share * farthest_m, ..middle };
    (shares(2 * aside + 1).map(at).collect(), middle.spread_m * whole(aside) / farthest_m)
}

/// `count` even shares from −1 to 1.
fn shares(count: usize) -> impl Iterator<Item = f64> {
    (0..count).map(move |k| 2.0 * whole(k) / whole(count - 1) - 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ball_is_sent_beside_the_middle_only_where_it_drops_there_as_surely() {
        let fan = |spread_m, past_m| {
            let middle = Sight { ball: 1, pocket: PocketId::FootLeft, past_m, spread_m, rail: None };
            let (sights, spacing) = fanned(middle);
            (sights.into_iter().map(|sight| sight.past_m).collect::<Vec<_>>(), spacing)
        };
        // Close: to both sides, as far as the mouth is wide less the errors of aim, and symmetric about the middle.
        let (close, spacing) = fan(0.002, 0.0);
        assert_eq!(close.len(), 5);
        assert!((close[4] - (WIDE_M - SURE * 0.002)).abs() < 1e-12 && close[2] == 0.0, "{close:?}");
        assert!((close[0] + close[4]).abs() < 1e-12 && (spacing - 0.002 / close[3]).abs() < 1e-12);
        // From afar, or where a rail leaves no choice: one.
        assert_eq!(fan(0.02, 0.0).0, [0.0]);
        assert_eq!(fan(0.002, 0.03).0, [0.03]);
    }
}
