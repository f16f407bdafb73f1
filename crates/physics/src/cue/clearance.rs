//! What forces the cue up: a rail or a ball behind the cue ball.
//!
//! The cue is a cylinder of the shaft's radius whose axis runs from the contact point backwards and up.
//! It must clear the top of every nose line it crosses within the length of a cue, and every other ball by its
//! radius. Geometry alone; the rail's top is taken level with the nose, an assumption that errs low by the
//! few millimetres by which rails rise behind it.

use longrail_math::{Vec2, fx};

use super::{Cue, Stroke};
use crate::ball::Ball;
use crate::error::ShotError;
use crate::table::{Rail, TableSpec};

/// How far behind the cue ball the cue is low enough to touch anything, in metres: the length of a cue
/// (common practice, no source).
const REACH_M: f64 = 1.47;

/// Steepest cue that anyone can hold, in degrees: an assumption.
const STEEPEST_DEG: f64 = 85.0;

/// What to do where the cue is forced up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clearance {
    /// Play the stroke as given, as textbooks do. The default. Only a place that no elevation reaches is
    /// refused.
    Ideal,
    /// Raise the cue to the least elevation that clears.
    Raise,
    /// Refuse a stroke whose elevation does not clear.
    Refuse,
}

/// What is in the way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Obstacle {
    /// A rail behind the cue ball.
    Rail(Rail),
    /// A ball behind the cue ball.
    Ball(String),
}

impl std::fmt::Display for Obstacle {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Rail(rail) => write!(f, "the {} rail", rail.name()),
            Self::Ball(id) => write!(f, "ball {id:?}"),
        }
    }
}

/// A stroke to be played among rails and balls.
#[derive(Clone, Copy, Debug)]
pub struct Cueing<'a> {
    /// The table.
    pub table: &'a TableSpec,
    /// Height of its noses above the bed, in metres.
    pub nose_height_m: f64,
    /// The cue.
    pub cue: &'a Cue,
    /// The stroke, whose own elevation is what is asked for.
    pub stroke: &'a Stroke,
    /// The ball that it hits.
    pub cue_ball: &'a Ball,
    /// All balls; the cue ball may be among them.
    pub balls: &'a [Ball],
}

impl Cueing<'_> {
    /// The least elevation in degrees at which the cue clears rails and balls, with what forces it; zero and
    /// `None` where nothing does.
    ///
    /// # Errors
    /// [`ShotError::Cueing`] where no elevation up to 85° clears.
    pub fn forced_elevation(&self) -> Result<(f64, Option<Obstacle>), ShotError> {
        let mut worst = (0.0, None);
        let rails = Rail::ALL
            .map(|rail| (Obstacle::Rail(rail), least(&|elevation| self.clears_rail(rail, elevation))))
            .into_iter();
        let others = self.balls.iter().filter(|ball| ball.id != self.cue_ball.id).map(|ball| {
            (Obstacle::Ball(ball.id.clone()), least(&|elevation| self.clears_ball(ball, elevation)))
        });
        for (obstacle, needed) in rails.chain(others) {
            let Some(needed) = needed else {
                let reason = format!(
                    "{obstacle} is behind the cue ball and no cue up to {STEEPEST_DEG}° clears it; \
                     aim elsewhere or hit higher on the ball"
                );
                return Err(ShotError::Cueing { reason });
            };
            if needed > worst.0 {
                worst = (needed, Some(obstacle));
            }
        }
        Ok(worst)
    }

    /// The stroke as it can be played: as given, or raised, by the cue's [`Clearance`].
    ///
    /// # Errors
    /// [`ShotError::Cueing`] where no cue can be laid, or where the elevation given does not clear and the cue
    /// is not to be raised.
    pub fn playable(&self) -> Result<Stroke, ShotError> {
        let (least_deg, obstacle) = self.forced_elevation()?;
        match (self.cue.clearance, obstacle) {
            (Clearance::Ideal, _) | (_, None) => Ok(*self.stroke),
            _ if self.stroke.elevation_deg >= least_deg => Ok(*self.stroke),
            (Clearance::Raise, _) => Ok(Stroke { elevation_deg: least_deg, ..*self.stroke }),
            (Clearance::Refuse, Some(obstacle)) => Err(ShotError::Cueing {
                reason: format!(
                    "{obstacle} behind the cue ball forces the cue up to {least_deg:.1}°, and the stroke has {}°",
                    self.stroke.elevation_deg
                ),
            }),
        }
    }

    /// Contact point (over the bed, and height) and the level direction backwards, with sine and cosine of
    /// the elevation.
    fn cue_line(&self, elevation_deg: f64) -> (Vec2, f64, Vec2, f64, f64) {
        let (sin, cos) = fx::sin_cos(elevation_deg.to_radians());
        let aim = Vec2::from_angle(self.stroke.direction_deg.to_radians());
        let right = Vec2::new(aim.y, -aim.x);
        let radius = self.cue_ball.radius_m;
        let depth = (1.0 - self.stroke.tip_offset() * self.stroke.tip_offset()).max(0.0).sqrt();
        let up = self.stroke.tip_up;
        let flat = self.cue_ball.position
            + (right * self.stroke.tip_right + aim * (up * sin - depth * cos)) * radius;
        let height = radius * (1.0 + up * cos + depth * sin);
        (flat, height, -aim, sin, cos)
    }

    fn clears_rail(&self, rail: Rail, elevation_deg: f64) -> bool {
        let (from, height, back, sin, cos) = self.cue_line(elevation_deg);
        let outward = rail.outward();
        let gap = match rail {
            Rail::Head => from.x,
            Rail::Right => from.y,
            Rail::Foot => self.table.length_m - from.x,
            Rail::Left => self.table.width_m - from.y,
        };
        let rate = back.dot(outward) * cos;
        if rate <= 1e-9 || cos == 0.0 {
            return gap > 0.0 || height > self.nose_height_m;
        }
        let run = gap.max(0.0) / rate;
        if run > REACH_M {
            return true;
        }
        // The underside of the shaft is lower than its axis by the radius over the cosine.
        height + run * sin - self.cue.shaft_radius_m / cos >= self.nose_height_m
    }

    fn clears_ball(&self, ball: &Ball, elevation_deg: f64) -> bool {
        let (from, height, back, sin, cos) = self.cue_line(elevation_deg);
        let axis = (back * cos).with_z(sin);
        let to = (ball.position - from).with_z(ball.radius_m - height);
        let run = to.dot(axis).clamp(0.0, REACH_M);
        (to - axis * run).norm() >= ball.radius_m + self.cue.shaft_radius_m
    }
}

/// The least elevation that clears, to a hundredth of a degree; scanned, because raising the cue also moves the
/// contact point, so clearing need not be monotone.
fn least(clears: &impl Fn(f64) -> bool) -> Option<f64> {
    if clears(0.0) {
        return Some(0.0);
    }
    let steps = 170_u32;
    let at = |i: u32| STEEPEST_DEG * f64::from(i) / f64::from(steps);
    let first = (1..=steps).find(|&i| clears(at(i)))?;
    let (mut low, mut high) = (at(first - 1), at(first));
    while high - low > 0.005 {
        let middle = 0.5 * (low + high);
        if clears(middle) { high = middle } else { low = middle }
    }
    Some(high)
}
