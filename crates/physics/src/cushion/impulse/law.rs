//! Friction at nose and cloth: rates of the slips for each unit of normal impulse.
//!
//! A state is (u₁, w₁, u₂, w₂): slips along the rail at nose and cloth, then across it.

use super::State;

/// Constants of one contact.
#[derive(Clone, Copy, Debug)]
pub(super) struct Law {
    pub(super) sin: f64,
    pub(super) cos: f64,
    /// Friction of the nose and of the cloth.
    pub(super) nose: f64,
    pub(super) cloth: f64,
    /// Coupling of nose and cloth along the rail: 1 − (5/2) s.
    pub(super) k: f64,
    pub(super) up: f64,
    pub(super) down: f64,
    pub(super) sin_cos: f64,
    /// 1/(1 + s).
    pub(super) per_sum: f64,
}

/// 1/‖·‖ of something whose square is `square`; a zero vector keeps direction zero.
#[inline(always)]
fn inverse(square: f64) -> f64 {
    1.0 / (if square > 1e-300 { square } else { 1e-300 }).sqrt()
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

    /// −dv_Y/dP from the rates.
    #[inline(always)]
    pub(super) fn slowing(&self, k: &State) -> f64 {
        (k[2] - k[3]) * self.per_sum
    }

    /// Both slide along given unit vectors.
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

    /// Both slide.
    #[inline(always)]
    pub(super) fn sliding(&self, y: &State) -> State {
        let (p, q) = (inverse(y[0] * y[0] + y[2] * y[2]), inverse(y[1] * y[1] + y[3] * y[3]));
        self.along([y[0] * p, y[2] * p], [y[1] * q, y[3] * q])
    }

    /// Unit vector of the slip at the nose.
    pub(super) fn nose_unit(y: &State) -> [f64; 2] {
        let p = inverse(y[0] * y[0] + y[2] * y[2]);
        [y[0] * p, y[2] * p]
    }

    /// Unit vector of the slip at the cloth.
    pub(super) fn cloth_unit(y: &State) -> [f64; 2] {
        let p = inverse(y[1] * y[1] + y[3] * y[3]);
        [y[1] * p, y[3] * p]
    }

    /// Load on the cloth while the nose slides along `nose`.
    #[inline(always)]
    pub(super) fn load(&self, nose: [f64; 2]) -> f64 {
        self.sin + self.cos * self.nose * nose[1]
    }

    /// Positive where the nose cannot stick, for a cloth slip of any length: the square of the friction
    /// needed less that of the cone, times (P' r)².
    pub(super) fn excess(&self, w: [f64; 2]) -> f64 {
        let r = (w[0] * w[0] + w[1] * w[1]).sqrt();
        let pull = self.cloth * self.down * w[1];
        let along = self.k * self.cloth * self.sin * w[0];
        let up = self.sin * (self.cos * r - pull);
        let cone = self.nose * (self.up * r + pull * self.cos);
        along * along + up * up - cone * cone
    }

    /// The nose sticks, the cloth slides along `cloth`: rates for each unit of P.
    pub(super) fn stuck(&self, cloth: [f64; 2]) -> State {
        let pull = self.cloth * self.down * cloth[1];
        let load = self.cloth * 3.5 * self.sin / (self.up + pull * self.cos);
        let slowing =
            2.5 * (self.cos + self.cloth * (1.0 + self.sin) * cloth[1]) / (self.up + pull * self.cos);
        [0.0, (self.k * self.k / 3.5 - 3.5) * load * cloth[0], 0.0, -(1.0 + self.sin) * slowing]
    }

    /// Direction in which a nose slip of no length grows, and how fast: (A + λ) n = b with ‖n‖ = 1.
    ///
    /// `guess` is a λ from nearby.
    #[inline(always)]
    pub(super) fn onset(&self, cloth: [f64; 2], guess: f64) -> ([f64; 2], f64) {
        let mu = self.nose;
        let pull = self.cloth * cloth[1] * self.down;
        let drive = self.sin_cos - pull * self.sin;
        let hold = (self.up + pull * self.cos) * mu;
        let side = -self.k * self.cloth * cloth[0];
        let mut lambda = if guess == 0.0 { (drive.abs() - hold).max(-0.5 * hold) } else { guess };
        let mut n = [0.0, 1.0];
        for _ in 0..20 {
            let n2 = drive / (hold + lambda + 1e-12);
            let n1 = side * (self.sin + mu * n2 * self.cos) / (3.5 * mu + lambda + 1e-12);
            let size = (n1 * n1 + n2 * n2).sqrt();
            n = [n1 / size, n2 / size];
            // ‖n‖ (a + λ) is nearly constant.
            let moved = (size - 1.0) * (hold + lambda);
            lambda += moved;
            let floor = -0.9 * hold.min(3.5 * mu);
            if lambda < floor {
                lambda = floor;
            }
            if moved < 1e-8 && moved > -1e-8 {
                break;
            }
        }
        (n, lambda)
    }

    /// The cloth sticks, the nose slides along `nose`.
    pub(super) fn rolling(&self, nose: [f64; 2]) -> State {
        let f = [self.nose * nose[0], self.nose * nose[1]];
        let g = [-self.k * f[0] / 3.5, -(self.cos + self.down * f[1]) / 3.5];
        [-3.5 * f[0] - self.k * g[0], 0.0, self.sin_cos - self.up * f[1] - self.down * g[1], 0.0]
    }

    /// Whether nose and cloth together hold the ball for good.
    pub(super) fn wedges(&self) -> bool {
        let needs = self.cos * self.per_sum;
        needs <= self.nose && needs <= self.cloth * (self.sin + self.cos * needs)
    }

    /// Whether friction at the nose can lift the ball at all.
    #[inline(always)]
    pub(super) fn climbs(&self) -> bool {
        self.nose * self.cos > self.sin
    }

    /// Direction in which a cloth slip of no length grows while the nose slides along `nose`, and how fast.
    #[inline(always)]
    pub(super) fn cloth_onset(&self, nose: [f64; 2]) -> ([f64; 2], f64) {
        let a = [-self.k * self.nose * nose[0], -self.cos - self.down * self.nose * nose[1]];
        let size = (a[0] * a[0] + a[1] * a[1]).sqrt();
        let load = self.load(nose);
        let hold = 3.5 * self.cloth * if load > 0.0 { load } else { 0.0 };
        ([a[0] / size, a[1] / size], size - hold)
    }

    /// What drives the cloth's slip while the nose slides along `nose`, and the friction that opposes it.
    pub(super) fn cloth_drive(&self, nose: [f64; 2]) -> ([f64; 2], f64) {
        let a = [-self.k * self.nose * nose[0], -self.cos - self.down * self.nose * nose[1]];
        (a, 3.5 * self.cloth * self.load(nose).max(0.0))
    }
}
