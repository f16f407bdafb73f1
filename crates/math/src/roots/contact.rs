//! First contact of two moving round things: ball with ball, with a jaw point, with a drop edge.
//!
//! The squared distance is a quartic in time, but no quartic is formed. For any fixed unit vector n the
//! distance is at least n·Δ(s), and n·Δ(s) is a *quadratic*. Take n along the line of centres now, find
//! when that quadratic first falls to the contact distance: contact cannot come sooner. Move there and
//! repeat. Each step is a proven lower bound, so
//!
//! * the earliest contact is never passed (no root is missed, none is invented),
//! * when the quadratic does not close before the horizon, neither does the gap: a miss is certified,
//! * convergence is that of Newton's method (quadratic), and halving when the balls just graze.
//!
//! Nothing is squared and then subtracted, so nothing cancels; that is where closed forms for quartics
//! lose roots near a graze.

use super::first_fall;
use crate::Vector;

/// Gaps within this many metres of zero count as touching. Far above the rounding of a position on a
/// table (2 m · 2⁻⁵³ = 2e-16), far below anything seen (1e-9 m is a millionth of a ball's polish).
pub const TOUCH: f64 = 1e-9;

/// Iterates stop at this gap, in metres.
const CLOSED: f64 = 1e-13;

/// Rates below this, in metres a second, are rest: in an hour they close 4e-8 m.
const STILL: f64 = 1e-11;

/// Something pressed on by acceleration alone is let in this deep (m) before it counts as an approach;
/// otherwise a touch with rate zero would repeat at once, for ever.
const GIVE: f64 = 0.4 * TOUCH;

/// What is let in at the least (m), where the touch is that deep already.
const LEAST_GIVE: f64 = 0.1 * TOUCH;

/// Rates above this, in metres a second, part for good.
const PARTING: f64 = 1e-5;

/// Bound on iterations: a graze halves the time left at each, so 64 exhaust the mantissa.
const ITERATIONS: usize = 64;

/// How something approaches: the separation is p + v s + a s² after a time s (m, m/s, m/s²).
#[derive(Clone, Copy, Debug)]
pub struct Approach<V> {
    /// Separation now.
    pub p: V,
    /// Its rate now.
    pub v: V,
    /// Half its (constant) acceleration.
    pub a: V,
}

/// The first s ≥ 0 at which a straight gap g + r s + c s² (m, m/s, m/s²) closes, to a rail or a facing.
///
/// Like [`first_fall`], but a gap within [`TOUCH`] of zero is a touch: contact now if it is closing, and
/// else the next closing.
#[inline]
pub fn next_closing(g: f64, r: f64, c: f64) -> Option<f64> {
    if g.abs() <= TOUCH { from_touch(g, r, c) } else { first_fall(g, r, c) }
}

/// The next closing of a gap that is all but zero now.
#[inline]
fn from_touch(g: f64, r: f64, c: f64) -> Option<f64> {
    if r < -STILL {
        return Some(0.0);
    }
    if c >= 0.0 {
        return None;
    }
    let r = r.max(0.0);
    // Larger root of `give` + r s + c s², with GIVE the depth of contact. Something that parts for good comes back
    // to the depth it left; a touch all but at rest must be let in further, or it would repeat at once.
    let least = if r > PARTING { 0.0 } else { LEAST_GIVE };
    let give = (g + GIVE).clamp(least, GIVE);
    Some((r + (r * r - 4.0 * c * give).sqrt()) / (-2.0 * c))
}

/// Whether |p + v s + a s²| certainly stays above `distance` for s in `0..=horizon`, by the first supporting line
/// alone and without a root or a division: `d2` is the squared separation now, `r` and `c` its scalar products
/// with the rate and half the acceleration.
///
/// The line says: the separation is at least (d2 + r s + c s²)/√d2. Its least value over the horizon lies at the
/// vertex or at the end; both comparisons with `distance` are squared.
#[inline]
fn stays_clear(d2: f64, r: f64, c: f64, distance: f64, horizon: f64) -> bool {
    let reach2 = distance * distance * d2;
    if c > 0.0 && r < 0.0 && -r < 2.0 * c * horizon {
        let lowest = 4.0 * c * d2 - r * r;
        lowest > 0.0 && lowest * lowest > 16.0 * c * c * reach2
    } else {
        let end = d2 + (r + c * horizon) * horizon;
        end > 0.0 && end * end > reach2
    }
}

/// The first time in `0..=horizon` at which |p + v s + a s²| falls to `distance`.
///
/// * A separation within [`TOUCH`] of the distance counts as touching: it is a contact now if the two
///   approach, and else the *next* closing is sought, so that a contact just resolved is not reported again.
/// * A graze (the gap reaches zero and opens again) is no contact unless the two still approach there.
///
/// Returns the time of contact; its error is that of a gap of 1e-13 m, divided by the rate of approach.
#[inline]
pub fn first_contact<V: Vector>(approach: &Approach<V>, distance: f64, horizon: f64) -> Option<f64> {
    let Approach { p, v, a } = *approach;
    // Squared separation, and its products with the rate and half the acceleration: the supporting quadratic, but
    // for a factor of the separation, so that no division is needed.
    let (mut d2, mut r, mut c) = (p.dot(p), p.dot(v), p.dot(a));
    if (r >= 0.0 && c >= 0.0) || stays_clear(d2, r, c, distance, horizon) {
        return None;
    }
    let mut s = 0.0;
    let mut near = TOUCH;
    for _ in 0..ITERATIONS {
        let length = d2.sqrt();
        let gap = length - distance;
        let step = if gap <= near {
            if r < 0.0 && near == CLOSED {
                return Some(s);
            }
            from_touch(gap, r / length, c / length)?
        } else {
            first_fall(gap * length, r, c)?
        };
        if near == TOUCH {
            if step == 0.0 {
                return Some(s);
            }
            near = CLOSED;
        }
        let next = s + step;
        if next > horizon {
            return None;
        }
        // The separation exceeds its supporting line by at most (speed · step)²/2d: when that is closed, done.
        // (The square of the speed is at most twice the squares of its two parts.)
        let moved2 = (2.0 * v.dot(v) + 8.0 * a.dot(a) * (next * next)) * (step * step);
        if next == s || (gap > CLOSED && moved2 < 2.0 * distance * CLOSED) {
            return Some(next);
        }
        s = next;
        let delta = p + (v + a * s) * s;
        d2 = delta.dot(delta);
        r = delta.dot(v + a * (2.0 * s));
        c = delta.dot(a);
        if r >= 0.0 && c >= 0.0 {
            return None;
        }
    }
    Some(s)
}
