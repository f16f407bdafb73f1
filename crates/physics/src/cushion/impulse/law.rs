//! The law of friction at nose and cloth: rates of the slips for given directions of slip.

/// Constants of one contact, and the rates that follow from them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Law {
    sin: f64,
    cos: f64,
    nose_friction: f64,
    cloth_friction: f64,
    /// Coupling of nose and cloth along the rail: 1 − (5/2) sin θ.
    pub(super) k: f64,
    /// 5/2 + sin² θ.
    up: f64,
    /// 5/2 − sin θ.
    down: f64,
    sin_cos: f64,
}

/// Friction at the nose and at the cloth for each unit of normal impulse, and what follows.
#[derive(Clone, Copy, Debug)]
pub(super) struct Force {
    /// At the nose, along the rail and up the ball.
    pub(super) f: [f64; 2],
    /// At the cloth, along the rail and into it.
    pub(super) g: [f64; 2],
    /// Load on the cloth before it is cut off at zero.
    pub(super) load: f64,
}

/// Rates with respect to x.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rates {
    /// Of the three slips u₁, u₂, w₁.
    pub(super) slips: [f64; 3],
    /// 1/D: of the normal impulse.
    pub(super) impulse: f64,
}

impl Law {
    pub(super) fn new(sin: f64, cos: f64, nose_friction: f64, cloth_friction: f64) -> Self {
        Self {
            sin,
            cos,
            nose_friction,
            cloth_friction,
            k: 1.0 - 2.5 * sin,
            up: 2.5 + sin * sin,
            down: 2.5 - sin,
            sin_cos: sin * cos,
        }
    }

    /// Slip into the rail at the cloth, from u₂ and x.
    #[inline]
    pub(super) fn cloth_slip(&self, u2: f64, x: f64) -> f64 {
        u2 - (1.0 + self.sin) * x
    }

    /// Sliding at the nose along the unit vector `nose`, at the cloth along `cloth`.
    #[inline]
    pub(super) fn sliding(&self, nose: [f64; 2], cloth: [f64; 2]) -> Force {
        let f = [self.nose_friction * nose[0], self.nose_friction * nose[1]];
        let load = self.sin + f[1] * self.cos;
        let g = self.cloth_friction * load.max(0.0);
        Force { f, g: [g * cloth[0], g * cloth[1]], load }
    }

    /// The friction that keeps the slip at the nose at zero, if it may: whether within the cone or not is
    /// told by [`Self::excess`].
    #[inline]
    pub(super) fn sticking(&self, cloth: [f64; 2]) -> Force {
        // du₂ = 0 with the load itself depending on f₂.
        let pull = self.cloth_friction * cloth[1] * self.down;
        let mut f2 = (self.sin_cos - pull * self.sin) / (self.up + pull * self.cos);
        let mut load = self.sin + f2 * self.cos;
        if load < 0.0 {
            // The cloth carries nothing: only the nose is left.
            f2 = self.sin_cos / self.up;
            load = 0.0;
        }
        let g = self.cloth_friction * load;
        let g = [g * cloth[0], g * cloth[1]];
        Force { f: [-self.k * g[0] / 3.5, f2], g, load }
    }

    /// By how much the square of a friction exceeds the cone's: positive where the ball cannot stick.
    #[inline]
    pub(super) fn excess(&self, force: &Force) -> f64 {
        force.f[0] * force.f[0] + force.f[1] * force.f[1] - self.nose_friction * self.nose_friction
    }

    /// Direction in which the nose begins to slide when it can no longer stick: the direction whose own
    /// friction makes the slip grow along itself.
    ///
    /// With λ the rate of growth, (A + λ) n = b: each component of n follows from λ, and |n| = 1 fixes λ
    /// (|n| falls as λ grows; secant steps from zero).
    pub(super) fn onset(&self, cloth: [f64; 2]) -> [f64; 2] {
        let mu = self.nose_friction;
        let pull = self.cloth_friction * cloth[1] * self.down;
        let direction = |lambda: f64| {
            let mut n2 = (self.sin_cos - pull * self.sin) / ((self.up + pull * self.cos) * mu + lambda);
            let mut load = self.sin + mu * n2 * self.cos;
            if load < 0.0 {
                n2 = self.sin_cos / (self.up * mu + lambda);
                load = 0.0;
            }
            let n1 = -self.k * self.cloth_friction * cloth[0] * load / (3.5 * mu + lambda);
            [n1, n2]
        };
        let size = |n: [f64; 2]| (n[0] * n[0] + n[1] * n[1]).sqrt();
        // Near isotropy |n| (a + λ) is constant, so this fixed point converges fast.
        let mut lambda = 0.0;
        let mut n = direction(lambda);
        for _ in 0..8 {
            let next = size(n) * (self.up * mu + lambda) - self.up * mu;
            let moved = (next - lambda).abs();
            lambda = next;
            n = direction(lambda);
            if moved < 1e-12 {
                break;
            }
        }
        let inverse = 1.0 / size(n);
        [n[0] * inverse, n[1] * inverse]
    }

    /// Rates with respect to x under `force`.
    #[inline]
    pub(super) fn rates(&self, force: &Force) -> Rates {
        let Force { f, g, .. } = *force;
        let impulse = 1.0 / (self.cos - self.sin * f[1] + g[1]);
        Rates {
            slips: [
                -(3.5 * f[0] + self.k * g[0]) * impulse,
                (self.sin_cos - self.up * f[1] - self.down * g[1]) * impulse,
                -(self.k * f[0] + 3.5 * g[0]) * impulse,
            ],
            impulse,
        }
    }

    /// Cosine of the contact's height angle: the share of the normal impulse that works on v_Y.
    #[inline]
    pub(super) fn cos(&self) -> f64 {
        self.cos
    }
}
