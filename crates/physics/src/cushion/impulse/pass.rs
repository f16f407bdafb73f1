//! A close pass of the cloth's slip by zero, in closed form.
//!
//! While the direction at the nose keeps still, the cloth's slip obeys w' = a − b w/‖w‖ with constant a and b:
//! a pursuit curve. Along a (x) and across it (y), with p = b/‖a‖ and φ the angle from a,
//!
//! * b ‖w‖ + ‖a‖ x grows evenly, at the rate a² − b²,
//! * y is proportional to tan(φ/2)^p.
//!
//! From φ to π − φ, the mirror image, the slip is scaled by tan(φ/2)^(−2p). (Both follow from
//! ‖w‖' = ‖a‖ cos φ − b and ‖w‖ φ' = −‖a‖ sin φ.) That the direction at the nose turns meanwhile is taken to
//! the first order; how much is left decides from how far away this is used.

use longrail_math::fx;

use super::State;
use super::law::{Law, nose_unit};
use super::rubber::{Pace, Rubber};

/// The slips after the pass, if the cloth's slip heads for zero and is near enough.
pub(super) fn pass(law: &Law, y: &State, tolerance: f64, rubber: &mut Rubber) -> Option<State> {
    let k = law.sliding(y);
    let towards = -(y[1] * k[1] + y[3] * k[3]);
    if towards <= 0.0 {
        return None;
    }
    let half = towards / (k[1] * k[1] + k[3] * k[3]);
    let middle = [y[0] + half * k[0], 0.0, y[2] + half * k[2], 0.0];
    let (square, rate) = (middle[0] * middle[0] + middle[2] * middle[2], k[0] * k[0] + k[2] * k[2]);
    // half³ · (rate of turning)² · friction is the order of what is neglected.
    if half * half * half * rate * law.nose > 0.1 * tolerance * square {
        return None;
    }
    let (a, b) = law.cloth_drive(nose_unit(&middle));
    let pull = (a[0] * a[0] + a[1] * a[1]).sqrt();
    if b > 0.9 * pull || b <= 0.0 {
        return None;
    }
    let e = [a[0] / pull, a[1] / pull];

    // Drive and friction change evenly with the time t from the middle, by a' t and b' t. The true path is that
    // of constant ones shifted by ½ a' t² − ½ b' t² e before the middle, and by its mirror image after it.
    let (a0, b0) = law.cloth_drive(nose_unit(y));
    let bend = [0.5 * half * (a[0] - a0[0]), 0.5 * half * (a[1] - a0[1])];
    let squeeze = 0.5 * half * (b - b0);
    let w = [y[1] - bend[0] - squeeze * e[0], y[3] - bend[1] - squeeze * e[1]];

    let along = w[0] * e[0] + w[1] * e[1];
    let across = (w[0] * e[1] - w[1] * e[0]).abs();
    let r = (w[0] * w[0] + w[1] * w[1]).sqrt();
    if along > -0.8 * r || across < tolerance {
        return None;
    }
    // tan(φ/2) = (1 − cos φ)/sin φ.
    let scale = fx::exp(-2.0 * b / pull * fx::ln((r - along) / across));
    let h = (b * r * (scale - 1.0) - pull * along * (scale + 1.0)) / (pull * pull - b * b);
    let from = Pace { v: law.approach(y), loss: law.loss(&k) };
    if h >= rubber.left(from) {
        return None;
    }
    let late = (h - half) / half;
    let late = late * late;
    let end = [
        scale * (w[0] - 2.0 * along * e[0]) + late * (bend[0] - squeeze * e[0]),
        scale * (w[1] - 2.0 * along * e[1]) + late * (bend[1] - squeeze * e[1]),
    ];
    // ∫ g from Δw = a h − (7/2) ∫ g.
    let g = [(a[0] * h - end[0] + y[1]) / 3.5, (a[1] * h - end[1] + y[3]) / 3.5];
    let n = nose_unit(&middle);
    let next = [
        y[0] - 3.5 * law.nose * n[0] * h - law.k * g[0],
        end[0],
        y[2] + (law.sin_cos - law.up * law.nose * n[1]) * h - law.down * g[1],
        end[1],
    ];
    let to = Pace { v: law.approach(&next), loss: law.loss(&law.sliding(&next)) };
    let work = law.cos * h * (0.5 * (from.v + to.v) + h / 12.0 * (to.loss - from.loss));
    rubber.enter(from, to, work, h);
    Some(next)
}
