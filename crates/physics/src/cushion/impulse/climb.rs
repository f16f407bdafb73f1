//! A ball that climbs: friction at the nose lifts it more than the nose presses it down.
//!
//! The load on the cloth would be negative, s + c f₂ < 0; it is zero instead, and the difference lifts the
//! ball, dv_Z/dP = −(s + c f₂). That needs μ_w > tan θ. In the air the slip at the nose, now with c v_Z in
//! u₂, is that of a free sphere, du/dP = −(7/2) f: it keeps its direction, so all rates are constant. When it
//! is used up friction ceases, dv_Z/dP = −s, and the ball may come back to the cloth before the rebound ends.

use super::State;
use super::law::{Law, nose_unit};
use super::rubber::{Pace, Rubber};
use super::run::End;

/// Until the ball is back on the cloth (the slips then) or the rebound is over.
pub(super) fn climb(law: &Law, y: &State, rubber: &mut Rubber) -> Result<State, End> {
    let (s, c) = (law.sin, law.cos);
    let mut y = *y;
    let (mut vy, mut vz) = (law.approach(&y), 0.0);
    for slides in [true, false] {
        let n = if slides { nose_unit(&y) } else { [0.0, 0.0] };
        let f = [law.nose * n[0], law.nose * n[1]];
        // Along the normal of the contact the ball loses 1 for each unit of P; the rubber feels that.
        let pace = Pace { v: (c * vy + s * vz) / c, loss: 1.0 / c };
        let left = rubber.left(pace);
        let phase = if slides { (y[0] * y[0] + y[2] * y[2]).sqrt() / (3.5 * law.nose) } else { vz / s };
        let h = if left < phase { left } else { phase };
        rubber.enter_even(pace, h);
        vy -= (c - s * f[1]) * h;
        vz -= (s + c * f[1]) * h;
        y[0] -= 3.5 * f[0] * h;
        y[1] -= law.k * f[0] * h;
        y[2] -= 3.5 * f[1] * h;
        y[3] -= (c + law.down * f[1]) * h;
        if left <= phase {
            let vz = if vz > 0.0 { vz } else { 0.0 };
            return Err(End { y, vy: if vy < 0.0 { vy } else { 0.0 }, vz });
        }
    }
    // Back on the cloth, with the nose at rest on the ball: w₂ = (1 + s) v_Y.
    Ok([0.0, y[1], 0.0, (1.0 + s) * vy])
}
