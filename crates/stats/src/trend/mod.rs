//! Trends: a latent quantity that drifts, seen through sessions of any kind of observation.
//!
//! Study of progression, section 4. Works on the logarithm of a spread, on the logit of a rate, or on any quantity whose
//! observations have a likelihood; [`crate::fit::binomial`] gives that of counts,
//! [`crate::measured::ln_likelihood_of_level`] that of measured values.

mod history;
mod naming;
mod walk;

pub use history::{Change, change_since, smooth};
pub use naming::{Named, Rule, Windows};
pub use walk::{Belief, Filter, Grid, Session, Settings};
