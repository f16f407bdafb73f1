//! Something has just let go or is held at the cloth: slips so short that the forces steer them, which no explicit
//! step could follow, and the ball that rolls on the cloth while the nose slides.

use super::State;
use super::law::Law;
use super::pair::{self, Step};
use super::rubber::Pace;
use super::steps::{End, MOST_ETA, Path, Phase, Run, inverse_fifth_root};

impl Run<'_> {
    /// The nose lets go: its slip is so short that the forces steer it.
    pub(super) fn let_go(&mut self) -> Option<End> {
        let law = self.law;
        let (y, k) = (self.y, self.k);
        let guess = self.growth;
        let unit = |y: &State| Law::cloth_unit(y);
        let rates = |y: &State| {
            let w = Law::cloth_unit(y);
            law.along(law.onset(w, guess).0, w)
        };
        let from = self.pace();
        let left = self.rubber.left(from);
        let path = Path::new(y[1], y[3], k[1], k[3]);
        if path.towards > 0.0
            && path.across * path.across < self.tolerance * self.tolerance * path.rate2
            && path.towards < left * path.rate2
        {
            let h = path.towards / path.rate2;
            for i in 0..4 {
                self.y[i] += h * self.k[i];
            }
            let to = self.pace();
            self.rubber.book(from, to, law.cos * 0.5 * (from.v + to.v) * h, h);
            self.y[1] = 0.0;
            self.y[3] = 0.0;
            self.settle(false);
            return None;
        }
        let mut reach = path.reach(self.eta).min(self.h);
        if guess < 0.0 {
            let gone = -(y[0] * y[0] + y[2] * y[2]).sqrt() / guess;
            if gone < reach {
                reach = gone;
            }
        }
        let last = left <= reach * 1.02;
        let h = if last { left } else { reach.max(1e-7) };
        let done: Step<4> = pair::step(rates, |y| law.approach(y), &y, &k, h);
        let ratio = done.error / self.tolerance;
        if ratio > 1.0 && h.abs() > 1e-7 {
            let factor = (0.85 * inverse_fifth_root(ratio)).max(0.2);
            self.eta *= factor;
            self.h = h.abs() * factor;
            return None;
        }
        let w = unit(&done.y);
        let (n, lambda) = law.onset(w, guess);
        // Direction lags behind its goal while the cloth's slip turns.
        let turned = law
            .onset(unit(&[0.0, done.y[1] + 1e-4 * done.k[1], 0.0, done.y[3] + 1e-4 * done.k[3]]), lambda)
            .0;
        let turn = (turned[1] * n[0] - turned[0] * n[1]) * 1e4;
        let slip = (done.y[0] * done.y[0] + done.y[2] * done.y[2]).sqrt();
        // Restoring rate: tᵀ M t with t = (−n₂, n₁).
        let load = law.cloth * law.cos * law.nose;
        let kappa = 3.5 * law.nose * n[1] * n[1] + (law.up * law.nose + law.down * load * w[1]) * n[0] * n[0]
            - law.k * load * w[0] * n[0] * n[1];
        let relax = slip / (kappa + lambda);
        let lag = -turn * relax;
        // The cloth's own pace of turning tells how far the first order carries.
        let rate = ((done.k[1] * done.k[1] + done.k[3] * done.k[3])
            / (done.y[1] * done.y[1] + done.y[3] * done.y[3]))
            .sqrt();
        let error = (slip * lag * relax * rate).abs();
        let (c, s) = (1.0 - 0.5 * lag * lag, lag);
        let u = [slip * (n[0] * c - n[1] * s), slip * (n[1] * c + n[0] * s)];
        let f = [(u[0] - done.y[0]) / 3.5, (u[1] - done.y[2]) / law.up];
        self.growth = lambda;
        self.y = done.y;
        self.k = done.k;
        let to = self.pace();
        if to.v <= 0.0 && !self.rubber.returning {
            self.rubber.book(from, to, law.cos * done.work, h);
        } else {
            self.rubber.work += law.cos * done.work;
        }
        let leaves = error > self.tolerance;
        if leaves || last {
            self.y = [u[0], done.y[1] + law.k * f[0], u[1], done.y[3] + law.down * f[1]];
        }
        if last {
            return self.finish();
        }
        if lambda <= 0.0 && (slip < 10.0 * self.tolerance || done.y[0] * n[0] + done.y[2] * n[1] <= 0.0) {
            self.rest_nose();
            return None;
        }
        let factor = (0.85 * inverse_fifth_root(ratio.max(1e-7))).min(2.0);
        self.eta = (self.eta * factor).min(MOST_ETA);
        self.h = h * (2.0 * factor);
        if leaves {
            self.phase = Phase::Slides;
            self.eta = self.eta.min(if self.tolerance > 3e-6 { 0.55 } else { 0.4 });
        }
        None
    }

    /// The cloth sticks.
    pub(super) fn roll(&mut self) -> Option<End> {
        let law = self.law;
        let (y, k) = (self.y, self.k);
        let nose = Path::new(y[0], y[2], k[0], k[2]);
        if nose.square < 1e4 * self.tolerance * self.tolerance && nose.towards > 0.0 {
            // v_Y is as small.
            let pace = self.pace();
            if !self.rubber.returning {
                self.rubber.book_even(Pace { v: 0.0, d: pace.d }, 0.0);
            }
            self.y = [0.0; 4];
            self.start_from_rest();
            return None;
        }
        let from = self.pace();
        let left = self.rubber.left(from);
        let reach = nose.reach(self.eta).min(self.h);
        let last = left <= reach * 1.02;
        let h = if last { left } else { reach };
        let done: Step<4> = pair::step(|y| law.rolling(Law::nose_unit(y)), |y| law.approach(y), &y, &k, h);
        let ratio = done.error / self.tolerance;
        if ratio > 1.0 && h.abs() > 1e-7 {
            let factor = (0.85 * inverse_fifth_root(ratio)).max(0.2);
            self.eta *= factor;
            self.h = h.abs() * factor;
            return None;
        }
        // Whether the cloth still holds.
        let (a, most) = law.cloth_drive(Law::nose_unit(&done.y));
        let over = (a[0] * a[0] + a[1] * a[1]).sqrt() - most;
        let lost = over > 0.0;
        if lost && h > 1e-2 * self.tolerance.sqrt() && over > 1e-2 * self.tolerance.sqrt() && !last {
            self.h = h * 0.5;
            return None;
        }
        self.y = [done.y[0], 0.0, done.y[2], 0.0];
        self.k = done.k;
        let to = self.pace();
        self.rubber.book(from, to, law.cos * done.work, h);
        if last {
            return self.finish();
        }
        let factor = (0.85 * inverse_fifth_root(ratio.max(1e-7))).min(2.0);
        self.eta = (self.eta * factor).min(MOST_ETA);
        self.h = h * (2.0 * factor);
        if lost {
            self.settle(false);
        }
        None
    }

    /// The cloth lets go: its slip is so short that the forces steer it.
    pub(super) fn slip_off(&mut self) -> Option<End> {
        let law = self.law;
        let y = [self.slip, self.y[0], self.y[2]];
        let unit = |y: &[f64; 3]| Law::nose_unit(&[y[1], 0.0, y[2], 0.0]);
        let rates = |y: &[f64; 3]| {
            let n = unit(y);
            let (w, growth) = law.cloth_onset(n);
            let k = law.along(n, w);
            [growth, k[0], k[2]]
        };
        let approach = |y: &[f64; 3]| (y[0] * law.cloth_onset(unit(y)).0[1] - y[2]) * law.per_sum;
        let k = rates(&y);
        let nose = Path::new(y[1], y[2], k[1], k[2]);
        let from = self.pace();
        let left = self.rubber.left(from);
        let mut reach = nose.reach(self.eta).min(self.h);
        if k[0] < 0.0 && -y[0] / k[0] < reach {
            reach = -y[0] / k[0];
        }
        let last = left <= reach * 1.02;
        let h = if last { left } else { reach.max(1e-9) };
        let done: Step<3> = pair::step(rates, approach, &y, &k, h);
        let ratio = done.error / self.tolerance;
        if ratio > 1.0 && h.abs() > 1e-7 {
            let factor = (0.85 * inverse_fifth_root(ratio)).max(0.2);
            self.eta *= factor;
            self.h = h.abs() * factor;
            return None;
        }
        let n = unit(&done.y);
        if let Some(share) = self.unloaded(&[done.y[1], 0.0, done.y[2], 0.0]) {
            self.h = h * share;
            return None;
        }
        let (w, growth) = law.cloth_onset(n);
        self.slip = done.y[0];
        self.growth = growth;
        self.y = [done.y[1], done.y[0] * w[0], done.y[2], done.y[0] * w[1]];
        self.k = law.along(n, w);
        let to = self.pace();
        self.rubber.book(from, to, law.cos * done.work, h);
        if last {
            return self.finish();
        }
        let factor = (0.85 * inverse_fifth_root(ratio.max(1e-7))).min(2.0);
        self.eta = (self.eta * factor).min(MOST_ETA);
        self.h = h * (2.0 * factor);
        let square = done.y[1] * done.y[1] + done.y[2] * done.y[2];
        if law.climbs() && law.load(n) < 0.0 {
            self.phase = Phase::Climbs;
        } else if growth <= 0.0 && self.slip <= 10.0 * self.tolerance {
            self.y[1] = 0.0;
            self.y[3] = 0.0;
            self.settle(false);
        } else if self.slip * self.slip > self.tolerance || square < 1e4 * self.tolerance * self.tolerance {
            self.phase = Phase::Slides;
            self.k = law.sliding(&self.y);
        }
        None
    }
}
