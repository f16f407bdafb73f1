//! Work of the rubber: when compression ends, and when the rebound does.
//!
//! The rubber takes up c ∫ v_Y dP while the ball comes in and gives back e² of it (energetic restitution, Stronge),
//! so the rebound ends where the work has fallen to 1 − e² of its peak.

/// What the rubber holds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rubber {
    cos: f64,
    restitution: f64,
    pub(super) work: f64,
    goal: f64,
    pub(super) returning: bool,
}

/// Speed of approach and its loss for each unit of impulse, at one end of a step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pace {
    pub(super) v: f64,
    pub(super) d: f64,
}

impl Rubber {
    pub(super) fn new(cos: f64, restitution: f64) -> Self {
        Self { cos, restitution, work: 0.0, goal: 0.0, returning: false }
    }

    /// Impulse until the end if the pace stayed as it is.
    #[inline(always)]
    pub(super) fn left(&self, pace: Pace) -> f64 {
        let Pace { v, d } = pace;
        if d <= 0.0 {
            return f64::INFINITY;
        }
        let square = if self.returning {
            if self.restitution == 0.0 { 0.0 } else { v * v + 2.0 * d * (self.work - self.goal) / self.cos }
        } else {
            self.restitution * self.restitution * (v * v + 2.0 * d * self.work / self.cos)
        };
        (v + (if square > 0.0 { square } else { 0.0 }).sqrt()) / d
    }

    /// Books a step of impulse `h` (or of any other measure: `d` is per unit of it) in which `work` was done.
    #[inline(always)]
    pub(super) fn book(&mut self, from: Pace, to: Pace, work: f64, scale: f64) {
        if !self.returning && to.v <= 0.0 {
            self.peak(from, to, work, scale);
        }
        self.work += work;
    }

    /// Compression ended after this much work from here.
    pub(super) fn turn(&mut self, work: f64) {
        self.goal = (self.work + work) * (1.0 - self.restitution * self.restitution);
        self.returning = true;
    }
    pub(super) fn ends_there(&self) -> bool {
        self.restitution == 0.0
    }
    pub(super) fn goal(&self) -> f64 {
        self.goal
    }

    /// Finds the peak of the work within a step in which the approach speed passes zero, by the cubic through both
    /// ends.
    fn peak(&mut self, from: Pace, to: Pace, work: f64, h: f64) {
        // Cubic of v over t in 0..1
        let (m0, m1) = (-h * from.d, -h * to.d);
        let (c2, c3) = (3.0 * (to.v - from.v) - 2.0 * m0 - m1, 2.0 * (from.v - to.v) + m0 + m1);
        let v = |t: f64| from.v + t * (m0 + t * (c2 + t * c3));
        let integral = |t: f64| t * (from.v + t * (m0 / 2.0 + t * (c2 / 3.0 + t * c3 / 4.0)));
        let mut t = if from.v > to.v { from.v / (from.v - to.v) } else { 0.0 };
        for _ in 0..3 {
            let slope = m0 + t * (2.0 * c2 + t * 3.0 * c3);
            if slope < 0.0 {
                t = (t - v(t) / slope).clamp(0.0, 1.0);
            }
        }
        let whole = self.cos * h * integral(1.0);
        let peak = self.work
            + self.cos * h * integral(t)
            + (work - whole) * (t * t * t * (10.0 + t * (-15.0 + 6.0 * t)));
        self.goal = peak * (1.0 - self.restitution * self.restitution);
        self.returning = true;
    }

    /// A phase with constant loss `d` for each unit of impulse, over `h`.
    pub(super) fn book_even(&mut self, pace: Pace, h: f64) {
        let to = Pace { v: pace.v - pace.d * h, d: pace.d };
        self.book(pace, to, self.cos * 0.5 * (pace.v + to.v) * h, h);
    }
}
