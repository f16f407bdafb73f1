//! The motion while nose and cloth slide, as a power series in the impulse.
#![allow(clippy::cast_precision_loss)] // orders of a series, below twelve

use super::State;
use super::law::Law;

/// Room for coefficients 0 to 11.
pub(super) const ROOM: usize = 12;

/// Two numbers side by side, (nose, cloth) unless said otherwise; aligned so that both go through one register.
#[derive(Clone, Copy, Debug)]
#[repr(align(16))]
struct Pair([f64; 2]);

const NONE: Pair = Pair([0.0; 2]);

#[inline(always)]
fn add(a: Pair, b: Pair) -> Pair {
    Pair([a.0[0] + b.0[0], a.0[1] + b.0[1]])
}
#[inline(always)]
fn sub(a: Pair, b: Pair) -> Pair {
    Pair([a.0[0] - b.0[0], a.0[1] - b.0[1]])
}
#[inline(always)]
fn mul(a: Pair, b: Pair) -> Pair {
    Pair([a.0[0] * b.0[0], a.0[1] * b.0[1]])
}
#[inline(always)]
fn times(s: f64, a: Pair) -> Pair {
    Pair([s * a.0[0], s * a.0[1]])
}

/// Coefficients.
pub(super) struct Series {
    /// Slips along the rail.
    a: [Pair; ROOM],
    /// Slips across it.
    b: [Pair; ROOM],
    /// ‖slip‖.
    rho: [Pair; ROOM],
    /// Directions along and across.
    na: [Pair; ROOM],
    nb: [Pair; ROOM],
    /// Direction of the cloth's slip (along, across).
    cloth: [Pair; ROOM],
    /// Friction of the cloth.
    load: [f64; ROOM],
}

/// What every order needs of the first.
struct Start {
    /// 1/‖slip‖.
    r: Pair,
    /// Projection across the slip over its length, a symmetric matrix.
    aa: Pair,
    ab: Pair,
    bb: Pair,
    lift: f64,
    aside: Pair,
    drive: [Pair; 4],
}

impl Series {
    pub(super) fn empty() -> Self {
        let z = [NONE; ROOM];
        Self { a: z, b: z, rho: z, na: z, nb: z, cloth: z, load: [0.0; ROOM] }
    }

    #[inline(never)]
    pub(super) fn fill<const N: usize>(&mut self, law: &Law, y: &State) {
        let (a, b) = (Pair([y[0], y[1]]), Pair([y[2], y[3]]));
        let q = add(mul(a, a), mul(b, b));
        let rho = Pair([q.0[0].sqrt(), q.0[1].sqrt()]);
        let r = Pair([1.0 / rho.0[0], 1.0 / rho.0[1]]);
        let (na, nb) = (mul(a, r), mul(b, r));
        let load = law.cloth * law.sin + law.cloth * law.cos * law.nose * nb.0[0];
        let cloth = Pair([na.0[1], nb.0[1]]);
        (self.a[0], self.b[0], self.rho[0], self.na[0], self.nb[0], self.cloth[0], self.load[0]) =
            (a, b, rho, na, nb, cloth, load);
        let lift = law.cloth * law.cos * law.nose;
        let start = Start {
            r,
            aa: mul(r, mul(nb, nb)),
            ab: mul(r, Pair([-na.0[0] * nb.0[0], -na.0[1] * nb.0[1]])),
            bb: mul(r, mul(na, na)),
            lift,
            aside: times(lift, cloth),
            drive: [
                Pair([-3.5 * law.nose, -law.k * law.nose]),
                Pair([-law.k, -3.5]),
                Pair([-law.up * law.nose, -law.down * law.nose]),
                Pair([-law.down, -3.5]),
            ],
        };
        let (x, z) = self.drive(&start, times(load, cloth), 0, 1.0);
        self.a[1] = x;
        self.b[1] = add(z, Pair([law.sin_cos, -law.cos]));
        self.extend::<1, N>(&start);
        self.extend::<2, N>(&start);
        self.extend::<3, N>(&start);
        self.extend::<4, N>(&start);
        self.extend::<5, N>(&start);
        self.extend::<6, N>(&start);
        self.extend::<7, N>(&start);
        self.extend::<8, N>(&start);
        self.extend::<9, N>(&start);
        self.extend::<10, N>(&start);
    }

    #[inline(always)]
    fn drive(&self, start: &Start, g: Pair, m: usize, per: f64) -> (Pair, Pair) {
        let (f1, f2) = (self.na[m].0[0], self.nb[m].0[0]);
        (
            times(per, add(times(f1, start.drive[0]), times(g.0[0], start.drive[1]))),
            times(per, add(times(f2, start.drive[2]), times(g.0[1], start.drive[3]))),
        )
    }

    /// Coefficient M + 1 of the slips from those up to M.
    #[inline(always)]
    fn extend<const M: usize, const N: usize>(&mut self, start: &Start) {
        if M >= N {
            return;
        }
        let Self { a, b, rho, na, nb, cloth, load } = self;
        // Sums run from the middle to the ends, so that the newest coefficients join last and none waits.
        let mut qs = NONE;
        if M.is_multiple_of(2) {
            qs = times(
                0.5,
                sub(add(mul(a[M / 2], a[M / 2]), mul(b[M / 2], b[M / 2])), mul(rho[M / 2], rho[M / 2])),
            );
        }
        for j in (1..=(M - 1) / 2).rev() {
            qs = add(qs, sub(add(mul(a[j], a[M - j]), mul(b[j], b[M - j])), mul(rho[j], rho[M - j])));
        }
        let (mut nas, mut nbs, mut gs) = (NONE, NONE, NONE);
        for j in (1..=M / 2).rev() {
            nas = add(nas, mul(na[j], rho[M - j]));
            nbs = add(nbs, mul(nb[j], rho[M - j]));
            gs = add(gs, times(load[j], cloth[M - j]));
            if j != M - j {
                nas = add(nas, mul(na[M - j], rho[j]));
                nbs = add(nbs, mul(nb[M - j], rho[j]));
                gs = add(gs, times(load[M - j], cloth[j]));
            }
        }
        let rhos = mul(start.r, qs);
        nas = add(nas, mul(rhos, na[0]));
        nbs = add(nbs, mul(rhos, nb[0]));
        let nas = mul(start.r, nas);
        let nbs = mul(start.r, nbs);
        rho[M] = add(add(rhos, mul(na[0], a[M])), mul(nb[0], b[M]));
        na[M] = add(sub(mul(start.aa, a[M]), nas), mul(start.ab, b[M]));
        nb[M] = add(sub(mul(start.ab, a[M]), nbs), mul(start.bb, b[M]));
        cloth[M] = Pair([na[M].0[1], nb[M].0[1]]);
        load[M] = start.lift * nb[M].0[0];
        let g = add(add(gs, times(load[0], cloth[M])), times(nb[M].0[0], start.aside));
        let (x, y) = self.drive(start, g, M, 1.0 / (M + 1) as f64);
        self.a[M + 1] = x;
        self.b[M + 1] = y;
    }

    /// Slips after impulse t.
    #[inline(always)]
    pub(super) fn at<const N: usize>(&self, t: f64) -> State {
        let (mut a, mut b) = (self.a[N], self.b[N]);
        for j in (0..N).rev() {
            a = add(times(t, a), self.a[j]);
            b = add(times(t, b), self.b[j]);
        }
        [a.0[0], a.0[1], b.0[0], b.0[1]]
    }

    /// Their rates.
    #[inline(always)]
    pub(super) fn rates<const N: usize>(&self, t: f64) -> State {
        let n = N as f64;
        let (mut a, mut b) = (times(n, self.a[N]), times(n, self.b[N]));
        for j in (1..N).rev() {
            a = add(times(t, a), times(j as f64, self.a[j]));
            b = add(times(t, b), times(j as f64, self.b[j]));
        }
        [a.0[0], a.0[1], b.0[0], b.0[1]]
    }

    /// (1 + s) v_Y after impulse t and its integral from 0 to t.
    #[inline(always)]
    pub(super) fn approach<const N: usize>(&self, t: f64) -> (f64, f64) {
        let v = |j: usize| self.b[j].0[1] - self.b[j].0[0];
        let (mut x, mut w) = (v(N), v(N) / (N + 1) as f64);
        for j in (0..N).rev() {
            x = t * x + v(j);
            w = t * w + v(j) * (1.0 / (j + 1) as f64);
        }
        (x, t * w)
    }

    /// Impulse within `h` at which the cloth carries nothing any more.
    pub(super) fn unloads<const N: usize>(&self, h: f64) -> Option<f64> {
        let load = |t: f64| {
            let (mut x, mut d) = (self.load[N - 1], 0.0);
            for j in (0..N - 1).rev() {
                d = t * d + x;
                x = t * x + self.load[j];
            }
            (x, d)
        };
        if self.load[0] <= 0.0 {
            return if self.load[0] < 0.0 || self.load[1] < 0.0 { Some(0.0) } else { None };
        }
        let (end, _) = load(h);
        if end >= 0.0 {
            return None;
        }
        let (mut low, mut high, mut t) = (0.0, h, h * self.load[0] / (self.load[0] - end));
        for _ in 0..6 {
            let (x, d) = load(t);
            if x > 0.0 {
                low = t;
            } else {
                high = t;
            }
            let next = t - x / d;
            t = if next > low && next < high { next } else { 0.5 * (low + high) };
        }
        Some(t)
    }

    /// Size of coefficient j of the slips.
    #[inline(always)]
    pub(super) fn size(&self, j: usize) -> f64 {
        let m = |x: f64, y: f64| if x > y { x } else { y };
        m(m(self.a[j].0[0].abs(), self.a[j].0[1].abs()), m(self.b[j].0[0].abs(), self.b[j].0[1].abs()))
    }
    pub(super) fn first(&self) -> State {
        [self.a[1].0[0], self.a[1].0[1], self.b[1].0[0], self.b[1].0[1]]
    }
}
