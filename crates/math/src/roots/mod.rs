//! When does a gap close? Roots of the polynomials of motion.
//!
//! Between events every ball moves along p + v s + a s², so a gap to a straight rail is a quadratic in
//! the time s, and the squared distance of two balls a quartic. Only the *first* time at which a gap
//! *closes* is ever wanted, and that is what these functions find.

mod contact;
mod quadratic;

pub use contact::{Approach, TOUCH, first_contact, next_closing};
pub use quadratic::first_fall;
