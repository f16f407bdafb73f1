//! The nose sticks, the cloth slips.
//!
//! The friction that keeps u at zero follows from du = 0. With a = μ_s (5/2 − s) n₂, n the direction of w,
//!
//! ```text
//! f₂ = (s c − a s)/(5/2 + s² + a c),   q = s + c f₂ = (7/2) s/(5/2 + s² + a c),   f₁ = −(2/7) k g₁
//! ```
//!
//! so that in the measure σ with dP = (5/2 + s² + a c) dσ the friction of the cloth is constant in size:
//!
//! ```text
//! dw₁/dσ = −μ_s s (49/4 − k²) n₁
//! dw₂/dσ = −(5/2) (1 + s) (c + μ_s (1 + s) n₂)
//! ```
//!
//! Whether the nose can stick depends on the direction of w alone, and that turns one way, from into the rail
//! to out of it. So the end of sticking is a direction, known beforehand.

use super::control::{LONGEST_SHARE, Path, least, most};
use super::law::cloth_unit;
use super::rubber::Pace;
use super::run::{End, Phase, Run};
use super::tsitouras::{Step, step};

impl Run<'_> {
    /// The nose begins to stick while the cloth slides along `cloth`.
    pub(super) fn start_sticking(&mut self, cloth: [f64; 2]) {
        self.phase = Phase::Sticks;
        self.outgrown = false;
        self.k = self.law.stuck(cloth);
        self.edge = self.edge_below(cloth[1]);
        self.control.reset();
    }

    /// One step while the nose sticks.
    pub(super) fn stick(&mut self) -> Option<End> {
        let law = self.law;
        let (s, c) = (law.sin, law.cos);
        let tolerance = self.control.tolerance;
        let y = [self.y[1], self.y[3]];
        let square = y[0] * y[0] + y[1] * y[1];
        if y[0].abs() < tolerance || (y[1] > 0.0 && square < 9.0 * tolerance * tolerance) {
            return self.stick_straight();
        }
        let side = law.cloth * s * (12.25 - law.k * law.k);
        let (drive, hold) = (2.5 * (1.0 + s) * c, 2.5 * (1.0 + s) * (1.0 + s) * law.cloth);
        let pull = law.cloth * law.down * c;
        let unit = |w: &[f64; 2]| {
            let q = 1.0 / (w[0] * w[0] + w[1] * w[1]).sqrt();
            [w[0] * q, w[1] * q]
        };
        let rates = |w: &[f64; 2]| {
            let n = unit(w);
            [-side * n[0], -drive - hold * n[1]]
        };
        // (1 + s) v_Y dP/dσ.
        let speed = |w: &[f64; 2]| w[1] * (law.up + pull * unit(w)[1]);
        let k = rates(&y);
        let n = unit(&y);

        let mut h = self.control.reach(&Path::new(y[0], y[1], k[0], k[1]));
        if !self.rubber.returns && n[1] > 0.05 {
            // Not across the end of compression: the cloth's slip turns fastest there.
            h = least(h, y[1] / (drive + 0.5 * hold * n[1]));
        }
        // σ until the direction is that of the edge, in a straight line.
        let edge = self.edge;
        let until = |w: &[f64; 2], k: &[f64; 2]| {
            if edge == f64::NEG_INFINITY {
                return f64::INFINITY;
            }
            let slope = if w[0] > 0.0 { edge } else { -edge };
            (w[1] - slope * w[0]) / (slope * k[0] - k[1])
        };
        h = least(h, most(until(&y, &k), 1e-12));
        let rest = self.rubber.left(self.pace()) / (law.up + pull * n[1]);
        let last = rest <= h * 1.02;
        if last {
            h = rest;
        }
        let done: Step<2> = step(rates, speed, &y, &k, h);
        if !self.control.accepts(done.error, h) {
            return None;
        }
        // Friction is continuous at the edge: an error in time counts by its square.
        let over = until(&done.y, &done.k);
        let time = Path::new(done.y[0], done.y[1], done.k[0], done.k[1]).time();
        let slack = least((tolerance * time).sqrt(), 0.02 * time);
        if over < -slack {
            self.control.shorten(h, (1.0 + over / h).clamp(0.1, LONGEST_SHARE));
            return None;
        }
        let work = c * law.per_sum * done.integral;
        if !self.rubber.returns && done.y[1] <= 0.0 {
            // The speed per σ and its loss.
            let pace = |w: &[f64; 2], k: &[f64; 2]| {
                let n = unit(w);
                let per = law.up + pull * n[1];
                let turn = (k[1] - n[1] * (n[0] * k[0] + n[1] * k[1])) / (w[0] * w[0] + w[1] * w[1]).sqrt();
                Pace { v: w[1] * per * law.per_sum, loss: -(k[1] * per + w[1] * pull * turn) * law.per_sum }
            };
            self.rubber.enter(pace(&y, &k), pace(&done.y, &done.k), work, h);
        } else {
            self.rubber.work += work;
        }
        self.y = [0.0, done.y[0], 0.0, done.y[1]];
        let cloth = cloth_unit(&self.y);
        self.k = law.stuck(cloth);
        if last {
            return self.finish();
        }
        if over < slack {
            self.start_letting_go(cloth);
        }
        None
    }

    /// The cloth's slip is along Y: all rates are constant until it vanishes, together with v_Y.
    fn stick_straight(&mut self) -> Option<End> {
        let law = self.law;
        let away = [0.0, -1.0];
        if self.y[3] < 0.0 && law.excess(away) > 0.0 {
            // It turned past the edge within the tolerance.
            self.y[1] = 0.0;
            self.start_letting_go(away);
            return None;
        }
        self.k = law.stuck(if self.y[3] > 0.0 { [0.0, 1.0] } else { away });
        let pace = self.pace();
        if pace.loss <= 0.0 {
            // Between a very rough nose and a very rough cloth even a ball on its way out is brought to rest.
            self.y = [0.0; 4];
            self.leave_from_rest();
            return None;
        }
        let left = self.rubber.left(pace);
        let to_zero = pace.v / pace.loss;
        if pace.v <= 0.0 || left <= to_zero {
            let y = [0.0, self.y[1], 0.0, self.y[3] + left * self.k[3]];
            return Some(self.end(y));
        }
        self.rubber.enter_even(pace, to_zero);
        self.y = [0.0; 4];
        self.settle();
        None
    }

    /// w₂/|w₁| of the first direction below n₂ = `from` at which the nose no longer sticks; −∞ if there is none.
    ///
    /// [`super::law::Law::excess`] is a quadratic in n₂: q₀ + 2 q₁ n₂ + q₂ n₂².
    fn edge_below(&self, from: f64) -> f64 {
        let law = self.law;
        let p = law.cloth * law.down;
        let along = law.k * law.cloth * law.sin;
        let (s2, m2) = (law.sin * law.sin, law.nose * law.nose);
        let q0 = along * along + s2 * law.cos * law.cos - m2 * law.up * law.up;
        let q1 = -p * law.cos * (s2 + m2 * law.up);
        let q2 = s2 * p * p - along * along - m2 * p * p * law.cos * law.cos;
        let discriminant = q1 * q1 - q0 * q2;
        if discriminant < 0.0 {
            return f64::NEG_INFINITY;
        }
        // As q/q₂ and q₀/q nothing cancels.
        let root = discriminant.sqrt();
        let q = if q1 > 0.0 { -q1 - root } else { -q1 + root };
        let mut edge = -1.0;
        for n2 in [q / q2, q0 / q] {
            if n2 < from + 1e-9 && n2 > edge {
                edge = n2;
            }
        }
        if edge > -1.0 { edge / (1.0 - edge * edge).sqrt() } else { f64::NEG_INFINITY }
    }
}
