//! What a ball on the cloth meets next: a nose, or in a pocket's mouth a jaw, a facing or the drop edge.
//!
//! Everything but a nose lies outside the inner rectangle, the one that a centre keeps to while it is clear
//! of all nose lines. So the path's own box is tested first (almost all phases end there), then the first
//! exit from the inner rectangle: in front of a nose it *is* the contact. Only a path that leaves through a
//! mouth is tried against the parts of that pocket.

use longrail_math::Vec2;
use longrail_math::roots::{Approach, TOUCH, first_contact, next_closing};

use super::{Meeting, sooner};
use crate::motion::Body;
use crate::table::Pocket;
#[cfg(doc)]
use crate::table::Rail;
use crate::world::{RailLine, World};

/// Deeper (m) than this no ball is let into rubber; each soft touch puts it back.
const DEEPEST: f64 = 1e-6;

/// Time from the start of `body`'s phase and what it meets; [`Meeting::RunOut`] if nothing comes before.
#[inline]
pub(crate) fn next(world: &World, body: &Body) -> (f64, Meeting) {
    let horizon = body.until - body.since;
    let path = Path::new(body, horizon);
    let crossed = path.crossed(world, body.reach);
    if crossed == [false; 4] {
        return (horizon, Meeting::RunOut);
    }
    // First exit from the inner rectangle.
    let mut exit: (f64, Option<&RailLine>) = (horizon, None);
    let mut outside = false;
    for (line, crossed) in world.rails.iter().zip(crossed) {
        if !crossed {
            continue;
        }
        let gap = line.gap(body.p) - body.reach;
        outside |= gap < -TOUCH;
        if let Some(time) = next_closing(gap, -line.outward.dot(body.v), -line.outward.dot(body.a))
            && time < exit.0
        {
            exit = (time, Some(line));
        }
    }
    if !outside {
        match exit {
            (_, None) => return (horizon, Meeting::RunOut),
            (time, Some(line)) if line.has_nose_at(path.at(time)) => return (time, Meeting::Nose(line.rail)),
            _ => {}
        }
    }
    among_all(world, &path, body.reach, crossed)
}

/// Every nose and every pocket that the path's box reaches, without the shortcuts.
#[cold]
fn among_all(world: &World, path: &Path, reach: f64, crossed: [bool; 4]) -> (f64, Meeting) {
    let mut best = (path.horizon, Meeting::RunOut);
    let Approach { p, v, a } = path.course;
    for (line, _) in world.rails.iter().zip(crossed).filter(|(_, crossed)| *crossed) {
        let gap = at_least_touching(line.gap(p) - reach, line.has_nose_at(p));
        let time = next_closing(gap, -line.outward.dot(v), -line.outward.dot(a))
            .filter(|&time| time < best.0 && line.has_nose_at(path.at(time)));
        sooner(&mut best, time, Meeting::Nose(line.rail));
    }
    for pocket in world.table().pockets() {
        if !path.comes_near(pocket, reach) {
            continue;
        }
        // The hole first: most balls that come here drop, and what comes later need not be found.
        let from_hole = Approach { p: p - pocket.drop_centre, v, a };
        let time = first_contact(&from_hole, pocket.drop_radius, best.0);
        sooner(&mut best, time, Meeting::Drop(pocket.id));
        for (k, jaw) in pocket.jaws.iter().enumerate() {
            let from_point = Approach { p: p - jaw.point, v, a };
            let time = first_contact(&from_point, reach, best.0);
            sooner(&mut best, time, Meeting::Jaw(pocket.id, k));
            let n = jaw.inward;
            let beside = from_point.p.dot(jaw.along) >= -TOUCH;
            let gap = at_least_touching(n.dot(from_point.p) - reach, beside);
            let time = next_closing(gap, n.dot(v), n.dot(a))
                .filter(|&time| time < best.0 && (path.at(time) - jaw.point).dot(jaw.along) >= -TOUCH);
            sooner(&mut best, time, Meeting::Facing(pocket.id, k));
        }
    }
    best
}

/// The gap to a line of rubber, of which a ball `beside` it is let in a little too deep by many soft touches: it touches,
/// where a gap that is negative otherwise says that the ball is behind the line and free of it.
#[inline]
fn at_least_touching(gap: f64, beside: bool) -> f64 {
    if beside && gap < -TOUCH && gap > -DEEPEST { -TOUCH } else { gap }
}

/// The path of a phase with the box that holds it.
struct Path {
    course: Approach<Vec2>,
    horizon: f64,
    low: Vec2,
    high: Vec2,
}

impl Path {
    #[inline]
    fn new(body: &Body, horizon: f64) -> Self {
        let course = Approach { p: body.p, v: body.v, a: body.a };
        let end = body.p + (body.v + body.a * horizon) * horizon;
        let (x0, x1) = span(body.p.x, body.v.x, body.a.x, horizon, end.x);
        let (y0, y1) = span(body.p.y, body.v.y, body.a.y, horizon, end.y);
        Self { course, horizon, low: Vec2::new(x0, y0), high: Vec2::new(x1, y1) }
    }

    #[inline]
    fn at(&self, s: f64) -> Vec2 {
        self.course.p + (self.course.v + self.course.a * s) * s
    }

    /// Which sides of the inner rectangle the box of the path reaches over, in the order of [`Rail::ALL`].
    #[inline]
    fn crossed(&self, world: &World, reach: f64) -> [bool; 4] {
        let spec = world.table().spec();
        [
            self.low.x < reach,
            self.high.x > spec.length_m - reach,
            self.low.y < reach,
            self.high.y > spec.width_m - reach,
        ]
    }

    /// Whether the box of the path reaches the square around a pocket within which its parts can be touched.
    #[inline]
    fn comes_near(&self, pocket: &Pocket, reach: f64) -> bool {
        let half = pocket.width + reach;
        let m = pocket.mouth;
        self.low.x <= m.x + half
            && self.high.x >= m.x - half
            && self.low.y <= m.y + half
            && self.high.y >= m.y - half
    }
}

/// Lowest and highest value of p + v s + a s² for s from 0 to `horizon`, where it is `end`.
#[inline]
fn span(p: f64, v: f64, a: f64, horizon: f64, end: f64) -> (f64, f64) {
    let (mut low, mut high) = if p < end { (p, end) } else { (end, p) };
    // A vertex inside, where the rate changes sign.
    if v * (v + 2.0 * a * horizon) < 0.0 {
        let vertex = p - v * v / (4.0 * a);
        low = low.min(vertex);
        high = high.max(vertex);
    }
    (low, high)
}

impl RailLine {
    /// Distance of a centre from the nose line.
    #[inline]
    pub(crate) fn gap(&self, p: Vec2) -> f64 {
        self.offset - self.outward.dot(p)
    }

    /// Whether the line has a nose beside `p` (as opposed to a pocket's mouth).
    #[inline]
    pub(crate) fn has_nose_at(&self, p: Vec2) -> bool {
        let along = if self.outward.x == 0.0 { p.x } else { p.y };
        self.noses.iter().any(|&(low, high)| along >= low - TOUCH && along <= high + TOUCH)
    }
}
