//! One rebound on its way: its phase, and what decides on the next.

use super::super::Stall;
use super::State;
use super::climb::climb;
use super::control::{Control, LONGEST_SHARE};
use super::law::{Law, cloth_unit, nose_unit};
use super::rubber::{Pace, Rubber};
use super::series::Series;

/// The bound on steps. Of 200,000 random arrivals on rails of all kinds, at tolerances from 1e-4 to 1e-9, none took 300.
const MOST_STEPS: u32 = 1000;

/// Below this a cloth slip that grows from zero is stiff at first.
const SLOW_GROWTH: f64 = 0.2;

/// Outcome, for an approach speed of 1.
#[derive(Clone, Copy, Debug)]
pub(super) struct End {
    /// The slips; u₂ without the part of v_Z.
    pub(super) y: State,
    pub(super) vy: f64,
    pub(super) vz: f64,
}

/// What nose and cloth do.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Phase {
    /// Both slip.
    Slides,
    /// The nose sticks, the cloth slips.
    Sticks,
    /// The nose's slip is so short that the forces steer it.
    LetsGo,
    /// The cloth sticks, the nose slips.
    Rolls,
    /// The cloth's slip is so short that the forces steer it.
    SlipsOff,
    /// Nothing presses on the cloth.
    Climbs,
    /// Nose and cloth hold the ball: it stays.
    Wedged,
}

/// A rebound on its way.
pub(super) struct Run<'a> {
    pub(super) law: &'a Law,
    pub(super) control: Control,
    pub(super) rubber: Rubber,
    pub(super) phase: Phase,
    /// The slips.
    pub(super) y: State,
    /// Their rates, except in [`Phase::Slides`] after a step of the series.
    pub(super) k: State,
    pub(super) series: Series,
    /// While the nose sticks: w₂/|w₁| below which it no longer does.
    pub(super) edge: f64,
    /// While a slip is steered: where to, and how fast it grows.
    pub(super) toward: [f64; 2],
    pub(super) growth: f64,
    /// Length of a steered slip at the cloth.
    pub(super) slip: f64,
    /// The nose's slip has outgrown steering since it last stuck.
    pub(super) outgrown: bool,
    /// The same of the cloth's since it last rested.
    pub(super) cloth_outgrown: bool,
}

impl<'a> Run<'a> {
    /// Arrival with the slips `start`, at a speed of 1.
    pub(super) fn new(law: &'a Law, start: State, restitution: f64, tolerance: f64) -> Self {
        let mut y = start;
        // A rolling ball's slip on the cloth is zero but for rounding.
        if y[1] * y[1] + y[3] * y[3] < 1e-24 {
            y[1] = 0.0;
            y[3] = 0.0;
        }
        let mut run = Self {
            law,
            control: Control::new(tolerance),
            rubber: Rubber::new(law.cos, restitution),
            phase: Phase::Slides,
            y,
            k: [0.0; 4],
            series: Series::empty(),
            edge: f64::NEG_INFINITY,
            toward: [0.0, 1.0],
            growth: 0.0,
            slip: 0.0,
            outgrown: false,
            cloth_outgrown: false,
        };
        run.settle();
        run
    }

    /// Takes the rebound to its end.
    pub(super) fn run(&mut self) -> Result<End, Stall> {
        for _ in 0..MOST_STEPS {
            let end = match self.phase {
                Phase::Slides => self.slide(),
                Phase::Sticks => self.stick(),
                Phase::LetsGo => self.let_go(),
                Phase::Rolls => self.roll(),
                Phase::SlipsOff => self.slip_off(),
                Phase::Climbs => match climb(self.law, &self.y, &mut self.rubber) {
                    Ok(y) => {
                        self.y = y;
                        self.settle();
                        None
                    }
                    Err(end) => Some(end),
                },
                Phase::Wedged => Some(End { y: [0.0; 4], vy: 0.0, vz: 0.0 }),
            };
            if let Some(end) = end {
                // A slip that is not a number would be a fault here; it must not pass for a result.
                let sum = end.y[0] + end.y[1] + end.y[3] + end.vy + end.vz;
                return if sum.is_finite() { Ok(end) } else { Err(Stall { steps: MOST_STEPS }) };
            }
        }
        Err(Stall { steps: MOST_STEPS })
    }

    /// Speed of approach and its loss now.
    #[inline(always)]
    pub(super) fn pace(&self) -> Pace {
        Pace { v: self.law.approach(&self.y), loss: self.law.loss(&self.k) }
    }

    /// Decides what nose and cloth do at the present slips; a slip of exactly zero may stick.
    pub(super) fn settle(&mut self) {
        let law = self.law;
        let cloth_rests = self.y[1] == 0.0 && self.y[3] == 0.0;
        if self.y[0] == 0.0 && self.y[2] == 0.0 {
            if cloth_rests {
                self.leave_from_rest();
            } else if law.excess([self.y[1], self.y[3]]) <= 0.0 {
                self.start_sticking(cloth_unit(&self.y));
            } else {
                self.start_letting_go(cloth_unit(&self.y));
            }
            return;
        }
        let n = nose_unit(&self.y);
        if law.lifts(&self.y) {
            self.phase = Phase::Climbs;
        } else if cloth_rests {
            let (direction, growth) = law.cloth_onset(n);
            if growth <= 0.0 {
                self.phase = Phase::Rolls;
                self.k = law.rolling(n);
            } else {
                self.phase = if growth > SLOW_GROWTH { Phase::Slides } else { Phase::SlipsOff };
                self.growth = growth;
                self.slip = 0.0;
                self.k = law.along(n, direction);
            }
        } else {
            self.phase = Phase::Slides;
        }
    }

    /// Both slips are zero, and so v_Y is: from here the ball leaves the rail.
    pub(super) fn leave_from_rest(&mut self) {
        let law = self.law;
        if !self.rubber.returns {
            self.rubber.turn(0.0);
        }
        let (up, away) = ([0.0, 1.0], [0.0, -1.0]);
        if law.wedges() || self.rubber.gives_nothing() {
            self.phase = Phase::Wedged;
        } else if law.cloth_onset(up).1 <= 0.0 && law.rolling(up)[2] > 0.0 {
            // The cloth holds on; the nose slides up. Its slip needs a direction.
            self.y[2] = 1e-12;
            self.phase = Phase::Rolls;
            self.k = law.rolling(up);
            self.control.reset();
        } else if law.excess(away) <= 0.0 {
            self.start_sticking(away);
        } else {
            self.start_letting_go(away);
        }
    }

    /// A short slip at the nose is brought to zero by friction at once. Its impulse is kept, on the cloth too.
    pub(super) fn rest_nose(&mut self) {
        let law = self.law;
        let w = cloth_unit(&self.y);
        let load = law.cloth * law.cos;
        let f2 = self.y[2] / (law.up + law.down * load * w[1]);
        let f1 = (self.y[0] - law.k * load * f2 * w[0]) / 3.5;
        self.y[1] -= law.k * f1 + 3.5 * load * f2 * w[0];
        self.y[3] -= law.down * f2 + 3.5 * load * f2 * w[1];
        self.y[0] = 0.0;
        self.y[2] = 0.0;
        if !self.rubber.returns && law.approach(&self.y) <= 0.0 {
            self.rubber.turn(0.0);
        }
        self.settle();
    }

    /// A short slip at the nose: rests if it may, is steered if it already goes where the forces drive it.
    pub(super) fn settle_short_nose_slip(&mut self, square: f64) {
        let (law, tolerance) = (self.law, self.control.tolerance);
        if square < 100.0 * tolerance * tolerance && law.excess([self.y[1], self.y[3]]) <= 0.0 {
            self.rest_nose();
            return;
        }
        if self.outgrown {
            return;
        }
        let w = cloth_unit(&self.y);
        let (n, growth) = law.onset(w, 0.0);
        let along = self.y[0] * n[0] + self.y[2] * n[1];
        let across = self.y[0] * n[1] - self.y[2] * n[0];
        // One that dies fast is better left to slide into zero.
        if along > 0.0 && across.abs() < tolerance && growth > -0.3 * law.nose {
            self.start_letting_go(w);
        }
    }

    /// The same at the cloth.
    pub(super) fn settle_short_cloth_slip(&mut self, square: f64) {
        let (law, tolerance) = (self.law, self.control.tolerance);
        let n = nose_unit(&self.y);
        let (w, growth) = law.cloth_onset(n);
        if growth <= 0.0 && square < 100.0 * tolerance * tolerance {
            self.rest_cloth();
            return;
        }
        if self.cloth_outgrown {
            return;
        }
        let along = self.y[1] * w[0] + self.y[3] * w[1];
        let across = self.y[1] * w[1] - self.y[3] * w[0];
        if growth < SLOW_GROWTH && along > 0.0 && across.abs() < tolerance {
            self.phase = Phase::SlipsOff;
            self.growth = growth;
            self.slip = along;
            self.k = law.along(n, w);
            self.control.reset();
        }
    }

    /// The cloth's slip is taken as zero.
    pub(super) fn rest_cloth(&mut self) {
        self.y[1] = 0.0;
        self.y[3] = 0.0;
        self.cloth_outgrown = false;
        self.settle();
    }

    /// The share of a step to `end` after which nothing presses on the cloth, if that is clearly within it.
    pub(super) fn lifts_within(&self, end: &State) -> Option<f64> {
        let law = self.law;
        if !law.can_lift() {
            return None;
        }
        let (from, to) = (law.load(nose_unit(&self.y)), law.load(nose_unit(end)));
        // The rates are continuous there: an error in time counts by its square.
        if to > -1e-2 * self.control.tolerance.sqrt() || from <= 0.0 {
            return None;
        }
        Some((from / (from - to)).clamp(0.02, LONGEST_SHARE))
    }

    /// Rates of the slips at `y`.
    fn rates(&self, y: &State) -> State {
        let law = self.law;
        match self.phase {
            Phase::Slides | Phase::Climbs | Phase::Wedged => law.sliding(y),
            Phase::Sticks => law.stuck(cloth_unit(y)),
            Phase::LetsGo => {
                let w = cloth_unit(y);
                law.along(law.onset(w, self.growth).0, w)
            }
            Phase::Rolls => law.rolling(nose_unit(y)),
            Phase::SlipsOff => {
                let n = nose_unit(y);
                law.along(n, law.cloth_onset(n).0)
            }
        }
    }

    /// Ends the rebound if the end is near, or was passed: by steps of Ralston's third-order rule (1962), one
    /// as a rule, and a last, linear one.
    pub(super) fn finish(&mut self) -> Option<End> {
        let mut left = self.rubber.left(self.pace());
        if left > 0.03 {
            return None;
        }
        for _ in 0..4 {
            if left.abs() < 1e-4 {
                break;
            }
            let h = left;
            let shifted = |y: &State, by: f64, k: &State| std::array::from_fn(|i| y[i] + by * k[i]);
            let k1 = self.k;
            let k2 = self.rates(&shifted(&self.y, 0.5 * h, &k1));
            let k3 = self.rates(&shifted(&self.y, 0.75 * h, &k2));
            let from = self.pace();
            let y = self.y;
            self.y = std::array::from_fn(|i| y[i] + h / 9.0 * (2.0 * k1[i] + 3.0 * k2[i] + 4.0 * k3[i]));
            self.k = self.rates(&self.y);
            let to = self.pace();
            let work = self.law.cos * h * (0.5 * (from.v + to.v) + h / 12.0 * (to.loss - from.loss));
            self.rubber.enter(from, to, work, h);
            left = self.rubber.left(to);
        }
        let y: State = std::array::from_fn(|i| self.y[i] + left * self.k[i]);
        Some(self.end(y))
    }

    /// The end with the slips `y`; a rounding above zero is not an approach, nor one below it a departure.
    pub(super) fn end(&self, y: State) -> End {
        let vy = self.law.approach(&y);
        End { y, vy: if vy < 0.0 && !self.rubber.gives_nothing() { vy } else { 0.0 }, vz: 0.0 }
    }
}
