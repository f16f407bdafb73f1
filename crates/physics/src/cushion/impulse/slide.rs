//! Both slip: steps of the series, and where they end.

use super::State;
use super::control::{Path, inverse_root, least, most};
use super::pass::pass;
use super::rubber::Pace;
use super::run::{End, Phase, Run};
use super::tsitouras::{Step, step};

/// Squares of slips below which it is worth asking whether they are short.
const SHORT: f64 = 1e-5;

/// Square of a cloth slip from which a pass in closed form is considered.
const CLOSE: f64 = 1e-3;

/// A slip that a step takes to the point where it is nearest to zero.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Landing {
    None,
    Nose,
    Cloth,
}

impl Run<'_> {
    /// One step while both slip.
    pub(super) fn slide(&mut self) -> Option<End> {
        let square = self.y[1] * self.y[1] + self.y[3] * self.y[3];
        if square == 0.0 {
            return self.set_off();
        }
        let tolerance = self.control.tolerance;
        if square < CLOSE
            && square > 100.0 * tolerance * tolerance
            && let Some(y) = pass(self.law, &self.y, tolerance, &mut self.rubber)
        {
            self.y = y;
        }
        self.slide_on()
    }

    /// Off from zero slip at the cloth, where there is no series: a rolling ball's first step.
    fn set_off(&mut self) -> Option<End> {
        let law = self.law;
        let (y, k) = (self.y, self.k);
        let from = self.pace();
        let left = self.rubber.left(from);
        let mut h = least(least(self.control.reach(&Path::new(y[0], y[2], k[0], k[2])), left), 1.0);
        let done: Step<4> = loop {
            let done = step(|y| law.sliding(y), |y| law.approach(y), &y, &k, h);
            let ratio = done.error / self.control.tolerance;
            if ratio > 1.0 && h > 1e-7 {
                h *= most(0.85 * inverse_root::<5>(ratio), 0.2);
            } else if let Some(share) = self.lifts_within(&done.y) {
                h *= share;
            } else {
                break done;
            }
        };
        self.y = done.y;
        self.k = done.k;
        self.rubber.enter(from, self.pace(), law.cos * done.integral, h);
        if h >= left {
            return self.finish();
        }
        if law.lifts(&self.y) {
            self.phase = Phase::Climbs;
        }
        None
    }

    /// A step of the series.
    fn slide_on(&mut self) -> Option<End> {
        let law = self.law;
        let y = self.y;
        self.series.fill(law, &y);
        let (mut h, mut landing) = self.slide_reach(&y);
        if law.can_lift()
            && let Some(t) = self.series.unloads(h)
        {
            if t <= 1e-9 {
                self.phase = Phase::Climbs;
                return None;
            }
            h = t;
            landing = Landing::None;
        }
        let series = &self.series;
        let end = series.at(h);
        let (v, integral) = series.approach(h);
        let scale = law.cos * law.per_sum;
        let mut turned = 0.0;
        if !self.rubber.returns && v <= 0.0 {
            turned = self.turning_point(h, v);
            self.rubber.turn(scale * series.approach(turned).1);
            if self.rubber.gives_nothing() {
                return Some(End { y: series.at(turned), vy: 0.0, vz: 0.0 });
            }
        }
        if self.rubber.is_done_by(scale * integral) {
            let t = self.last_point(turned, h, v, integral);
            return Some(self.end(series.at(t)));
        }
        self.rubber.work += scale * integral;
        self.y = end;
        let (u, w) = (end[0] * end[0] + end[2] * end[2], end[1] * end[1] + end[3] * end[3]);
        let tolerance = self.control.tolerance;
        if u + w < 100.0 * tolerance * tolerance {
            // Both slips vanish, and v_Y with them.
            self.y = [0.0; 4];
            self.leave_from_rest();
        } else if landing == Landing::Nose && self.may_rest(&y, u) {
            self.rest_nose();
        } else if landing == Landing::Cloth {
            self.rest_cloth();
        } else if u < SHORT {
            self.settle_short_nose_slip(u);
        } else if w < SHORT {
            self.settle_short_cloth_slip(w);
        }
        None
    }

    /// How far the series goes, and whether it takes a slip to zero.
    ///
    /// A slip that runs straight into zero keeps its direction, and so does the series, which knows nothing of
    /// what comes after: it goes all the way. One that will miss zero ends before.
    #[inline(always)]
    fn slide_reach(&self, y: &State) -> (f64, Landing) {
        let k = self.series.first_rates();
        let nose = Path::new(y[0], y[2], k[0], k[2]);
        let cloth = Path::new(y[1], y[3], k[1], k[3]);
        let tolerance = self.control.tolerance;
        let mut h = self.series.reach(tolerance);
        let mut landing = Landing::None;
        if nose.nears_zero(h) {
            let near = nose.nearest();
            let miss = nose.miss();
            let close = miss < tolerance * tolerance
                || (self.law.excess([y[1], y[3]]) <= 0.0 && miss * 0.1 < tolerance * nose.square.sqrt());
            if h >= near && close {
                h = near;
                landing = Landing::Nose;
            } else {
                h = least(h, nose.reach(1.0));
            }
        }
        if cloth.nears_zero(h) {
            let near = cloth.nearest();
            if h >= near && cloth.miss() < 0.25 * tolerance * tolerance {
                h = near;
                landing = Landing::Cloth;
            } else {
                let most = cloth.reach(1.0);
                if most < h {
                    h = most;
                    landing = Landing::None;
                }
            }
        }
        if landing != Landing::None {
            // The nearest point of the curve itself.
            let i = usize::from(landing == Landing::Cloth);
            let first = h;
            for _ in 0..3 {
                let (z, d) = (self.series.at(h), self.series.rates(h));
                h -= (z[i] * d[i] + z[i + 2] * d[i + 2]) / (d[i] * d[i] + d[i + 2] * d[i + 2]);
            }
            if !(h > 0.5 * first && h < 1.5 * first) {
                return (0.5 * first, Landing::None);
            }
        }
        (h, landing)
    }

    /// Whether a nose slip of square `miss`, the nearest that one from `start` came to zero, may be taken as
    /// resting: it would come to rest by itself, or it does not matter.
    fn may_rest(&self, start: &State, miss: f64) -> bool {
        let tolerance = self.control.tolerance;
        let from = (start[0] * start[0] + start[2] * start[2]).sqrt();
        miss < tolerance * tolerance
            || (self.law.excess([self.y[1], self.y[3]]) <= 0.0 && miss * 0.1 < tolerance * from)
    }

    /// Where within the step of `h`, at whose end (1 + s) v_Y is `v`, compression ends.
    ///
    /// The work is at its most there, so that an error of this point counts by its square.
    #[inline(always)]
    fn turning_point(&self, h: f64, v: f64) -> f64 {
        let series = &self.series;
        // The parabola through both ends, for a start and for slopes.
        let (v0, v1) = (series.speed(0), series.speed(1));
        if v0 <= 0.0 {
            return 0.0;
        }
        let v2 = (v - v0 - v1 * h) / (h * h);
        let mut t = h * v0 / (v0 - v);
        let improve = |value: f64, t: &mut f64| {
            let next = *t - value / (v1 + 2.0 * *t * v2);
            if next > 0.0 && next < h {
                *t = next;
            }
        };
        improve(v0 + t * (v1 + t * v2), &mut t);
        improve(series.approach(t).0, &mut t);
        t
    }

    /// Where between `low` and `high` the rebound ends; `v` and `integral` are those at `high`.
    #[inline(always)]
    fn last_point(&self, low: f64, high: f64, v: f64, integral: f64) -> f64 {
        let (law, series) = (self.law, &self.series);
        let scale = law.cos * law.per_sum;
        let (mut v, mut integral, mut slope, mut t) = (v, integral, series.approach_rate(high), high);
        for _ in 0..3 {
            let mut ahead = self.rubber;
            ahead.work += scale * integral;
            t += ahead.left(Pace { v: v * law.per_sum, loss: -slope * law.per_sum });
            t = most(least(t, high), low);
            (v, integral) = series.approach(t);
            slope = series.approach_rate(t);
        }
        t
    }
}
