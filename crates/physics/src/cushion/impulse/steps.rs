//! The phases of a rebound.
use super::super::Stall;
use super::State;
use super::climb;
use super::law::Law;
use super::pair::{self, Step};
use super::rubber::{Pace, Rubber};
use super::series::Series;

const TURN: [f64; 2] = [0.642_787_609_686_539_3, 0.766_044_443_118_978];
const EDGE: f64 = 3e-4;
const LAG: f64 = 1.0;
const MOST_STEPS: u32 = 500;

#[derive(Clone, Copy, Debug)]
pub(super) struct End {
    pub(super) y: State,
    pub(super) vy: f64,
    pub(super) vz: f64,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Phase {
    /// Nose and cloth slide.
    Slides,
    /// The nose sticks.
    Sticks,
    /// The nose slides so slowly that the forces steer it.
    LetsGo,
    /// The cloth sticks, the nose slides.
    Rolls,
    /// The cloth slides so slowly that the forces steer it.
    SlipsOff,
    /// Nothing presses on the cloth.
    Climbs,
}

/// x to the power −1/5, within 4 %.
#[inline(always)]
fn inverse_fifth_root(x: f64) -> f64 {
    // The exponent's field divided by five; the constant centres the error of the mantissa.
    f64::from_bits(0x4CB8_B000_0000_0000u64.wrapping_sub(x.to_bits() / 5))
}

const REACH: f64 = 1.0;
/// x to the power −1/N.
#[inline(always)]
fn inverse_root<const N: usize>(x: f64) -> f64 {
    const ONE: u64 = 0x3FEF_6000_0000_0000;
    f64::from_bits((ONE + ONE / N as u64).wrapping_sub(x.to_bits() / N as u64))
}
#[inline(always)]
fn inverse_root_less<const N: usize>(x: f64) -> f64 {
    const ONE: u64 = 0x3FEF_6000_0000_0000;
    f64::from_bits((ONE + ONE / (N - 1) as u64).wrapping_sub(x.to_bits() / (N - 1) as u64))
}

struct Limit {
    turn: f64,
    nearest: f64,
    across2: f64,
    rate2: f64,
    square: f64,
}

#[inline(always)]
fn limit(a: f64, b: f64, da: f64, db: f64) -> Limit {
    let square = a * a + b * b;
    let across = (a * db - b * da).abs();
    let towards = -(a * da + b * db);
    let rate2 = da * da + db * db;
    let denominator = TURN[1] * across + TURN[0] * towards;
    let turn = if denominator > 0.0 { TURN[0] * square / denominator } else { f64::INFINITY };
    Limit { turn, nearest: towards, across2: across * across, rate2, square }
}

/// The most that a slip may change in one step, as a share of its distance from zero.
const MOST_ETA: f64 = 1.5;

/// A slip and where it goes.
struct Path {
    square: f64,
    across: f64,
    towards: f64,
    rate2: f64,
}

impl Path {
    #[inline(always)]
    fn new(a: f64, b: f64, da: f64, db: f64) -> Self {
        Self {
            square: a * a + b * b,
            across: (a * db - b * da).abs(),
            towards: -(a * da + b * db),
            rate2: da * da + db * db,
        }
    }
    #[inline(always)]
    fn reach(&self, eta: f64) -> f64 {
        if self.towards > 0.0 {
            eta.min(0.8) * (self.square / self.rate2).sqrt()
        } else {
            let d = self.across + eta * self.towards;
            if d > 0.0 { eta * self.square / d } else { f64::INFINITY }
        }
    }
}

struct Run<'a> {
    law: &'a Law,
    tolerance: f64,
    y: State,
    k: State,
    rubber: Rubber,
    phase: Phase,
    h: f64,
    steps: u32,
    eta: f64,
    series: Series,
    wedged: bool,
    edge: f64,
    slip: f64,
    growth: f64,
}

pub(super) fn integrate(law: &Law, start: [f64; 4], restitution: f64, tolerance: f64) -> Result<End, Stall> {
    let mut run = Run {
        law,
        tolerance,
        y: start,
        k: [0.0; 4],
        rubber: Rubber::new(law.cos, restitution),
        phase: Phase::Slides,
        h: 1.0,
        steps: 0,
        eta: if tolerance > 3e-6 { 0.55 } else { 0.4 },
        series: Series::empty(),
        wedged: false,
        edge: 0.0,
        slip: 0.0,
        growth: 0.0,
    };
    run.settle(false);
    loop {
        run.steps += 1;
        if run.steps > MOST_STEPS {
            return Err(Stall { steps: run.steps });
        }
        let done = match run.phase {
            Phase::Slides => run.slide(),
            Phase::Sticks => run.stick(),
            Phase::LetsGo => run.let_go(),
            Phase::Rolls => run.roll(),
            Phase::SlipsOff => run.slip_off(),
            Phase::Climbs => match climb::climb(law, &run.y, &mut run.rubber) {
                Ok(y) => {
                    run.y = y;
                    run.settle(true);
                    None
                }
                Err(end) => Some(end),
            },
        };
        if run.wedged {
            return Ok(End { y: [0.0; 4], vy: 0.0, vz: 0.0 });
        }
        if let Some(end) = done {
            return Ok(end);
        }
    }
}

impl Run<'_> {
    #[inline(always)]
    fn pace(&self) -> Pace {
        Pace { v: self.law.approach(&self.y), d: self.law.slowing(&self.k) }
    }

    fn rates(&self, y: &State) -> State {
        match self.phase {
            Phase::Slides | Phase::Climbs => self.law.sliding(y),
            Phase::Sticks => self.law.stuck(self.law.cloth_unit(y)),
            Phase::LetsGo => {
                let w = self.law.cloth_unit(y);
                self.law.along(self.law.onset(w, self.growth).0, w)
            }
            Phase::Rolls => self.law.rolling(self.law.nose_unit(y)),
            Phase::SlipsOff => {
                let n = self.law.nose_unit(y);
                self.law.along(n, self.law.cloth_onset(n).0)
            }
        }
    }

    /// Decides what nose and cloth do at the present slips and sets the rates. `landed`: a nose slip that is
    /// small was brought to zero.
    fn settle(&mut self, _landed: bool) {
        let law = self.law;
        let u2 = self.y[0] * self.y[0] + self.y[2] * self.y[2];
        let w2 = self.y[1] * self.y[1] + self.y[3] * self.y[3];
        let cloth_rests = w2 == 0.0;
        let nose_rests = u2 == 0.0;
        if !nose_rests {
            let n = law.nose_unit(&self.y);
            if law.climbs() && law.load(n) < 0.0 {
                self.phase = Phase::Climbs;
                return;
            }
            if cloth_rests {
                let (direction, growth) = law.cloth_onset(n);
                if growth <= 0.0 {
                    self.phase = Phase::Rolls;
                    self.k = law.rolling(n);
                } else {
                    // Where growth is fast the start is not stiff.
                    self.phase = if growth > 0.2 { Phase::Slides } else { Phase::SlipsOff };
                    self.growth = growth;
                    self.slip = 0.0;
                    self.k = law.along(n, direction);
                }
            } else {
                self.phase = Phase::Slides;
                self.k = law.sliding(&self.y);
            }
            return;
        }
        if cloth_rests {
            self.start_from_rest();
            return;
        }
        if law.excess([self.y[1], self.y[3]]) <= 0.0 {
            self.start_sticking();
        } else {
            self.start_letting_go(law.cloth_unit(&self.y));
        }
    }

    fn start_sticking(&mut self) {
        self.phase = Phase::Sticks;
        self.k = self.law.stuck(self.law.cloth_unit(&self.y));
        self.edge = self.find_edge();
        self.h = 1.0;
    }

    /// Both slips are zero, and so is v_Y: from here the ball leaves the rail.
    fn start_from_rest(&mut self) {
        let law = self.law;
        let away = [0.0, -1.0];
        let (a, most) = law.cloth_drive([0.0, 1.0]);
        if law.wedges() {
            self.wedged = true;
        } else if -a[1] <= most && law.rolling([0.0, 1.0])[2] > 0.0 {
            // The cloth holds on; the nose slides up.
            self.y[2] = 1e-12;
            self.phase = Phase::Rolls;
            self.k = law.rolling([0.0, 1.0]);
            self.h = 1.0;
        } else if law.excess(away) <= 0.0 {
            self.phase = Phase::Sticks;
            self.k = law.stuck(away);
            self.edge = f64::NEG_INFINITY;
        } else {
            self.start_letting_go(away);
        }
    }

    /// The share of a step from here to `end` after which nothing presses on the cloth, if it is less than all.
    fn unloaded(&self, end: &State) -> Option<f64> {
        let law = self.law;
        if !law.climbs() {
            return None;
        }
        let (from, to) = (law.load(law.nose_unit(&self.y)), law.load(law.nose_unit(end)));
        if to > -1e-2 * self.tolerance.sqrt() || from <= 0.0 {
            return None;
        }
        Some((from / (from - to)).max(0.02))
    }

    /// Ends the rebound from nearby, or not yet.
    fn finish(&mut self) -> Option<End> {
        let left = self.rubber.left(self.pace());
        if left.abs() > 0.03 {
            return None;
        }
        let mut left = left;
        if left.abs() > 1e-4 {
            // One step of third order (Ralston).
            let h = left;
            let law = self.law;
            let mid = |c: f64, k: &State, y: &State| {
                let mut n = *y;
                for i in 0..4 {
                    n[i] += c * h * k[i];
                }
                n
            };
            let k2 = self.rates(&mid(0.5, &self.k, &self.y));
            let k3 = self.rates(&mid(0.75, &k2, &self.y));
            let from = self.pace();
            let mut to = self.y;
            for i in 0..4 {
                to[i] += h / 9.0 * (2.0 * self.k[i] + 3.0 * k2[i] + 4.0 * k3[i]);
            }
            let k4 = self.rates(&to);
            self.y = to;
            self.k = k4;
            let pace = self.pace();
            let work = law.cos * h * (0.5 * (from.v + pace.v) + h / 12.0 * (pace.d - from.d));
            self.rubber.book(from, pace, work, h);
            left = self.rubber.left(pace);
        }
        let mut y = self.y;
        for i in 0..4 {
            y[i] += left * self.k[i];
        }
        let vy = self.law.approach(&y);
        Some(End { y, vy: if vy < 0.0 { vy } else { 0.0 }, vz: 0.0 })
    }

    fn slide(&mut self) -> Option<End> {
        let y = self.y;
        if y[1] * y[1] + y[3] * y[3] == 0.0 {
            return self.set_off();
        }
        if self.tolerance > 3e-6 { self.slide_by::<8>() } else { self.slide_by::<10>() }
    }

    /// Off from zero slip at the cloth.
    fn set_off(&mut self) -> Option<End> {
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
            if law.climbs() && law.load(law.nose_unit(&self.y)) < 0.0 {
                self.phase = Phase::Climbs;
            }
            return if h >= left { self.finish() } else { None };
        }
    }

    fn slide_by<const N: usize>(&mut self) -> Option<End> {
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
            (if p < q { p } else { q }) * REACH
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
        if law.climbs() {
            if let Some(t) = series.unloads::<N>(h) {
                if t <= 1e-9 {
                    self.phase = Phase::Climbs;
                    return None;
                }
                h = t;
                landing = 0;
            }
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
            self.rubber.turn(scale * series.approach::<N>(t).1, t == 0.0);
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
    fn small_slip(&mut self, square: f64) {
        let law = self.law;
        if square < 100.0 * self.tolerance * self.tolerance && law.excess([self.y[1], self.y[3]]) <= 0.0 {
            self.rest_nose();
            return;
        }
        let w = law.cloth_unit(&self.y);
        let (n, growth) = law.onset(w, 0.0);
        let along = self.y[0] * n[0] + self.y[2] * n[1];
        let across = self.y[0] * n[1] - self.y[2] * n[0];
        if along > 0.0 && across.abs() < self.tolerance {
            self.start_letting_go(w);
            self.growth = growth;
        }
    }

    /// The same at the cloth.
    fn small_cloth_slip(&mut self, square: f64) {
        let law = self.law;
        let (w, growth) = law.cloth_onset(law.nose_unit(&self.y));
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
    fn rest_nose(&mut self) {
        let law = self.law;
        let w = law.cloth_unit(&self.y);
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

    /// The nose sticks; the cloth slides. In the measure σ with dP = (5/2 + s² + …) dσ.
    fn stick(&mut self) -> Option<End> {
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
        let mut lets_go = false;
        if event <= h * 1.02 {
            h = event.max(1e-9);
            lets_go = true;
        }
        let last = rest <= h * 1.02;
        if last {
            h = rest;
            lets_go = false;
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
        lets_go = over < slack && !last;
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
        let unit = law.cloth_unit(&self.y);
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
    fn find_edge(&self) -> f64 {
        let law = self.law;
        let p = law.cloth * law.down;
        let along = law.k * law.cloth * law.sin;
        let (s2, m2) = (law.sin * law.sin, law.nose * law.nose);
        let q0 = along * along + s2 * law.cos * law.cos - m2 * law.up * law.up;
        let q1 = -p * law.cos * (s2 + m2 * law.up);
        let q2 = s2 * p * p - along * along - m2 * p * p * law.cos * law.cos;
        let w = law.cloth_unit(&self.y);
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

    fn start_letting_go(&mut self, cloth: [f64; 2]) {
        let law = self.law;
        self.phase = Phase::LetsGo;
        let (n, lambda) = law.onset(cloth, 0.0);
        self.growth = lambda;
        self.k = law.along(n, cloth);
        self.h = 1.0;
    }

    /// The nose sticks, the cloth's slip is along Y: constant rates.
    fn stick_straight(&mut self) -> Option<End> {
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

    /// The nose lets go: its slip is so short that the forces steer it.
    fn let_go(&mut self) -> Option<End> {
        let law = self.law;
        let (y, k) = (self.y, self.k);
        let guess = self.growth;
        let unit = |y: &State| law.cloth_unit(y);
        let rates = |y: &State| {
            let w = law.cloth_unit(y);
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
        let leaves = error > LAG * self.tolerance;
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
            let _ = kappa;
            self.eta = self.eta.min(if self.tolerance > 3e-6 { 0.55 } else { 0.4 });
        }
        None
    }

    /// The cloth sticks.
    fn roll(&mut self) -> Option<End> {
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
        let done: Step<4> = pair::step(|y| law.rolling(law.nose_unit(y)), |y| law.approach(y), &y, &k, h);
        let ratio = done.error / self.tolerance;
        if ratio > 1.0 && h.abs() > 1e-7 {
            let factor = (0.85 * inverse_fifth_root(ratio)).max(0.2);
            self.eta *= factor;
            self.h = h.abs() * factor;
            return None;
        }
        // Whether the cloth still holds.
        let (a, most) = law.cloth_drive(law.nose_unit(&done.y));
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
    fn slip_off(&mut self) -> Option<End> {
        let law = self.law;
        let y = [self.slip, self.y[0], self.y[2]];
        let unit = |y: &[f64; 3]| law.nose_unit(&[y[1], 0.0, y[2], 0.0]);
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
