//! The law of friction at nose and cloth: rates of the slips for given directions of slip.

use super::State;

/// Constants of one contact.
#[derive(Clone, Copy, Debug)]
pub(super) struct Law {
    pub(super) sin: f64,
    pub(super) cos: f64,
    /// Friction of the nose.
    pub(super) nose: f64,
    /// Friction of the cloth.
    pub(super) cloth: f64,
    /// Coupling of nose and cloth along the rail: 1 − (5/2) s.
    pub(super) k: f64,
    /// 5/2 + s².
    pub(super) up: f64,
    /// 5/2 − s.
    pub(super) down: f64,
    /// s c.
    pub(super) sin_cos: f64,
    /// 1/(1 + s).
    pub(super) per_sum: f64,
}

/// 1/√square; a zero vector times it stays zero.
#[inline(always)]
fn inverse(square: f64) -> f64 {
    1.0 / (if square > 1e-300 { square } else { 1e-300 }).sqrt()
}

/// Direction of the slip at the nose.
#[inline(always)]
pub(super) fn nose_unit(y: &State) -> [f64; 2] {
    let p = inverse(y[0] * y[0] + y[2] * y[2]);
    [y[0] * p, y[2] * p]
}

/// Direction of the slip at the cloth.
#[inline(always)]
pub(super) fn cloth_unit(y: &State) -> [f64; 2] {
    let q = inverse(y[1] * y[1] + y[3] * y[3]);
    [y[1] * q, y[3] * q]
}

impl Law {
    pub(super) fn new(sin: f64, cos: f64, nose: f64, cloth: f64) -> Self {
        Self {
            sin,
            cos,
            nose,
            cloth,
            k: 1.0 - 2.5 * sin,
            up: 2.5 + sin * sin,
            down: 2.5 - sin,
            sin_cos: sin * cos,
            per_sum: 1.0 / (1.0 + sin),
        }
    }

    /// v_Y of a ball on the cloth.
    #[inline(always)]
    pub(super) fn approach(&self, y: &State) -> f64 {
        (y[3] - y[2]) * self.per_sum
    }

    /// −dv_Y/dP from the rates of the slips.
    #[inline(always)]
    pub(super) fn loss(&self, k: &State) -> f64 {
        (k[2] - k[3]) * self.per_sum
    }

    /// Load on the cloth for each unit of P while the nose slides along `nose`; negative where the ball climbs.
    #[inline(always)]
    pub(super) fn load(&self, nose: [f64; 2]) -> f64 {
        self.sin + self.cos * self.nose * nose[1]
    }

    /// Whether friction at the nose can lift the ball at all.
    #[inline(always)]
    pub(super) fn can_lift(&self) -> bool {
        self.nose * self.cos > self.sin
    }

    /// Whether a ball with the slips `y` climbs.
    #[inline(always)]
    pub(super) fn lifts(&self, y: &State) -> bool {
        self.can_lift() && self.load(nose_unit(y)) < 0.0
    }

    /// Rates of the slips while both slide along given unit vectors.
    #[inline(always)]
    pub(super) fn along(&self, nose: [f64; 2], cloth: [f64; 2]) -> State {
        let load = self.cloth * self.sin + (self.cloth * self.cos * self.nose) * nose[1];
        let g = [load * cloth[0], load * cloth[1]];
        [
            -(3.5 * self.nose) * nose[0] - self.k * g[0],
            -(self.k * self.nose) * nose[0] - 3.5 * g[0],
            (self.sin_cos - (self.up * self.nose) * nose[1]) - self.down * g[1],
            (-self.cos - (self.down * self.nose) * nose[1]) - 3.5 * g[1],
        ]
    }

    /// Rates while both slide.
    #[inline(always)]
    pub(super) fn sliding(&self, y: &State) -> State {
        self.along(nose_unit(y), cloth_unit(y))
    }

    /// Rates while the nose sticks and the cloth slides along `cloth`; `stick` derives them.
    pub(super) fn stuck(&self, cloth: [f64; 2]) -> State {
        let pull = self.cloth * self.down * cloth[1];
        let per = 1.0 / (self.up + pull * self.cos);
        let g = self.cloth * 3.5 * self.sin * per;
        let loss = 2.5 * (self.cos + self.cloth * (1.0 + self.sin) * cloth[1]) * per;
        [0.0, (self.k * self.k / 3.5 - 3.5) * g * cloth[0], 0.0, -(1.0 + self.sin) * loss]
    }

    /// Rates while the cloth sticks and the nose slides along `nose`: g keeps dw at zero.
    #[inline(always)]
    pub(super) fn rolling(&self, nose: [f64; 2]) -> State {
        let f = [self.nose * nose[0], self.nose * nose[1]];
        let g = [-self.k * f[0] / 3.5, -(self.cos + self.down * f[1]) / 3.5];
        [-3.5 * f[0] - self.k * g[0], 0.0, self.sin_cos - self.up * f[1] - self.down * g[1], 0.0]
    }

    /// Positive where the nose cannot stick, whatever the length of the cloth's slip `w`: the square of the
    /// friction needed less that of the cone, both times ((5/2 + s²) ‖w‖ + …)².
    pub(super) fn excess(&self, w: [f64; 2]) -> f64 {
        let r = (w[0] * w[0] + w[1] * w[1]).sqrt();
        let pull = self.cloth * self.down * w[1];
        let along = self.k * self.cloth * self.sin * w[0];
        let up = self.sin * (self.cos * r - pull);
        let cone = self.nose * (self.up * r + pull * self.cos);
        along * along + up * up - cone * cone
    }

    /// Whether nose and cloth together hold the ball for good. Both then stick, which needs f₂ = c/(1 + s)
    /// and −g₂ as much.
    pub(super) fn wedges(&self) -> bool {
        let needed = self.cos * self.per_sum;
        needed <= self.nose && needed <= self.cloth * (self.sin + self.cos * needed)
    }

    /// Direction n in which a nose slip of no length grows, and the rate λ: (A + λ) n = b with ‖n‖ = 1.
    ///
    /// Each component of n follows from λ, and ‖n‖ falls as λ grows; Newton steps from `guess`, a λ from
    /// nearby, or from scratch if that is zero. A negative λ says that such a slip dies.
    #[inline(always)]
    pub(super) fn onset(&self, cloth: [f64; 2], guess: f64) -> ([f64; 2], f64) {
        // Keeps denominators from zero on a frictionless nose.
        const TINY: f64 = 1e-12;
        let mu = self.nose;
        let pull = self.cloth * cloth[1] * self.down;
        let drive = self.sin_cos - pull * self.sin;
        let hold = (self.up + pull * self.cos) * mu;
        let side = -self.k * self.cloth * cloth[0];
        let lift = mu * self.cos;
        let floor = -0.9 * if hold < 3.5 * mu { hold } else { 3.5 * mu };
        let mut lambda = if guess == 0.0 { drive.abs() - hold } else { guess };
        let mut n = [0.0, 1.0];
        for _ in 0..20 {
            if lambda < floor {
                lambda = floor;
            }
            let (p, q) = (1.0 / (hold + lambda + TINY), 1.0 / (3.5 * mu + lambda + TINY));
            let n2 = drive * p;
            let n1 = side * (self.sin + lift * n2) * q;
            let over = n1 * n1 + n2 * n2 - 1.0;
            let slope = n2 * n2 * p + n1 * n1 * q + n1 * n2 * side * lift * p * q;
            let moved = 0.5 * over / slope;
            lambda += moved;
            n = [n1, n2];
            if over < 1e-4 && over > -1e-4 {
                // The last step to the first order: what is left is the square of this.
                n = [n1 - n1 * q * moved, n2 - n2 * p * moved];
                break;
            }
        }
        let size = (n[0] * n[0] + n[1] * n[1]).sqrt();
        ([n[0] / size, n[1] / size], if lambda < floor { floor } else { lambda })
    }

    /// What drives the cloth's slip while the nose slides along `nose`, and the friction that opposes it:
    /// dw/dP = drive − hold w/‖w‖.
    #[inline(always)]
    pub(super) fn cloth_drive(&self, nose: [f64; 2]) -> ([f64; 2], f64) {
        let drive = [-self.k * self.nose * nose[0], -self.cos - self.down * self.nose * nose[1]];
        let load = self.load(nose);
        (drive, 3.5 * self.cloth * if load > 0.0 { load } else { 0.0 })
    }

    /// Direction in which a cloth slip of no length grows while the nose slides along `nose`, and how fast.
    #[inline(always)]
    pub(super) fn cloth_onset(&self, nose: [f64; 2]) -> ([f64; 2], f64) {
        let (drive, hold) = self.cloth_drive(nose);
        let size = (drive[0] * drive[0] + drive[1] * drive[1]).sqrt();
        if size > 0.0 { ([drive[0] / size, drive[1] / size], size - hold) } else { ([0.0, -1.0], -hold) }
    }
}
