//! The motion while nose and cloth slide, as a power series in the impulse.
//!
//! With r = 1/‖u‖ and n = u/‖u‖, the coefficients of ‖u‖ and n follow from those of u by
//! ‖u‖² = u·u and ‖u‖ n = u, those of the friction from n, and the next of u from the friction: each order
//! costs two dozen cycles of latency and no division. Compared with a Runge–Kutta step of the same cost the
//! series has three advantages here: the step is chosen after the fact, so none is rejected; its radius of
//! convergence is the distance to where a slip vanishes, *in the complex plane too*, so a close pass by zero
//! cannot be overlooked; and the ends of compression and rebound are roots of a polynomial.
//!
//! On the method in general: À. Jorba & M. Zou 2005, "A software package for the numerical integration of ODEs
//! by means of high-order Taylor methods", Experimental Mathematics 14, 99–117.

use super::State;
use super::control::{inverse_root, least, most};
use super::law::Law;
use super::pair::Pair;

/// Order of the series. From 7 to 10 the cost of a rebound differs by 5 %.
const ORDER: usize = 8;

const ROOM: usize = ORDER + 1;

/// Coefficients of one slip.
struct Slip {
    /// The slip u.
    u: [Pair; ROOM],
    /// Its direction n.
    n: [Pair; ROOM],
    /// Its length, twice.
    length: [Pair; ROOM],
    /// 1/‖u‖ at the start, twice.
    r: Pair,
    /// (1 − n nᵀ)/‖u‖ at the start: diagonal, and off it.
    straight: Pair,
    cross: Pair,
}

impl Slip {
    const EMPTY: Self = Self {
        u: [Pair::ZERO; ROOM],
        n: [Pair::ZERO; ROOM],
        length: [Pair::ZERO; ROOM],
        r: Pair::ZERO,
        straight: Pair::ZERO,
        cross: Pair::ZERO,
    };

    #[inline(always)]
    fn start(&mut self, along: f64, across: f64) {
        let u = Pair([along, across]);
        let length = (along * along + across * across).sqrt();
        let r = Pair::both(1.0 / length);
        let n = u.times(r);
        (self.u[0], self.n[0], self.length[0], self.r) = (u, n, Pair::both(length), r);
        let m = n.swap();
        self.straight = r.times(m.times(m));
        self.cross = Pair::ZERO.minus(r.times(n.times(m)));
    }

    /// What coefficient M of the direction lacks, and what that of the length has, before coefficient M of the
    /// slip is known.
    #[inline(always)]
    fn prepare<const M: usize>(&self) -> (Pair, Pair) {
        let Self { u, n, length, r, .. } = self;
        // Sums run from the middle to the ends, so that the newest coefficients join last and none waits.
        let (mut squares, mut lengths, mut directions) = (Pair::ZERO, Pair::ZERO, Pair::ZERO);
        if M.is_multiple_of(2) {
            squares = u[M / 2].times(u[M / 2]).by(0.5);
            lengths = length[M / 2].times(length[M / 2]).by(0.5);
        }
        for j in (1..=(M - 1) / 2).rev() {
            squares = squares.plus(u[j].times(u[M - j]));
            lengths = lengths.plus(length[j].times(length[M - j]));
        }
        for j in (1..=M / 2).rev() {
            directions = directions.plus(n[j].times(length[M - j]));
            if j != M - j {
                directions = directions.plus(n[M - j].times(length[j]));
            }
        }
        let known = r.times(squares.total().minus(lengths));
        (r.times(directions.plus(known.times(n[0]))), known)
    }

    /// Coefficient M of direction and length.
    #[inline(always)]
    fn turn<const M: usize>(&mut self, (lacking, known): (Pair, Pair)) -> Pair {
        let u = self.u[M];
        let n = self.straight.times(u).minus(lacking).plus(self.cross.times(u.swap()));
        self.n[M] = n;
        self.length[M] = known.plus(self.n[0].times(u).total());
        n
    }
}

/// Rates of the slips for unit direction at the nose (first) and unit friction at the cloth (second).
struct Drive {
    nose: [Pair; 2],
    cloth: [Pair; 2],
}

/// Coefficients of both slips.
pub(super) struct Series {
    nose: Slip,
    cloth: Slip,
    /// Friction of the cloth, twice.
    load: [Pair; ROOM],
    /// Its change with n₂ at the nose, twice, and the same times the direction at the cloth.
    lift: Pair,
    aside: Pair,
}

impl Series {
    /// Room for a series. It is filled many times, and clearing it would cost as much as an order.
    pub(super) fn empty() -> Self {
        Self {
            nose: Slip::EMPTY,
            cloth: Slip::EMPTY,
            load: [Pair::ZERO; ROOM],
            lift: Pair::ZERO,
            aside: Pair::ZERO,
        }
    }

    /// The series from the slips `y`, neither of which may be zero.
    // Kept apart: inlined, the coefficients would be scattered and handled one by one.
    #[inline(never)]
    pub(super) fn fill(&mut self, law: &Law, y: &State) {
        self.nose.start(y[0], y[2]);
        self.cloth.start(y[1], y[3]);
        let lift = law.cloth * law.cos * law.nose;
        let (n, m) = (self.nose.n[0], self.cloth.n[0]);
        self.load[0] = Pair::both(law.cloth * law.sin + lift * n.0[1]);
        self.lift = Pair::both(lift);
        self.aside = m.by(lift);
        let drive = Drive {
            nose: [Pair([-3.5 * law.nose, -law.up * law.nose]), Pair([-law.k, -law.down])],
            cloth: [Pair([-law.k * law.nose, -law.down * law.nose]), Pair::both(-3.5)],
        };
        let g = self.load[0].times(m);
        self.nose.u[1] = drive.nose[0].times(n).plus(drive.nose[1].times(g)).plus(Pair([0.0, law.sin_cos]));
        self.cloth.u[1] = drive.cloth[0].times(n).plus(drive.cloth[1].times(g)).plus(Pair([0.0, -law.cos]));
        self.extend::<1>(&drive);
        self.extend::<2>(&drive);
        self.extend::<3>(&drive);
        self.extend::<4>(&drive);
        self.extend::<5>(&drive);
        self.extend::<6>(&drive);
        self.extend::<7>(&drive);
    }

    /// Coefficient M + 1 of the slips from those up to M.
    #[inline(always)]
    fn extend<const M: usize>(&mut self, drive: &Drive) {
        let (nose, cloth) = (self.nose.prepare::<M>(), self.cloth.prepare::<M>());
        let mut g = Pair::ZERO;
        for j in (1..=M / 2).rev() {
            g = g.plus(self.load[j].times(self.cloth.n[M - j]));
            if j != M - j {
                g = g.plus(self.load[M - j].times(self.cloth.n[j]));
            }
        }
        let n = self.nose.turn::<M>(nose);
        let m = self.cloth.turn::<M>(cloth);
        let up = Pair::both(n.0[1]);
        self.load[M] = self.lift.times(up);
        let g = g.plus(self.load[0].times(m)).plus(self.aside.times(up));
        #[allow(clippy::cast_precision_loss)]
        let per = 1.0 / (M + 1) as f64;
        self.nose.u[M + 1] = drive.nose[0].times(n).plus(drive.nose[1].times(g)).by(per);
        self.cloth.u[M + 1] = drive.cloth[0].times(n).plus(drive.cloth[1].times(g)).by(per);
    }

    /// The step at whose end the last two coefficients matter by `tolerance`.
    ///
    /// Two, because close to a pass by zero coefficients swing and any one of them may be small.
    #[inline(always)]
    pub(super) fn reach(&self, tolerance: f64) -> f64 {
        const LAST: u64 = ORDER as u64;
        let last = most(self.size(ORDER) / tolerance, 1e-30);
        let before = most(self.size(ORDER - 1) / tolerance, 1e-30);
        least(inverse_root::<LAST>(last), inverse_root::<{ LAST - 1 }>(before))
    }

    /// Largest part of coefficient j.
    #[inline(always)]
    fn size(&self, j: usize) -> f64 {
        let (u, w) = (self.nose.u[j].0, self.cloth.u[j].0);
        most(most(u[0].abs(), u[1].abs()), most(w[0].abs(), w[1].abs()))
    }

    /// Rates of the slips at the start.
    #[inline(always)]
    pub(super) fn first_rates(&self) -> State {
        let (u, w) = (self.nose.u[1].0, self.cloth.u[1].0);
        [u[0], w[0], u[1], w[1]]
    }

    /// The slips after impulse t. Even and odd powers go side by side.
    #[inline(always)]
    pub(super) fn at(&self, t: f64) -> State {
        let (u, w) = (&self.nose.u, &self.cloth.u);
        let square = t * t;
        let (mut a, mut b) = ([u[ORDER], u[ORDER - 1]], [w[ORDER], w[ORDER - 1]]);
        for j in (0..ORDER - 1).rev() {
            let i = (ORDER - j) % 2;
            a[i] = a[i].by(square).plus(u[j]);
            b[i] = b[i].by(square).plus(w[j]);
        }
        let (a, b) = (a[0].plus(a[1].by(t)).0, b[0].plus(b[1].by(t)).0);
        [a[0], b[0], a[1], b[1]]
    }

    /// Their rates.
    #[inline(always)]
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn rates(&self, t: f64) -> State {
        let (u, w) = (&self.nose.u, &self.cloth.u);
        let (mut a, mut b) = (u[ORDER].by(ORDER as f64), w[ORDER].by(ORDER as f64));
        for j in (1..ORDER).rev() {
            a = a.by(t).plus(u[j].by(j as f64));
            b = b.by(t).plus(w[j].by(j as f64));
        }
        [a.0[0], b.0[0], a.0[1], b.0[1]]
    }

    /// Coefficient j of (1 + s) v_Y.
    #[inline(always)]
    pub(super) fn speed(&self, j: usize) -> f64 {
        self.cloth.u[j].0[1] - self.nose.u[j].0[1]
    }

    /// (1 + s) v_Y after impulse t, and its integral from 0 to t.
    #[inline(always)]
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn approach(&self, t: f64) -> (f64, f64) {
        let square = t * t;
        let mut v = [self.speed(ORDER), self.speed(ORDER - 1)];
        let mut w = [v[0] * (1.0 / (ORDER + 1) as f64), v[1] * (1.0 / ORDER as f64)];
        for j in (0..ORDER - 1).rev() {
            let i = (ORDER - j) % 2;
            v[i] = square * v[i] + self.speed(j);
            w[i] = square * w[i] + self.speed(j) * (1.0 / (j + 1) as f64);
        }
        (v[0] + t * v[1], t * (w[0] + t * w[1]))
    }

    /// Rate of (1 + s) v_Y.
    #[inline(always)]
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn approach_rate(&self, t: f64) -> f64 {
        let mut v = ORDER as f64 * self.speed(ORDER);
        for j in (1..ORDER).rev() {
            v = t * v + j as f64 * self.speed(j);
        }
        v
    }

    /// The impulse within `h` at which nothing presses on the cloth any more.
    pub(super) fn unloads(&self, h: f64) -> Option<f64> {
        let load = |t: f64| {
            let (mut x, mut rate) = (self.load[ORDER - 1].0[0], 0.0);
            for j in (0..ORDER - 1).rev() {
                rate = t * rate + x;
                x = t * x + self.load[j].0[0];
            }
            (x, rate)
        };
        let (start, slope) = (self.load[0].0[0], self.load[1].0[0]);
        if start <= 0.0 {
            return if start < 0.0 || slope < 0.0 { Some(0.0) } else { None };
        }
        let (end, _) = load(h);
        if end >= 0.0 {
            return None;
        }
        let (mut low, mut high, mut t) = (0.0, h, h * start / (start - end));
        for _ in 0..6 {
            let (x, rate) = load(t);
            if x > 0.0 {
                low = t;
            } else {
                high = t;
            }
            let next = t - x / rate;
            t = if next > low && next < high { next } else { 0.5 * (low + high) };
        }
        Some(t)
    }
}
