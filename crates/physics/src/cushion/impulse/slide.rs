//! Nose and cloth slide: power series in the impulse, a step as long as its last coefficients allow.
//!
//! Where a slip runs into zero the step lands there, and [`Run::settle`] decides what follows; a slip that passes
//! near zero bounds the step by its distance.

use super::law::Law;
use super::pair::{self, Step};
use super::rubber::Pace;
use super::steps::{End, Path, Phase, Run, inverse_fifth_root, inverse_root, inverse_root_less};

impl Run<'_> {
    pub(super) fn slide(&mut self) -> Option<End> {
        let y = self.y;
        if y[1] * y[1] + y[3] * y[3] == 0.0 {
            return self.set_off();
        }
        if self.tolerance > 3e-6 { self.slide_by::<8>() } else { self.slide_by::<10>() }
    }

    /// Off from zero slip at the cloth.
    pub(super) fn set_off(&mut self) -> Option<End> {
        let law = self.law;
        let (y, k) = (self.y, self.k);
        let from = self.pace();
        let left = self.rubber.left(from);
        let nose = Path::new(y[0], y[2], k[0], k[2]);
        let mut h = nose.reach(self.eta).min(left).min(1.0);
        loop {
            let done: Step<4> = pair::step(|y| law.sliding(y), |y| law.approach(y), &y, &k, h);
            let ratio = done.error / self.tolerance;
            if ratio > 1.0 && h > 1e-7 {
                h *= (0.85 * inverse_fifth_root(ratio)).max(0.2);
                continue;
            }
            if let Some(share) = self.unloaded(&done.y) {
                h *= share;
                continue;
            }
            self.y = done.y;
            self.k = done.k;
            let to = self.pace();
            self.rubber.book(from, to, law.cos * done.work, h);
            if law.climbs() && law.load(Law::nose_unit(&self.y)) < 0.0 {
                self.phase = Phase::Climbs;
            }
            return if h >= left { self.finish() } else { None };
        }
    }

    #[allow(clippy::too_many_lines)] // one step, read from top to bottom
    pub(super) fn slide_by<const N: usize>(&mut self) -> Option<End> {
        let law = self.law;
        let y = self.y;
        self.series.fill::<N>(law, &y);
        let series = &self.series;
        let k = series.first();
        let nose = Path::new(y[0], y[2], k[0], k[2]);
        let cloth = Path::new(y[1], y[3], k[1], k[3]);
        // The step that the last two coefficients allow.
        let mut h = {
            let (p, q) = (series.size(N) / self.tolerance, series.size(N - 1) / self.tolerance);
            let (p, q) = (inverse_root::<N>(p.max(1e-30)), inverse_root_less::<N>(q.max(1e-30)));
            if p < q { p } else { q }
        };
        let mut landing = 0;
        if nose.towards > 0.0 && 0.8 * nose.square < h * nose.towards {
            let near = nose.towards / nose.rate2;
            let miss2 = nose.across * nose.across / nose.rate2;
            let sticks = law.excess([y[1], y[3]]) <= 0.0;
            let r = nose.square.sqrt();
            if h >= near
                && (if sticks {
                    miss2 * 0.1 < self.tolerance * r
                } else {
                    miss2 < self.tolerance * self.tolerance
                })
            {
                h = near;
                landing = 1;
            } else {
                let most = 0.8 * (nose.square / nose.rate2).sqrt();
                if most < h {
                    h = most;
                }
            }
        }
        if cloth.towards > 0.0 && 0.8 * cloth.square < h * cloth.towards {
            let near = cloth.towards / cloth.rate2;
            let miss2 = cloth.across * cloth.across / cloth.rate2;
            if h >= near && miss2 < self.tolerance * self.tolerance {
                h = near;
                landing = 2;
            } else {
                let most = 0.8 * (cloth.square / cloth.rate2).sqrt();
                if most < h {
                    h = most;
                    landing = 0;
                }
            }
        }
        if landing != 0 {
            // The nearest point of the curve itself.
            let i = landing - 1;
            let first = h;
            for _ in 0..3 {
                let (z, d) = (series.at::<N>(h), series.rates::<N>(h));
                h -= (z[i] * d[i] + z[i + 2] * d[i + 2]) / (d[i] * d[i] + d[i + 2] * d[i + 2]);
            }
            if !(h > 0.5 * first && h < 1.5 * first) {
                h = 0.5 * first;
                landing = 0;
            }
        }
        if law.climbs()
            && let Some(t) = series.unloads::<N>(h)
        {
            if t <= 1e-9 {
                self.phase = Phase::Climbs;
                return None;
            }
            h = t;
            landing = 0;
        }
        let (v, work) = series.approach::<N>(h);
        let scale = law.cos * law.per_sum;
        if !self.rubber.returning && v <= 0.0 {
            // Where the approach ends: the work is at its most, and so insensitive to where that is.
            let (v0, _) = series.approach::<N>(0.0);
            let mut t = h * v0 / (v0 - v);
            for _ in 0..2 {
                let d = series.rates::<N>(t);
                t += series.approach::<N>(t).0 / (d[2] - d[3]);
            }
            self.rubber.turn(scale * series.approach::<N>(t).1);
            if self.rubber.ends_there() {
                let y = series.at::<N>(t);
                return Some(End { y, vy: 0.0, vz: 0.0 });
            }
        }
        let end = series.at::<N>(h);
        if self.rubber.returning && self.rubber.work + scale * work <= self.rubber.goal() {
            let mut t = h;
            for _ in 0..3 {
                let (v, work) = series.approach::<N>(t);
                let d = series.rates::<N>(t);
                let pace = Pace { v: v * law.per_sum, d: law.slowing(&d) };
                let mut ahead = self.rubber;
                ahead.work += scale * work;
                t += ahead.left(pace);
            }
            let y = series.at::<N>(t);
            return Some(End { y, vy: law.approach(&y), vz: 0.0 });
        }
        self.rubber.work += scale * work;
        self.y = end;
        match landing {
            1 => self.rest_nose(),
            2 => {
                self.y[1] = 0.0;
                self.y[3] = 0.0;
                self.settle(false);
            }
            _ => {
                let (u, w) = (end[0] * end[0] + end[2] * end[2], end[1] * end[1] + end[3] * end[3]);
                if u < 1e-5 {
                    self.small_slip(u);
                } else if w < 1e-5 {
                    self.small_cloth_slip(w);
                }
            }
        }
        None
    }

    /// A short slip at the nose: brought to rest if it may stay there, steered if it already goes where the
    /// forces drive it.
    pub(super) fn small_slip(&mut self, square: f64) {
        let law = self.law;
        if square < 100.0 * self.tolerance * self.tolerance && law.excess([self.y[1], self.y[3]]) <= 0.0 {
            self.rest_nose();
            return;
        }
        let w = Law::cloth_unit(&self.y);
        let (n, growth) = law.onset(w, 0.0);
        let along = self.y[0] * n[0] + self.y[2] * n[1];
        let across = self.y[0] * n[1] - self.y[2] * n[0];
        if along > 0.0 && across.abs() < self.tolerance {
            self.start_letting_go(w);
            self.growth = growth;
        }
    }

    /// The same at the cloth.
    pub(super) fn small_cloth_slip(&mut self, square: f64) {
        let law = self.law;
        let (w, growth) = law.cloth_onset(Law::nose_unit(&self.y));
        if growth <= 0.0 && square < 100.0 * self.tolerance * self.tolerance {
            self.y[1] = 0.0;
            self.y[3] = 0.0;
            self.settle(false);
            return;
        }
        let along = self.y[1] * w[0] + self.y[3] * w[1];
        let across = self.y[1] * w[1] - self.y[3] * w[0];
        if growth < 0.2 && along > 0.0 && across.abs() < self.tolerance {
            self.phase = Phase::SlipsOff;
            self.growth = growth;
            self.slip = along;
            self.h = 1.0;
        }
    }

    /// A nose slip close to zero is brought there by friction at once.
    pub(super) fn rest_nose(&mut self) {
        let law = self.law;
        let w = Law::cloth_unit(&self.y);
        let f1 = self.y[0] / 3.5;
        let f2 = self.y[2] / (law.up + law.cloth * law.down * w[1] * law.cos);
        let g = law.cloth * law.cos * f2;
        self.y[1] -= law.k * f1 + 3.5 * g * w[0];
        self.y[3] -= law.down * f2 + 3.5 * g * w[1];
        self.y[0] = 0.0;
        self.y[2] = 0.0;
        self.settle(true);
        self.h = 0.25;
    }
}
