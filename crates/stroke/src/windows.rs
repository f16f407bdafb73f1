//! How far a hit may stray before its goal fails, one error at a time.

use longrail_physics::{Ball, Engine};
use serde::Serialize;

use crate::Hit;
use crate::error::StrokeError;
use crate::odds::Setting;

/// How far one quantity may stray to either side of what was intended. A bound not found within the range looked at is
/// that range.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Window {
    /// Downwards, to the right, or softer: at most 0.
    pub below: f64,
    /// Upwards, to the left, or harder: at least 0.
    pub above: f64,
}

/// The windows of a hit.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Windows {
    /// Direction in degrees; positive is left.
    pub aim_deg: Window,
    /// The same in millimetres at the first ball, or a metre away where there is none.
    pub aim_mm: Window,
    /// Speed in per cent.
    pub speed_percent: Window,
    /// Tip to the right, in millimetres.
    pub tip_right_mm: Window,
    /// Tip upwards, in millimetres.
    pub tip_up_mm: Window,
}

/// Points looked at on one side before the edge is narrowed down.
const SCAN: u32 = 24;

/// Halvings of the interval that holds an edge.
const HALVINGS: u32 = 18;

/// Farthest error in direction that is looked at, in degrees.
const AIM_DEG: f64 = 6.0;

impl Setting<'_> {
    /// How far `hit`, which should make its goal, may stray.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn windows(&self, engine: &mut Engine, hit: &Hit) -> Result<Windows, StrokeError> {
        let mut find = |most: f64, change: &dyn Fn(f64) -> Hit| -> Result<Window, StrokeError> {
            Ok(Window {
                below: -self.edge(engine, most, &|x| change(-x))?,
                above: self.edge(engine, most, change)?,
            })
        };
        let cue_ball: &Ball = &self.layout.balls()[self.plan.cue];
        let radius_mm = 1e3 * cue_ball.radius_m;
        let aim_deg = find(AIM_DEG, &|x| Hit { direction_deg: hit.direction_deg + x, ..*hit })?;
        let speed = find(0.9, &|x| Hit { speed_mps: (hit.speed_mps * (1.0 + x)).clamp(1e-3, 20.0), ..*hit })?;
        let right = find(0.5, &|x| Hit { tip_right: hit.tip_right + x, ..*hit })?;
        let up = find(0.5, &|x| Hit { tip_up: hit.tip_up + x, ..*hit })?;
        let lever_m = match self.plan.target() {
            Some(ball) => (self.layout.balls()[ball].position - cue_ball.position).norm(),
            None => 1.0,
        };
        let times = |window: Window, factor: f64| Window {
            below: window.below * factor,
            above: window.above * factor,
        };
        Ok(Windows {
            aim_deg,
            aim_mm: times(aim_deg, 1e3 * lever_m.max(0.0) * 1f64.to_radians()),
            speed_percent: times(speed, 100.0),
            tip_right_mm: times(right, radius_mm),
            tip_up_mm: times(up, radius_mm),
        })
    }

    /// The first error between 0 and `most` with which the goal fails.
    fn edge(&self, engine: &mut Engine, most: f64, change: &dyn Fn(f64) -> Hit) -> Result<f64, StrokeError> {
        // Points crowd towards zero, where narrow windows end.
        let at = |k: u32| most * (f64::from(k) / f64::from(SCAN)) * (f64::from(k) / f64::from(SCAN));
        let mut inside = 0.0;
        for k in 1..=SCAN {
            if self.play(engine, &change(at(k)))?.made() {
                inside = at(k);
                continue;
            }
            let mut outside = at(k);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (inside + outside);
                if self.play(engine, &change(middle))?.made() { inside = middle } else { outside = middle }
            }
            return Ok(0.5 * (inside + outside));
        }
        Ok(most)
    }
}
