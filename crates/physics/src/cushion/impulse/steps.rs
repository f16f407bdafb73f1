//! The phases of a rebound, and how one follows another.
//!
//! The rates depend on the *directions* of the two slips alone, so the motion is smooth except where a slip
//! passes near zero and its direction whips round. Each phase has the method that suits it: power series while
//! both slide ([`super::slide`]), two slips while the nose sticks ([`super::stick`]), steered slips just after
//! something lets go ([`super::let_go`]), a closed form off the cloth ([`super::climb`]).
use super::super::Stall;
use super::State;
use super::climb;
use super::law::Law;
use super::rubber::{Pace, Rubber};
use super::series::Series;

const MOST_STEPS: u32 = 500;

#[derive(Clone, Copy, Debug)]
pub(super) struct End {
    pub(super) y: State,
    pub(super) vy: f64,
    pub(super) vz: f64,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Phase {
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
pub(super) fn inverse_fifth_root(x: f64) -> f64 {
    // The exponent's field divided by five; the constant centres the error of the mantissa.
    f64::from_bits(0x4CB8_B000_0000_0000u64.wrapping_sub(x.to_bits() / 5))
}

/// x to the power −1/N.
#[inline(always)]
pub(super) fn inverse_root<const N: usize>(x: f64) -> f64 {
    const ONE: u64 = 0x3FEF_6000_0000_0000;
    f64::from_bits((ONE + ONE / N as u64).wrapping_sub(x.to_bits() / N as u64))
}
#[inline(always)]
pub(super) fn inverse_root_less<const N: usize>(x: f64) -> f64 {
    const ONE: u64 = 0x3FEF_6000_0000_0000;
    f64::from_bits((ONE + ONE / (N - 1) as u64).wrapping_sub(x.to_bits() / (N - 1) as u64))
}

/// The most that a slip may change in one step, as a share of its distance from zero.
pub(super) const MOST_ETA: f64 = 1.5;

/// A slip and where it goes.
pub(super) struct Path {
    pub(super) square: f64,
    pub(super) across: f64,
    pub(super) towards: f64,
    pub(super) rate2: f64,
}

impl Path {
    #[inline(always)]
    pub(super) fn new(a: f64, b: f64, da: f64, db: f64) -> Self {
        Self {
            square: a * a + b * b,
            across: (a * db - b * da).abs(),
            towards: -(a * da + b * db),
            rate2: da * da + db * db,
        }
    }
    #[inline(always)]
    pub(super) fn reach(&self, eta: f64) -> f64 {
        if self.towards > 0.0 {
            eta.min(0.8) * (self.square / self.rate2).sqrt()
        } else {
            let d = self.across + eta * self.towards;
            if d > 0.0 { eta * self.square / d } else { f64::INFINITY }
        }
    }
}

pub(super) struct Run<'a> {
    pub(super) law: &'a Law,
    pub(super) tolerance: f64,
    pub(super) y: State,
    pub(super) k: State,
    pub(super) rubber: Rubber,
    pub(super) phase: Phase,
    pub(super) h: f64,
    pub(super) steps: u32,
    pub(super) eta: f64,
    pub(super) series: Series,
    pub(super) wedged: bool,
    pub(super) edge: f64,
    pub(super) slip: f64,
    pub(super) growth: f64,
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
    pub(super) fn pace(&self) -> Pace {
        Pace { v: self.law.approach(&self.y), d: self.law.slowing(&self.k) }
    }

    pub(super) fn rates(&self, y: &State) -> State {
        match self.phase {
            Phase::Slides | Phase::Climbs => self.law.sliding(y),
            Phase::Sticks => self.law.stuck(Law::cloth_unit(y)),
            Phase::LetsGo => {
                let w = Law::cloth_unit(y);
                self.law.along(self.law.onset(w, self.growth).0, w)
            }
            Phase::Rolls => self.law.rolling(Law::nose_unit(y)),
            Phase::SlipsOff => {
                let n = Law::nose_unit(y);
                self.law.along(n, self.law.cloth_onset(n).0)
            }
        }
    }

    /// Decides what nose and cloth do at the present slips and sets the rates. `landed`: a nose slip that is
    /// small was brought to zero.
    pub(super) fn settle(&mut self, _landed: bool) {
        let law = self.law;
        let u2 = self.y[0] * self.y[0] + self.y[2] * self.y[2];
        let w2 = self.y[1] * self.y[1] + self.y[3] * self.y[3];
        let cloth_rests = w2 == 0.0;
        let nose_rests = u2 == 0.0;
        if !nose_rests {
            let n = Law::nose_unit(&self.y);
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
            self.start_letting_go(Law::cloth_unit(&self.y));
        }
    }

    pub(super) fn start_sticking(&mut self) {
        self.phase = Phase::Sticks;
        self.k = self.law.stuck(Law::cloth_unit(&self.y));
        self.edge = self.find_edge();
        self.h = 1.0;
    }

    /// Both slips are zero, and so is v_Y: from here the ball leaves the rail.
    pub(super) fn start_from_rest(&mut self) {
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
    pub(super) fn unloaded(&self, end: &State) -> Option<f64> {
        let law = self.law;
        if !law.climbs() {
            return None;
        }
        let (from, to) = (law.load(Law::nose_unit(&self.y)), law.load(Law::nose_unit(end)));
        if to > -1e-2 * self.tolerance.sqrt() || from <= 0.0 {
            return None;
        }
        Some((from / (from - to)).max(0.02))
    }

    /// Ends the rebound from nearby, or not yet.
    pub(super) fn finish(&mut self) -> Option<End> {
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
        for (slip, rate) in y.iter_mut().zip(self.k) {
            *slip += left * rate;
        }
        let vy = self.law.approach(&y);
        Some(End { y, vy: if vy < 0.0 { vy } else { 0.0 }, vz: 0.0 })
    }
}
