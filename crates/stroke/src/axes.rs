//! The errors that matter most, as directions in the space of all errors.
//!
//! Errors of direction, speed and tip are independent and normal, so a rotation of them is as good as they are. Turned so
//! that the first coordinate is what moves the object ball's heading and the next are what moves the cue ball's end, evenly
//! spread nodes meet the edges of a goal squarely, and the same number of them tells the odds better (Imai & Tan 2006, "A
//! general dimension reduction technique for derivative pricing", J. Comput. Finance 10(2): the linear transformation).

use longrail_math::Vec2;
use longrail_physics::table::PocketId;
use longrail_physics::{Engine, Event, Kind, Leg, Record};

use crate::Hit;
use crate::error::StrokeError;
use crate::goal::Fates;
use crate::nodes::{Node, dot};
use crate::odds::{Setting, scattered};
use crate::stroke::Stroke;

/// Errors with which the shot's response is measured, in standard deviations.
const STEP: f64 = 0.25;

/// Shorter than this, what is left of a direction after those before it says nothing.
const NOTHING: f64 = 1e-6;

/// A rotation of errors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Axes([Node; 4]);

impl Axes {
    /// The errors as they are.
    pub(crate) const PLAIN: Self =
        Self([[1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0]]);

    /// Axes of which the first are these directions, as far as they are independent, each next turned square to those before.
    fn along(wanted: &[Node]) -> Self {
        let mut axes = Self::PLAIN.0;
        let mut found = 0;
        for direction in wanted.iter().chain(&Self::PLAIN.0) {
            let mut rest = *direction;
            for axis in &axes[..found] {
                let share = dot(&rest, axis);
                rest = std::array::from_fn(|k| rest[k] - share * axis[k]);
            }
            let length = dot(&rest, &rest).sqrt();
            if found < 4 && length > NOTHING * dot(direction, direction).sqrt() {
                axes[found] = rest.map(|part| part / length);
                found += 1;
            }
        }
        Self(axes)
    }

    /// Errors of direction, speed and tip that lie at `node` along the axes.
    pub(crate) fn errors(&self, node: &Node) -> Node {
        std::array::from_fn(|k| node.iter().zip(&self.0).map(|(along, axis)| along * axis[k]).sum())
    }
}

/// Watches where the ball that the cue ball meets first is sent.
struct Heading {
    cue: usize,
    way: Option<Vec2>,
    /// Where it goes, if its way is of no interest, and the ball from then on.
    goes: Option<PocketId>,
    gone: Option<(usize, PocketId)>,
}

impl Record for Heading {
    const EVENTS: bool = true;
    const LEGS: bool = false;
    const CHANGES: bool = false;

    fn event(&mut self, event: &Event) {
        if let Kind::Ball { with } = event.kind
            && self.way.is_none()
            && (event.ball == self.cue || with == self.cue)
        {
            let (place, ball) = if event.ball == self.cue { (1, with) } else { (0, event.ball) };
            let way = event.after[place].velocity.xy();
            let speed = way.norm();
            self.way = (speed > 0.0).then(|| way / speed);
            self.gone = self.goes.map(|pocket| (ball, pocket));
        }
    }

    fn leg(&mut self, _: &Leg) {}

    fn foretold(&mut self) -> Option<(usize, PocketId)> {
        self.gone.take()
    }
}

impl Setting<'_> {
    /// The axes for `hit` with `stroke`; some shots are played to find them.
    pub(crate) fn axes(&self, engine: &mut Engine, hit: &Hit, stroke: &Stroke) -> Result<Axes, StrokeError> {
        let goes = self.plan.fates.as_ref().map(Fates::pocket);
        let mut response = |node: &Node| -> Result<(Option<Vec2>, Vec2), StrokeError> {
            let mut heading = Heading { cue: self.plan.cue, way: None, goes, gone: None };
            let played = scattered(hit, stroke, node);
            engine.play(self.world, self.layout, Some(&played), &self.player.cue(), &mut heading)?;
            Ok((heading.way, engine.position(self.plan.cue)))
        };
        let (way, end) = response(&[0.0; 4])?;
        let (mut turns, mut ends) = ([0.0; 4], [Vec2::ZERO; 4]);
        for k in 0..4 {
            let mut node = [0.0; 4];
            node[k] = STEP;
            let (its_way, its_end) = response(&node)?;
            turns[k] = way.zip(its_way).map_or(0.0, |(way, its)| way.cross(its));
            ends[k] = its_end - end;
        }
        // The direction of the end that moves most: the larger eigenvector of the 2 × 2 matrix of its squares.
        let (xs, ys) = (ends.map(|end| end.x), ends.map(|end| end.y));
        let (xx, xy, yy) = (dot(&xs, &xs), dot(&xs, &ys), dot(&ys, &ys));
        let angle = 0.5 * longrail_math::fx::atan2(2.0 * xy, xx - yy);
        let most = Vec2::from_angle(angle);
        let moved = |towards: Vec2| ends.map(|end| end.dot(towards));
        Ok(Axes::along(&[turns, moved(most), moved(most.turned_left())]))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_are_a_rotation_that_begins_with_what_is_wanted() {
        let first = [3.0, 0.0, 4.0, 0.0];
        // The second is the first again, and says nothing.
        let axes = Axes::along(&[first, first, [0.0, 1.0, 0.0, 1.0]]);
        for (i, a) in axes.0.iter().enumerate() {
            for (j, b) in axes.0.iter().enumerate() {
                let expected = if i == j { 1.0 } else { 0.0 };
                assert!((dot(a, b) - expected).abs() < 1e-12, "{i} {j}");
            }
        }
        let along = axes.errors(&[1.0, 0.0, 0.0, 0.0]);
        assert!(along.iter().zip([0.6, 0.0, 0.8, 0.0]).all(|(a, b)| (a - b).abs() < 1e-12), "{along:?}");
        assert_eq!(Axes::along(&[[0.0; 4]]), Axes::PLAIN);
    }
}
