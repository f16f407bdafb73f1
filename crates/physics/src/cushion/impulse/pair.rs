//! Two numbers side by side.

/// A pair, along the rail and across it, aligned so that both go through one register.
#[derive(Clone, Copy, Debug)]
#[repr(align(16))]
pub(super) struct Pair(pub(super) [f64; 2]);

impl Pair {
    pub(super) const ZERO: Self = Self([0.0; 2]);

    /// The same number twice.
    #[inline(always)]
    pub(super) fn both(x: f64) -> Self {
        Self([x, x])
    }

    #[inline(always)]
    pub(super) fn plus(self, other: Self) -> Self {
        Self([self.0[0] + other.0[0], self.0[1] + other.0[1]])
    }

    #[inline(always)]
    pub(super) fn minus(self, other: Self) -> Self {
        Self([self.0[0] - other.0[0], self.0[1] - other.0[1]])
    }

    #[inline(always)]
    pub(super) fn times(self, other: Self) -> Self {
        Self([self.0[0] * other.0[0], self.0[1] * other.0[1]])
    }

    #[inline(always)]
    pub(super) fn by(self, factor: f64) -> Self {
        Self([factor * self.0[0], factor * self.0[1]])
    }

    #[inline(always)]
    pub(super) fn swap(self) -> Self {
        Self([self.0[1], self.0[0]])
    }

    /// The sum of the two, twice.
    #[inline(always)]
    pub(super) fn total(self) -> Self {
        self.plus(self.swap())
    }
}
