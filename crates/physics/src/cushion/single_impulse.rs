//! One impulse at the nose with Coulomb friction, in closed form.
//!
//! Source: I. Han 2005, "Dynamics in carom and three cushion billiards", Journal of Mechanical Science and
//! Technology 19(4), 976–984, with a constant restitution and friction. The form was re-derived; Han's own
//! speed-dependent coefficients are known here from memory only and are not used.
//!
//! | symbol | meaning |
//! |---|---|
//! | θ | height angle of the contact; n = (0, cos θ, sin θ) is the normal into the nose |
//! | Y' | tangent (0, −sin θ, cos θ), up along the ball |
//! | u | slip of the ball's surface at the contact, along X and Y' |
//! | P, J | normal and tangential impulse for each unit of mass, in m/s |

use super::{Contact, Cushion, Motion};

/// See [`super::rebound`].
pub(super) fn rebound(cushion: &Cushion, contact: &Contact, before: &Motion) -> Motion {
    let Contact { sin, cos, .. } = *contact;
    let slip_x = before.vx + before.wy * sin - before.wz * cos;
    let slip_y = -before.vy * sin + before.wx;
    let slip = (slip_x * slip_x + slip_y * slip_y).sqrt();
    let normal = (1.0 + cushion.restitution) * before.vy * cos;
    // A free sphere's surface gives way by 7/2 for each unit of tangential impulse: sticking stops at 2/7.
    let tangential = (cushion.friction * normal).min(slip * (2.0 / 7.0));
    let per_slip = if slip > 0.0 { -tangential / slip } else { 0.0 };
    let (jx, jy) = (per_slip * slip_x, per_slip * slip_y);
    Motion {
        vx: before.vx + jx,
        vy: before.vy - normal * cos - jy * sin,
        // Into the cloth when negative: the bed takes that.
        vz: (-normal * sin + jy * cos).max(0.0),
        wx: before.wx + 2.5 * jy,
        wy: before.wy + 2.5 * jx * sin,
        wz: before.wz - 2.5 * jx * cos,
    }
}
