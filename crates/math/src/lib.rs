//! Mathematics under the shot engine.
//!
//! **Knows** transcendental functions (one library on every platform), small vectors, the first time
//! at which two moving things touch, sorting, and random and evenly spread numbers that are the same everywhere.
//! **Does not know** balls, tables, players, time of day, or any operating system.
//!
//! Everything here is a pure function of its arguments: the same input gives the same bits on a
//! desktop and in a browser. That is why sines and exponentials come from [`fx`] alone, and why
//! `mul_add` and `hypot` are not used: they round differently from one machine to the next.

pub mod fx;
pub mod order;
pub mod quasi;
pub mod random;
pub mod roots;
mod vector;

pub use vector::{Vec2, Vec3, Vector};
