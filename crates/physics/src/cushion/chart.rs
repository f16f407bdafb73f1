//! Rebounds read off a chart instead of integrated: for searches, which play thousands of shots that nobody sees.
//!
//! For a given rail, cloth and ball a rebound of the impulse model depends on three numbers alone, up to the approach speed v
//! by which everything scales (the equations of `impulse` know the four slips alone, and u₂ and w₂ differ by a constant):
//!
//! | number | meaning |
//! |---|---|
//! | u = (v_X + s W_Y − c W_Z)/v | slip at the nose along the rail |
//! | w = (v_X − W_Y)/v | slip at the cloth along the rail |
//! | r = W_X/v | roll into the rail: −1 for a ball that rolls, 0 for one that slides, positive for one with draw |
//!
//! What is kept at each node is bounded however large these get, so each number x is laid on −1 to 1 by x/(a + |x|), and the
//! chart has no end. A mirror turns the signs of u and w and of the impulses along the rail: the half u ≥ 0 is enough.
//! In between, the chart is read linearly in each number.

use super::{Contact, Cushion, Motion, Stall, rebound};
use crate::conditions::CushionModel;

/// Steps from zero to no bound: of the slip at the nose, of that at the cloth, and from the middle roll either way.
const NOSE: usize = 40;
const CLOTH: usize = 10;
const ROLLS: usize = 40;
/// Slip half-way to no bound.
const SLIP: f64 = 0.7;
/// The middle roll, and how far from it the roll half-way to no bound is. So the nodes are dense from −1 to s, and balls that
/// roll (−1) or slide without spin (0) lie on nodes.
const MIDDLE_ROLL: f64 = -0.2;
const ROLL: f64 = 0.8;
/// What stands for no bound: so much of the way.
const NO_BOUND: f64 = 0.999;

const ACROSS_W: usize = 2 * CLOTH + 1;
const ACROSS_R: usize = 2 * ROLLS + 1;

/// What happens at a node for an approach speed of 1: impulses along the rail of nose and cloth, speed away from the rail, and
/// gain of W_X.
type Outcome = [f32; 4];

/// Rebounds of one kind of ball from one kind of rail.
#[derive(Clone, PartialEq)]
pub(crate) struct Chart {
    contact: Contact,
    nodes: Vec<Outcome>,
}

impl std::fmt::Debug for Chart {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Chart").field("contact", &self.contact).finish_non_exhaustive()
    }
}

impl Chart {
    /// The chart, as exact as `cushion` asks; `None` where a chart has no use or would not be true: for models in closed form,
    /// and for rubber so rough that balls climb it.
    ///
    /// # Errors
    /// [`Stall`] where a rebound's integration does not settle.
    pub(crate) fn new(cushion: &Cushion, contact: &Contact) -> Result<Option<Self>, Stall> {
        if cushion.model != CushionModel::Impulse || cushion.friction * contact.cos > contact.sin {
            return Ok(None);
        }
        let mut nodes = Vec::with_capacity((NOSE + 1) * ACROSS_W * ACROSS_R);
        for i in 0..=NOSE {
            for j in 0..ACROSS_W {
                for k in 0..ACROSS_R {
                    let u = number(i, NOSE, 0, SLIP);
                    let w = number(j, CLOTH, CLOTH, SLIP);
                    let r = MIDDLE_ROLL + number(k, ROLLS, ROLLS, ROLL);
                    nodes.push(outcome(cushion, contact, [u, w, r])?);
                }
            }
        }
        Ok(Some(Self { contact: *contact, nodes }))
    }

    /// Whether it is a chart of this contact.
    #[inline]
    pub(crate) fn is_of(&self, contact: &Contact) -> bool {
        self.contact == *contact
    }

    /// The motion after a rebound; see [`rebound`].
    #[inline]
    pub(crate) fn rebound(&self, before: &Motion) -> Motion {
        let Contact { sin, cos, .. } = self.contact;
        let speed = before.vy;
        let per = 1.0 / speed;
        let u = (before.vx + before.wy * sin - before.wz * cos) * per;
        let w = (before.vx - before.wy) * per;
        let mirror = if u < 0.0 { -1.0 } else { 1.0 };
        let (i, x) = place(mirror * u, NOSE, 0, SLIP);
        let (j, y) = place(mirror * w, CLOTH, CLOTH, SLIP);
        let (k, z) = place(before.wx * per - MIDDLE_ROLL, ROLLS, ROLLS, ROLL);
        let at = |i: usize, j: usize| {
            let first = (i * ACROSS_W + j) * ACROSS_R + k;
            between(&self.nodes[first], &self.nodes[first + 1], z)
        };
        let low = between(&at(i, j), &at(i, j + 1), y);
        let high = between(&at(i + 1, j), &at(i + 1, j + 1), y);
        let [f, g, away, gain] = between(&low, &high, x).map(|part| f64::from(part) * speed);
        let (f, g) = (mirror * f, mirror * g);
        Motion {
            vx: before.vx - f - g,
            vy: -away,
            vz: 0.0,
            wx: before.wx + gain,
            wy: before.wy - 2.5 * (f * sin - g),
            wz: before.wz + 2.5 * f * cos,
        }
    }
}

/// The number at node `k` of `steps` on each side of the one at `zero`.
// Small whole numbers.
#[allow(clippy::cast_precision_loss)]
fn number(k: usize, steps: usize, zero: usize, half: f64) -> f64 {
    let share = (k as f64 - zero as f64) / steps as f64;
    let share = share.clamp(-NO_BOUND, NO_BOUND);
    half * share / (1.0 - share.abs())
}

/// The node below the number `x`, and how far it lies on the way to the next.
// Small whole numbers; one that is none ends at the first node.
#[allow(clippy::cast_precision_loss, clippy::cast_possible_truncation, clippy::cast_sign_loss)]
#[inline]
fn place(x: f64, steps: usize, zero: usize, half: f64) -> (usize, f32) {
    let at = zero as f64 + steps as f64 * x / (half + x.abs());
    let node = (at as usize).min(zero + steps - 1);
    (node, (at - node as f64) as f32)
}

#[inline]
fn between(a: &Outcome, b: &Outcome, share: f32) -> Outcome {
    std::array::from_fn(|k| a[k] + share * (b[k] - a[k]))
}

/// What happens at a node.
fn outcome(cushion: &Cushion, contact: &Contact, [u, w, r]: [f64; 3]) -> Result<Outcome, Stall> {
    let before = Motion { vx: w, vy: 1.0, wx: r, wz: (w - u) / contact.cos, ..Motion::default() };
    let after = rebound(cushion, contact, &before)?;
    let f = (after.wz - before.wz) / (2.5 * contact.cos);
    let g = before.vx - after.vx - f;
    // Rounded to seven digits: far more than lies between nodes.
    #[allow(clippy::cast_possible_truncation)]
    Ok([f, g, -after.vy, after.wx - before.wx].map(|part| part as f32))
}
