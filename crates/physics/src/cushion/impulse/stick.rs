//! The nose sticks while the cloth slides: two slips remain, and the point where the nose must let go lies on a
//! straight line through zero.

use super::law::Law;
use super::pair::{self, Step};
use super::rubber::Pace;
use super::steps::{End, MOST_ETA, Path, Phase, Run, inverse_fifth_root};

impl Run<'_> {
    /// The nose sticks; the cloth slides. In the measure σ with dP = (5/2 + s² + …) dσ.
    pub(super) fn stick(&mut self) -> Option<End> {
        let law = self.law;
        let (s, c) = (law.sin, law.cos);
        if self.y[1].abs() < self.tolerance {
            return self.stick_straight();
        }
        let from = self.pace();
        let (b1, b2) = (law.cloth * s * (12.25 - law.k * law.k), 2.5 * (1.0 + s) * (1.0 + s) * law.cloth);
        let a = 2.5 * c * (1.0 + s);
        let p = law.cloth * law.down * c;
        let unit = |w: &[f64; 2]| {
            let q = 1.0 / (w[0] * w[0] + w[1] * w[1]).sqrt();
            [w[0] * q, w[1] * q]
        };
        let rates = |w: &[f64; 2]| {
            let n = unit(w);
            [-b1 * n[0], -a - b2 * n[1]]
        };
        let work = |w: &[f64; 2]| w[1] * (law.up + p * unit(w)[1]);
        let y = [self.y[1], self.y[3]];
        let k = rates(&y);
        let n = unit(&y);
        let path = Path::new(y[0], y[1], k[0], k[1]);
        let mut h = path.reach(self.eta).min(self.h);
        // P for each unit of σ now.
        let per = law.up + p * n[1];
        let rest = self.rubber.left(from) / per;
        let edge = self.edge;
        // Where the direction reaches the edge of sticking, in a straight line: w₂ = edge · w₁ (signs apart).
        let until = |y: &[f64; 2], k: &[f64; 2]| {
            let sign = if y[0] > 0.0 { 1.0 } else { -1.0 };
            let (gap, closing) = (y[1] - edge * sign * y[0], edge * sign * k[0] - k[1]);
            gap / closing
        };
        let event = until(&y, &k);
        if event <= h * 1.02 {
            h = event.max(1e-9);
        }
        let last = rest <= h * 1.02;
        if last {
            h = rest;
        }
        let done: Step<2> = pair::step(rates, work, &y, &k, h);
        let ratio = done.error / self.tolerance;
        if ratio > 1.0 && h.abs() > 1e-7 {
            let factor = (0.85 * inverse_fifth_root(ratio)).max(0.2);
            self.eta *= factor;
            self.h = h.abs() * factor;
            return None;
        }
        let over = until(&done.y, &done.k);
        let end = Path::new(done.y[0], done.y[1], done.k[0], done.k[1]);
        let slack = (self.tolerance * (end.square / end.rate2).sqrt()).sqrt();
        if over < -slack && !last {
            self.h = (h + over).max(1e-6);
            return None;
        }
        let lets_go = over < slack && !last;
        self.y = [0.0, done.y[0], 0.0, done.y[1]];
        let even = |w: &[f64; 2], k: &[f64; 2]| {
            let n = unit(w);
            let r = (w[0] * w[0] + w[1] * w[1]).sqrt();
            let per = law.up + p * n[1];
            let swell = p * (k[1] - n[1] * (n[0] * k[0] + n[1] * k[1])) / r;
            Pace { v: w[1] * law.per_sum * per, d: -(k[1] * per + w[1] * swell) * law.per_sum }
        };
        if !self.rubber.returning && done.y[1] <= 0.0 {
            self.rubber.book(even(&y, &k), even(&done.y, &done.k), c * law.per_sum * done.work, h);
        } else {
            self.rubber.work += c * law.per_sum * done.work;
        }
        let unit = Law::cloth_unit(&self.y);
        self.k = law.stuck(unit);
        if last {
            return self.finish();
        }
        let factor = (0.85 * inverse_fifth_root(ratio.max(1e-7))).min(2.0);
        self.eta = (self.eta * factor).min(MOST_ETA);
        self.h = h * (2.0 * factor);
        if lets_go {
            self.start_letting_go(unit);
        }
        None
    }

    /// w₂/|w₁| below which the nose no longer sticks; −∞ if it always does.
    pub(super) fn find_edge(&self) -> f64 {
        let law = self.law;
        let p = law.cloth * law.down;
        let along = law.k * law.cloth * law.sin;
        let (s2, m2) = (law.sin * law.sin, law.nose * law.nose);
        let q0 = along * along + s2 * law.cos * law.cos - m2 * law.up * law.up;
        let q1 = -p * law.cos * (s2 + m2 * law.up);
        let q2 = s2 * p * p - along * along - m2 * p * p * law.cos * law.cos;
        let w = Law::cloth_unit(&self.y);
        let n = w[1];
        let root = q1 * q1 - q0 * q2;
        if root < 0.0 {
            return f64::NEG_INFINITY;
        }
        let root = root.sqrt();
        // The two roots as q/q2 and q0/q: no cancellation.
        let q = if q1 > 0.0 { -q1 - root } else { -q1 + root };
        let mut best = -1.0;
        for candidate in [q / q2, q0 / q] {
            if candidate < n + 1e-9 && candidate > best {
                best = candidate;
            }
        }
        if best <= -1.0 {
            return f64::NEG_INFINITY;
        }
        best / (1.0 - best * best).sqrt()
    }

    pub(super) fn start_letting_go(&mut self, cloth: [f64; 2]) {
        let law = self.law;
        self.phase = Phase::LetsGo;
        let (n, lambda) = law.onset(cloth, 0.0);
        self.growth = lambda;
        self.k = law.along(n, cloth);
        self.h = 1.0;
    }

    /// The nose sticks, the cloth's slip is along Y: constant rates.
    pub(super) fn stick_straight(&mut self) -> Option<End> {
        let law = self.law;
        let sign = if self.y[3] > 0.0 { 1.0 } else { -1.0 };
        self.k = law.stuck([0.0, sign]);
        let pace = self.pace();
        let left = self.rubber.left(pace);
        if pace.v > 0.0 {
            let h = pace.v / pace.d;
            if left <= h {
                self.rubber.book_even(pace, left);
                return Some(End {
                    y: [0.0, self.y[1], 0.0, self.y[3] + left * self.k[3]],
                    vy: 0.0,
                    vz: 0.0,
                });
            }
            self.rubber.book_even(Pace { v: pace.v, d: pace.d }, h);
            self.y[3] = 0.0;
            self.y[1] = 0.0;
            self.y[2] = 0.0;
            if !self.rubber.returning {
                self.rubber.book_even(Pace { v: 0.0, d: pace.d }, 0.0);
            }
            self.settle(true);
            return None;
        }
        let h = left;
        let y = [0.0, self.y[1], 0.0, self.y[3] + h * self.k[3]];
        Some(End { y, vy: law.approach(&y), vz: 0.0 })
    }
}
