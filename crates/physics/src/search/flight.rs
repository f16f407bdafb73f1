//! What a ball in the air meets next: the bed, the edge of a nose, jaw or facing, a pocket, the outside.
//!
//! In the air every edge of rubber is a line (or, at a jaw, a point) at the height of the nose, and contact is
//! at the ball's full radius from it, in space. A ball whose lowest point is above the nose flies over: it is
//! off the table once its centre passes a nose or a facing, or is [`OUTSIDE_M`] beyond the nose line at a pocket. One that
//! is lower when it has crossed a hole is caught by the back of the pocket and drops.

use longrail_math::Vec2;
use longrail_math::roots::{Approach, TOUCH, first_contact, first_fall};

use super::{Meeting, sooner};
use crate::motion::Body;
use crate::world::World;

/// How far beyond the nose line a ball that flies over a pocket is off the table, in metres.
const OUTSIDE_M: f64 = 0.12;

/// Time from the start of `body`'s flight and what it meets.
pub(crate) fn next(world: &World, body: &Body) -> (f64, Meeting) {
    let gravity = world.conditions().gravity_mps2;
    let fall = -0.5 * gravity;
    let landing = if body.height <= 0.0 {
        if body.climb > 0.0 { 2.0 * body.climb / gravity } else { 0.0 }
    } else {
        first_fall(body.height, body.climb, fall).unwrap_or(0.0)
    };
    let mut best = (landing, Meeting::Bed);
    let at = |s: f64| body.p + body.v * s;
    // All rubber, holes and the outside lie beyond the nose lines: a hop that stays clear of these comes down on the bed.
    let down = at(landing);
    if world.rails.iter().all(|line| line.gap(body.p).min(line.gap(down)) > body.radius) {
        return best;
    }
    let below_nose = |s: f64| {
        let level = body.radius + body.height - world.conditions().cushion.height_m;
        level + (body.climb + fall * s) * s - body.radius < 0.0
    };
    // Height of the centre above the nose.
    let level = body.radius + body.height - world.conditions().cushion.height_m;
    for line in &world.rails {
        let gap = line.gap(body.p);
        let towards = line.outward.dot(body.v);
        let section = Approach {
            p: Vec2::new(gap, level),
            v: Vec2::new(-towards, body.climb),
            a: Vec2::new(0.0, fall),
        };
        let time = first_contact(&section, body.radius, best.0).filter(|&s| line.has_nose_at(at(s)));
        sooner(&mut best, time, Meeting::Nose(line.rail));
        let over = first_fall(gap, -towards, 0.0).filter(|&s| line.has_nose_at(at(s)));
        sooner(&mut best, over, Meeting::Outside);
        sooner(&mut best, first_fall(gap + OUTSIDE_M, -towards, 0.0), Meeting::Outside);
    }
    for pocket in world.table().pockets() {
        for (k, jaw) in pocket.jaws.iter().enumerate() {
            let from_point = Approach {
                p: (body.p - jaw.point).with_z(level),
                v: body.v.with_z(body.climb),
                a: Vec2::ZERO.with_z(fall),
            };
            let time = first_contact(&from_point, body.radius, best.0);
            sooner(&mut best, time, Meeting::Jaw(pocket.id, k));
            let n = jaw.inward;
            let section = Approach {
                p: Vec2::new(n.dot(body.p - jaw.point), level),
                v: Vec2::new(n.dot(body.v), body.climb),
                a: Vec2::new(0.0, fall),
            };
            let behind_jaw = |&s: &f64| (at(s) - jaw.point).dot(jaw.along) >= -TOUCH;
            let time = first_contact(&section, body.radius, best.0).filter(behind_jaw);
            sooner(&mut best, time, Meeting::Facing(pocket.id, k));
            let over = first_fall(section.p.x, section.v.x, 0.0).filter(behind_jaw);
            sooner(&mut best, over, Meeting::Outside);
        }
        let from_hole = Approach { p: body.p - pocket.drop_centre, v: body.v, a: Vec2::ZERO };
        if let Some(s) = first_contact(&from_hole, pocket.drop_radius, best.0) {
            // Above the nose it flies over the hole as well.
            if below_nose(s) {
                sooner(&mut best, Some(s), Meeting::Drop(pocket.id));
            }
        }
        // Over the hole it may come low enough for the back of the pocket, which is as high as the rails, to catch it.
        let back = leaving(from_hole.p, body.v, pocket.drop_radius).filter(|&s| below_nose(s));
        sooner(&mut best, back, Meeting::Drop(pocket.id));
    }
    best
}

/// When p + v s leaves the circle of `radius` around the origin; `None` if it never was inside.
fn leaving(p: Vec2, v: Vec2, radius: f64) -> Option<f64> {
    let (a, b, c) = (v.dot(v), p.dot(v), p.dot(p) - radius * radius);
    let discriminant = b * b - a * c;
    if a == 0.0 || discriminant <= 0.0 {
        return None;
    }
    let s = (discriminant.sqrt() - b) / a;
    (s > 0.0).then_some(s)
}
