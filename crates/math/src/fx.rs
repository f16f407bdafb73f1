//! The one door to transcendental functions.
//!
//! The standard library's sine, exponential and the like differ by one unit in the last place between
//! platforms for 2 to 18 % of inputs; `libm` gives the same bits on all of them. Square root and the
//! four operations are exact by IEEE 754, so `f64::sqrt` is used directly.

/// Sine of an angle in radians.
#[inline]
pub fn sin(angle_rad: f64) -> f64 {
    libm::sin(angle_rad)
}

/// Cosine of an angle in radians.
#[inline]
pub fn cos(angle_rad: f64) -> f64 {
    libm::cos(angle_rad)
}

/// Sine and cosine of an angle in radians, in this order.
#[inline]
pub fn sin_cos(angle_rad: f64) -> (f64, f64) {
    (libm::sin(angle_rad), libm::cos(angle_rad))
}

/// Tangent of an angle in radians.
#[inline]
pub fn tan(angle_rad: f64) -> f64 {
    libm::tan(angle_rad)
}

/// Angle in radians, −π/2 to π/2, whose sine is `x`; NaN outside −1 to 1.
#[inline]
pub fn asin(x: f64) -> f64 {
    libm::asin(x)
}

/// Angle in radians, 0 to π, whose cosine is `x`; NaN outside −1 to 1.
#[inline]
pub fn acos(x: f64) -> f64 {
    libm::acos(x)
}

/// Angle in radians, −π/2 to π/2, whose tangent is `x`.
#[inline]
pub fn atan(x: f64) -> f64 {
    libm::atan(x)
}

/// Angle in radians, −π to π, of the point (`x`, `y`) seen from the origin.
#[inline]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// e to the power `x`.
#[inline]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// Natural logarithm; NaN below zero.
#[inline]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// `base` to the power `exponent`.
#[inline]
pub fn pow(base: f64, exponent: f64) -> f64 {
    libm::pow(base, exponent)
}

/// The error function, 2/√π ∫₀ˣ exp(−t²) dt.
#[inline]
pub fn erf(x: f64) -> f64 {
    libm::erf(x)
}

/// The complementary error function, 1 − erf(x), without cancellation for large `x`.
#[inline]
pub fn erfc(x: f64) -> f64 {
    libm::erfc(x)
}

/// e to the power `x`, less one, without cancellation near zero.
#[inline]
pub fn expm1(x: f64) -> f64 {
    libm::expm1(x)
}

/// Natural logarithm of 1 + `x`, without cancellation near zero; NaN below −1.
#[inline]
pub fn log1p(x: f64) -> f64 {
    libm::log1p(x)
}

/// Natural logarithm of the absolute value of the gamma function.
#[inline]
pub fn lgamma(x: f64) -> f64 {
    libm::lgamma(x)
}
