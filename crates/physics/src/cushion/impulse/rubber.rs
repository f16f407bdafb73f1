//! Work of the rubber: when compression ends, and when the rebound does.

use super::control::most;

/// The account of the rubber.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rubber {
    cos: f64,
    restitution: f64,
    /// Work done so far, ∫ c v_Y dP.
    pub(super) work: f64,
    /// Work at which the rebound ends: 1 − e² of that of compression.
    goal: f64,
    /// Compression is over.
    pub(super) returns: bool,
}

/// Speed of approach and its loss for each unit of impulse.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pace {
    pub(super) v: f64,
    pub(super) loss: f64,
}

impl Rubber {
    pub(super) fn new(cos: f64, restitution: f64) -> Self {
        Self { cos, restitution, work: 0.0, goal: 0.0, returns: false }
    }

    /// Impulse until the end if the loss stayed what it is.
    ///
    /// With a constant loss D the work is c/(2 D) (v² − v′²), so the square of the last speed follows from the
    /// work that is left.
    #[inline(always)]
    pub(super) fn left(&self, pace: Pace) -> f64 {
        let Pace { v, loss } = pace;
        if loss <= 0.0 {
            return f64::INFINITY;
        }
        let square = if !self.returns {
            self.restitution * self.restitution * (v * v + 2.0 * loss * self.work / self.cos)
        } else if self.gives_nothing() {
            0.0
        } else {
            v * v + 2.0 * loss * (self.work - self.goal) / self.cos
        };
        (v + most(square, 0.0).sqrt()) / loss
    }

    /// Compression ends after this much more work.
    pub(super) fn turn(&mut self, work: f64) {
        self.goal = (self.work + work) * (1.0 - self.restitution * self.restitution);
        self.returns = true;
    }

    /// Whether the rebound is over once `work` more is done.
    #[inline(always)]
    pub(super) fn is_done_by(&self, work: f64) -> bool {
        self.returns && self.work + work <= self.goal
    }

    /// Rubber of restitution 0: the rebound ends with compression.
    pub(super) fn gives_nothing(&self) -> bool {
        self.restitution == 0.0
    }

    /// Enters a step of length `h`, in which `work` was done.
    ///
    /// `from` and `to` may be those of any speed z that vanishes with v_Y and whose integral the work is:
    /// work = c ∫ z over the step.
    #[inline(always)]
    pub(super) fn enter(&mut self, from: Pace, to: Pace, work: f64, h: f64) {
        if !self.returns && to.v <= 0.0 {
            self.turn_within(from, to, work, h);
        }
        self.work += work;
    }

    /// Compression ends within the step. The speed is taken as the cubic through both ends; its integral is
    /// corrected so that the whole step does `work`.
    fn turn_within(&mut self, from: Pace, to: Pace, work: f64, h: f64) {
        let (m0, m1) = (-h * from.loss, -h * to.loss);
        let (c2, c3) = (3.0 * (to.v - from.v) - 2.0 * m0 - m1, 2.0 * (from.v - to.v) + m0 + m1);
        let speed = |t: f64| from.v + t * (m0 + t * (c2 + t * c3));
        let integral = |t: f64| t * (from.v + t * (m0 / 2.0 + t * (c2 / 3.0 + t * c3 / 4.0)));
        let mut t = if from.v > to.v { from.v / (from.v - to.v) } else { 0.0 };
        for _ in 0..3 {
            let slope = m0 + t * (2.0 * c2 + t * 3.0 * c3);
            if slope < 0.0 {
                let next = t - speed(t) / slope;
                t = next.clamp(0.0, 1.0);
            }
        }
        let rest = work - self.cos * h * integral(1.0);
        self.turn(self.cos * h * integral(t) + rest * (t * t * t * (10.0 + t * (6.0 * t - 15.0))));
    }

    /// Enters a step of constant loss.
    pub(super) fn enter_even(&mut self, pace: Pace, h: f64) {
        let to = Pace { v: pace.v - pace.loss * h, loss: pace.loss };
        self.enter(pace, to, self.cos * 0.5 * (pace.v + to.v) * h, h);
    }
}
