//! Impulse integration of a rebound: nose and cloth rub at once, while the rubber gives and returns.
//!
//! Source: S. Mathavan, M. R. Jackson & R. M. Parkin 2010, "A theoretical analysis of billiard ball dynamics
//! under cushion impacts", Proceedings of the Institution of Mechanical Engineers C 224(9), 1863–1873;
//! equations re-derived. Restitution is energetic (Stronge): the rubber gives back e² of the work done
//! in compression.
//!
//! Per unit of mass and of approach speed, with P the normal impulse at the nose:
//!
//! | symbol | meaning |
//! |---|---|
//! | s, c | sine and cosine of the contact's height angle |
//! | u = (u₁, u₂) | slip at the nose: v_X + s W_Y − c W_Z along the rail, −s v_Y + W_X up the ball |
//! | w = (w₁, w₂) | slip at the cloth: v_X − W_Y along the rail, v_Y + W_X into it |
//! | f = μ_w u/‖u‖ | friction at the nose for each unit of P |
//! | q = s + c f₂ | load on the cloth for each unit of P, while it is not negative |
//! | g = μ_s q w/‖w‖ | friction at the cloth for each unit of P |
//!
//! ```text
//! du₁/dP =     − (7/2) f₁ − k g₁                    k = 1 − (5/2) s
//! du₂/dP = s c − (5/2 + s²) f₂ − (5/2 − s) g₂
//! dw₁/dP =     − k f₁ − (7/2) g₁
//! dw₂/dP = − c − (5/2 − s) f₂ − (7/2) g₂
//! v_Y = (w₂ − u₂)/(1 + s),  work of the rubber = ∫ c v_Y dP
//! ```
//!
//! The four slips say everything: the equations know neither P nor v_Y, and the velocities follow from the
//! changes of the slips at the end. So nothing happens to them where compression ends; the end enters
//! through the work alone, which is at its most there and hence insensitive to where "there" is.
//!
//! A ball goes through phases ([`run`]), each with a method of its own:
//!
//! | phase | what happens | how |
//! |---|---|---|
//! | slides | both slip | power series in P, order 8 ([`series`], [`slide`]) |
//! | sticks | the nose sticks, the cloth slips | two slips, a 5(4) pair ([`stick`]) |
//! | lets go | the nose's slip is so short that the forces steer it | a 5(4) pair on what is not stiff ([`let_go`]) |
//! | rolls, slips off | the same two for the cloth; needs a rough nose | [`roll`] |
//! | climbs | the load would be negative: the ball leaves the cloth | closed form ([`climb`]) |
//!
//! A slip at the cloth that passes close by zero does so in one step in closed form ([`pass`]). The outcome
//! scales with the approach speed. Accuracy and cost are measured in `tests/cushion_impulse.rs` and
//! docs/performance.md.

// The steps are worth a few hundred nanoseconds each: a call or a copy per stage shows.
#![allow(clippy::inline_always)]

mod climb;
mod control;
mod law;
mod let_go;
mod pair;
mod pass;
mod roll;
mod rubber;
mod run;
mod series;
mod slide;
mod stick;
mod tsitouras;

use super::{Contact, Cushion, Motion, Stall};
use law::Law;
use run::Run;

/// Error of a step for each unit of the error asked for: such that 99 of 100 random arrivals keep what was
/// asked (measured over 16,800 arrivals, tests/cushion_impulse.rs repeats some). Errors of steps do not add up to
/// much, since friction forgets.
const STEP_TOLERANCE: f64 = 0.5;

/// The slips u₁, w₁, u₂, w₂.
type State = [f64; 4];

/// See [`super::rebound`].
pub(super) fn rebound(cushion: &Cushion, contact: &Contact, before: &Motion) -> Result<Motion, Stall> {
    let Contact { sin, cos, cloth_friction } = *contact;
    let speed = before.vy;
    if speed.is_nan() || speed <= 0.0 {
        return Ok(*before);
    }
    let law = Law::new(sin, cos, cushion.friction, cloth_friction);
    let scale = 1.0 / speed;
    let start = [
        (before.vx + before.wy * sin - before.wz * cos) * scale,
        (before.vx - before.wy) * scale,
        -sin + before.wx * scale,
        1.0 + before.wx * scale,
    ];
    let mut run = Run::new(&law, start, cushion.restitution, STEP_TOLERANCE * cushion.tolerance);
    let end = run.run()?;

    // Impulses along the rail at nose (f) and cloth (g) from the changes of the two slips along it:
    //   Δu₁ = −7/2 f − k g,  Δw₁ = −k f − 7/2 g.
    let (du, dw) = ((end.y[0] - start[0]) * speed, (end.y[1] - start[1]) * speed);
    let k = law.k;
    let per = 1.0 / (12.25 - k * k);
    let f = (k * dw - 3.5 * du) * per;
    let g = (k * du - 3.5 * dw) * per;
    let vy = end.vy * speed;
    Ok(Motion {
        vx: before.vx - f - g,
        vy,
        vz: end.vz * speed,
        wx: end.y[3] * speed - vy,
        wy: before.wy - 2.5 * (f * sin - g),
        wz: before.wz + 2.5 * f * cos,
    })
}
