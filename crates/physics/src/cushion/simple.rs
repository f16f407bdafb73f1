//! For ideal cases: the normal velocity is reversed and reduced, friction acts along the rail alone.
//!
//! With no friction and restitution 1 this is a mirror. Friction acts at the ball's middle height, on the
//! slip along the rail v_X − W_Z, and is capped where the surface sticks (2/7 of that slip, textbook
//! mechanics of a rigid sphere); follow and draw pass through untouched.

use super::{Cushion, Motion};

/// See [`super::rebound`].
pub(super) fn rebound(cushion: &Cushion, before: &Motion) -> Motion {
    let normal = (1.0 + cushion.restitution) * before.vy;
    let slip = before.vx - before.wz;
    let most = cushion.friction * normal;
    let along = (slip * (2.0 / 7.0)).clamp(-most, most);
    Motion {
        vx: before.vx - along,
        vy: -cushion.restitution * before.vy,
        wz: before.wz + 2.5 * along,
        ..*before
    }
}
