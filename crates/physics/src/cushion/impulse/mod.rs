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
//! | q = max(0, s + c f₂) | load on the cloth for each unit of P: the ball stays down |
//! | g = μ_s q w/‖w‖ | friction at the cloth for each unit of P |
//!
//! du₁/dP = −(7/2) f₁ − k g₁, du₂/dP = s c − (5/2 + s²) f₂ − (5/2 − s) g₂, dw₁/dP = −k f₁ − (7/2) g₁,
//! dv_Y/dP = −D with D = c − s f₂ + g₂, and k = 1 − (5/2) s. Two facts make this small:
//!
//! * w₂ = u₂ + (1 + s) v_Y always, so three slips say everything; the velocities follow from their
//!   changes by two linear equations at the end;
//! * the work of the rubber is c ∫ v_Y dP, so the power series of the slips give it without another equation.
//!
//! The outcome scales with the approach speed. Where the slip at the nose vanishes the ball may stick
//! there ([`law`] says when); which method carries which phase is in [`steps`]. Where the nose rubs harder than its
//! slope holds (μ_w > tan θ) the ball may climb off the cloth for a while ([`climb`]).
//!
//! `tolerance` is the error allowed in each step, relative to the approach speed. Against plain integration in small
//! steps the outcome is within a few times that (tests/reference_cushion.rs).

#![allow(clippy::inline_always)] // measured: without it a rebound takes half as long again

mod climb;
mod law;
mod let_go;
mod pair;
mod rubber;
mod series;
mod slide;
mod steps;
mod stick;

use super::{Contact, Cushion, Motion, Stall};
use law::Law;

/// Slips u₁, w₁, u₂, w₂.
type State = [f64; 4];

/// See [`super::rebound`].
pub(super) fn rebound(cushion: &Cushion, contact: &Contact, before: &Motion) -> Result<Motion, Stall> {
    let Contact { sin, cos, cloth_friction } = *contact;
    let speed = before.vy;
    if speed <= 0.0 || speed.is_nan() {
        return Ok(*before);
    }
    let law = Law::new(sin, cos, cushion.friction, cloth_friction);
    let scale = 1.0 / speed;
    let u2 = -sin + before.wx * scale;
    let start = [
        (before.vx + before.wy * sin - before.wz * cos) * scale,
        (before.vx - before.wy) * scale,
        u2,
        1.0 + before.wx * scale,
    ];
    let end = steps::integrate(&law, start, cushion.restitution, cushion.tolerance)?;
    let (du, dw) = ((end.y[0] - start[0]) * speed, (end.y[1] - start[1]) * speed);
    let k = law.k;
    let per = 1.0 / (12.25 - k * k);
    let f = (-3.5 * du + k * dw) * per;
    let g = (-3.5 * dw + k * du) * per;
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
