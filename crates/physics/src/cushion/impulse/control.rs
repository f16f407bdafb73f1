//! Step sizes: how far a slip may go, and what an error estimate says about the next step.

/// The most that a step may change a slip, as a share of its distance from zero, where it moves away.
const MOST_SHARE: f64 = 1.5;

/// The same where it comes nearer: a step that reaches zero would be worthless.
const MOST_SHARE_INWARDS: f64 = 0.8;

/// The most of a step that went too far which the next may be. A last step may be 2 % longer than planned, and
/// one shortened by less than that would be taken again as it was.
pub(super) const LONGEST_SHARE: f64 = 0.95;

/// The smaller of two numbers. `f64::min` leaves the sign of zero to the platform.
#[inline(always)]
pub(super) fn least(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// The larger of two numbers.
#[inline(always)]
pub(super) fn most(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// x to the power −1/N for x > 0, within 3.3 % for N = 5: the exponent field of the number, taken as a
/// logarithm, divided by N. Good enough for a step size, and the same bits everywhere.
#[inline(always)]
pub(super) fn inverse_root<const N: u64>(x: f64) -> f64 {
    // The bits of 1, less what centres the error of taking the mantissa as linear.
    const ONE: u64 = 0x3FEF_6000_0000_0000;
    f64::from_bits((ONE + ONE / N).wrapping_sub(x.to_bits() / N))
}

/// A slip and where it goes, in a straight line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Path {
    /// ‖slip‖².
    pub(super) square: f64,
    /// ‖slip × rate‖.
    across: f64,
    /// −slip · rate: positive where zero comes nearer.
    towards: f64,
    /// ‖rate‖².
    rate: f64,
}

impl Path {
    /// The slip (`a`, `b`) at the rate (`da`, `db`).
    #[inline(always)]
    pub(super) fn new(a: f64, b: f64, da: f64, db: f64) -> Self {
        Self {
            square: a * a + b * b,
            across: (a * db - b * da).abs(),
            towards: -(a * da + b * db),
            rate: da * da + db * db,
        }
    }

    /// How far it may go to turn or shorten by about `share` (of a right angle's tangent, of its length).
    #[inline(always)]
    pub(super) fn reach(&self, share: f64) -> f64 {
        if self.towards > 0.0 {
            least(share, MOST_SHARE_INWARDS) * (self.square / self.rate).sqrt()
        } else {
            let denominator = self.across + share * self.towards;
            if denominator > 0.0 { share * self.square / denominator } else { f64::INFINITY }
        }
    }

    /// Whether a step of `h` would come near zero, and not only nearer.
    #[inline(always)]
    pub(super) fn nears_zero(&self, h: f64) -> bool {
        self.towards > 0.0 && MOST_SHARE_INWARDS * self.square < h * self.towards
    }

    /// Whether zero comes nearer.
    #[inline(always)]
    pub(super) fn goes_inwards(&self) -> bool {
        self.towards > 0.0
    }

    /// Step to the point nearest to zero.
    #[inline(always)]
    pub(super) fn nearest(&self) -> f64 {
        self.towards / self.rate
    }

    /// Square of the distance there.
    #[inline(always)]
    pub(super) fn miss(&self) -> f64 {
        self.across * self.across / self.rate
    }

    /// Step in which the slip would change by its own length.
    #[inline(always)]
    pub(super) fn time(&self) -> f64 {
        (self.square / self.rate).sqrt()
    }
}

/// Step sizes of the embedded pair.
#[derive(Clone, Copy, Debug)]
pub(super) struct Control {
    /// Error allowed in a step.
    pub(super) tolerance: f64,
    /// Share of its distance from zero by which a slip may change.
    pub(super) share: f64,
    /// A bound on the next step besides.
    pub(super) step: f64,
}

impl Control {
    pub(super) fn new(tolerance: f64) -> Self {
        Self { tolerance, share: first_share(tolerance), step: 1.0 }
    }

    /// A new phase: nothing is known of its steps yet.
    pub(super) fn reset(&mut self) {
        self.share = first_share(self.tolerance);
        self.step = 1.0;
    }

    /// How far a step may go along `path`.
    #[inline(always)]
    pub(super) fn reach(&self, path: &Path) -> f64 {
        least(path.reach(self.share), self.step)
    }

    /// Whether a step of `h` with this error estimate holds; the next is chosen accordingly.
    #[inline(always)]
    pub(super) fn accepts(&mut self, error: f64, h: f64) -> bool {
        let ratio = error / self.tolerance;
        if ratio > 1.0 && h > 1e-7 {
            let factor = most(0.85 * inverse_root::<5>(ratio), 0.2);
            self.share *= factor;
            self.shorten(h, factor);
            return false;
        }
        let factor = least(0.85 * inverse_root::<5>(most(ratio, 1e-7)), 2.0);
        self.share = least(self.share * factor, MOST_SHARE);
        // The share is the rule; the step itself is only kept from exploding.
        self.step = h * (2.0 * factor);
        true
    }

    /// The step of `h` went too far: the next one is `factor` times it.
    pub(super) fn shorten(&mut self, h: f64, factor: f64) {
        self.step = h * factor;
    }
}

/// What a first step usually bears.
fn first_share(tolerance: f64) -> f64 {
    if tolerance > 3e-6 { 0.55 } else { 0.4 }
}
