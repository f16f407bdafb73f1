//! A ball that climbs: nothing presses on the cloth, every rate is constant.
//!
//! It rises while the nose rubs upwards, is pressed down again by the slope of the nose, and either lands on the cloth
//! within the impact or leaves the rail in the air.

use super::State;
use super::law::Law;
use super::rubber::{Pace, Rubber};
use super::steps::End;

/// Until the ball is back on the cloth (the new state) or the rebound is over.
pub(super) fn climb(law: &Law, y: &State, rubber: &mut Rubber) -> Result<State, End> {
    let mut y = *y;
    let mut vy = law.approach(&y);
    let mut vz = 0.0;
    let (s, c) = (law.sin, law.cos);
    for slides in [true, false] {
        let n = if slides { Law::nose_unit(&y) } else { [0.0, 0.0] };
        let f = [law.nose * n[0], law.nose * n[1]];
        // Approach of the surface along the normal of the contact falls by 1 for each unit of P.
        let normal = c * vy + s * vz;
        let load = s + c * f[1];
        let phase = if slides { (y[0] * y[0] + y[2] * y[2]).sqrt() / (3.5 * law.nose) } else { vz / s };
        let pace = Pace { v: normal / c, d: 1.0 / c };
        let left = rubber.left(pace);
        let h = if left < phase { left } else { phase };
        rubber.book_even(pace, h);
        vy -= (c - s * f[1]) * h;
        vz -= load * h;
        y[1] -= law.k * f[0] * h;
        y[3] -= (c + law.down * f[1]) * h;
        y[0] -= 3.5 * f[0] * h;
        y[2] -= 3.5 * f[1] * h;
        if left <= phase {
            return Err(End { y, vy, vz: if vz > 0.0 { vz } else { 0.0 } });
        }
        if slides {
            y[0] = 0.0;
        }
    }
    // On the cloth again, the nose at rest on the ball: w₂ = (1 + s) v_Y.
    y[0] = 0.0;
    y[2] = 0.0;
    y[3] = (1.0 + s) * vy;
    Ok(y)
}
