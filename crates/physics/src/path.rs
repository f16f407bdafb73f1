//! Points along a ball's path, from the legs of a log.

use longrail_math::Vec2;

use crate::engine::Leg;

/// A point of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Seconds after the strike.
    pub t_s: f64,
    /// Centre of the ball, in metres.
    pub position: Vec2,
    /// Height above the bed, in metres; zero on the cloth.
    pub height_m: f64,
}

/// The path of `ball` as points: one at every start and end of a leg, and between them as many as keep them at
/// most `interval_s` apart in time. Empty for a ball that never moved.
pub fn sample(legs: &[Leg], ball: usize, interval_s: f64) -> Vec<Point> {
    let mut points: Vec<Point> = Vec::new();
    for leg in legs.iter().filter(|leg| leg.ball == ball) {
        let point = |t_s: f64| Point { t_s, position: leg.position(t_s), height_m: leg.height(t_s).max(0.0) };
        if points.last().is_none_or(|last| last.t_s < leg.from_s) {
            points.push(point(leg.from_s));
        }
        let span = leg.to_s - leg.from_s;
        // A shot of an hour at a millisecond is 3.6 million points: far below what a u32 holds.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let parts = (span / interval_s.max(1e-3)).ceil().clamp(1.0, 1e7) as u32;
        for k in 1..parts {
            points.push(point(leg.from_s + span * f64::from(k) / f64::from(parts)));
        }
        points.push(point(leg.to_s));
    }
    points
}
