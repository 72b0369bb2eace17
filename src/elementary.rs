//! Elementary functions that give the same bits on every system.
//!
//! The sine of one system's library may differ from another's in the last bit, and a search that asks
//! millions of times then ends with another layout. These come with the program, so one seed gives one
//! layout, and the same bytes, on every computer. Square roots, sums and products are exact by IEEE 754
//! everywhere and need no such care. Angles are in radians.

/// Sine and cosine of an angle.
#[inline]
#[must_use]
pub fn sin_cos(angle: f64) -> (f64, f64) {
    libm::sincos(angle)
}

/// Sine of an angle.
#[inline]
#[must_use]
pub fn sin(angle: f64) -> f64 {
    libm::sin(angle)
}

/// Cosine of an angle.
#[inline]
#[must_use]
pub fn cos(angle: f64) -> f64 {
    libm::cos(angle)
}

/// Tangent of an angle.
#[inline]
#[must_use]
pub fn tan(angle: f64) -> f64 {
    libm::tan(angle)
}

/// The angle in [-π/2, π/2] that has this sine.
#[inline]
#[must_use]
pub fn asin(sine: f64) -> f64 {
    libm::asin(sine)
}

/// The angle in [0, π] that has this cosine.
#[inline]
#[must_use]
pub fn acos(cosine: f64) -> f64 {
    libm::acos(cosine)
}

/// The angle in [-π/2, π/2] that has this tangent.
#[inline]
#[must_use]
pub fn atan(tangent: f64) -> f64 {
    libm::atan(tangent)
}

/// Direction of the point (x, y) from the origin, in [-π, π].
#[inline]
#[must_use]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// Distance of the point (x, y) from the origin, in the unit of both.
#[inline]
#[must_use]
pub fn hypot(x: f64, y: f64) -> f64 {
    libm::hypot(x, y)
}

/// Cube root.
#[inline]
#[must_use]
pub fn cbrt(number: f64) -> f64 {
    libm::cbrt(number)
}

/// A power whose exponent need not be whole.
#[inline]
#[must_use]
pub fn powf(base: f64, exponent: f64) -> f64 {
    libm::pow(base, exponent)
}

/// The power of e.
#[inline]
#[must_use]
pub fn exp(exponent: f64) -> f64 {
    libm::exp(exponent)
}

/// Natural logarithm.
#[inline]
#[must_use]
pub fn ln(number: f64) -> f64 {
    libm::log(number)
}

/// Logarithm to base 10.
#[inline]
#[must_use]
pub fn log10(number: f64) -> f64 {
    libm::log10(number)
}

/// Hyperbolic cosine.
#[inline]
#[must_use]
pub fn cosh(number: f64) -> f64 {
    libm::cosh(number)
}

/// Hyperbolic tangent.
#[inline]
#[must_use]
pub fn tanh(number: f64) -> f64 {
    libm::tanh(number)
}
