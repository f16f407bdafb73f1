//! When two balls meet.

use longrail_math::Vec2;
use longrail_math::roots::{Approach, first_contact};

use crate::motion::{Body, Phase};

/// Time from `now` until `a` and `b` touch, if within `horizon` seconds; `course` is that of `a` from `now` on.
#[inline]
pub(crate) fn meeting(
    a: &Body,
    course: &Approach<Vec2>,
    b: &Body,
    now: f64,
    horizon: f64,
    gravity: f64,
) -> Option<f64> {
    if a.phase == Phase::Flying || b.phase == Phase::Flying {
        let (p, q) = (a.course_3d(now, gravity), b.course_3d(now, gravity));
        let approach = Approach { p: q.p - p.p, v: q.v - p.v, a: q.a - p.a };
        return first_contact(&approach, a.radius + b.radius, horizon);
    }
    let other = b.course(now);
    let approach = Approach { p: other.p - course.p, v: other.v - course.v, a: other.a - course.a };
    first_contact(&approach, touching(a.radius, b.radius), horizon)
}

/// Distance of the centres over the bed of two balls that lie on it and touch: 2 √(r s).
#[inline]
pub(crate) fn touching(r: f64, s: f64) -> f64 {
    if r == s { r + r } else { 2.0 * (r * s).sqrt() }
}
