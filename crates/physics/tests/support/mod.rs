//! What the tests against the outside world share: posing shots, and finding where an outcome changes.
//!
//! Shots are posed and read through the JSON contract alone, as any program outside would.

// Each test program uses its own part of this.
#![allow(dead_code)]

pub(crate) mod search;
pub(crate) mod shot;

/// Radius of a pool ball, in metres: 2.25 in across.
pub(crate) const R: f64 = 0.028_575;

/// An inch, in metres.
pub(crate) const INCH: f64 = 0.0254;

/// Standard gravity, in m/s².
pub(crate) const G: f64 = 9.806_65;
