//! What is simulated. One subject, one file; each file names the study's sections and constants it uses.

mod difference;
mod drift;
mod measured;
mod naming;
mod placement;
mod ratchet;
mod rates;
mod sequence;
mod sheets;
mod stroke;
mod trend;
mod unreset;

use crate::scenario::{Fault, Scenario};

pub use naming::Naming;
pub use ratchet::Ratchet;
pub use sheets::Sheets;

/// The range that an 80 % interval is to reach where truth is drawn as its model assumes.
pub const WANTED: (f64, f64) = (0.77, 0.84);

const FLATTERY: &str = "The rate seen at the moment of promotion, mean (it flatters)";

/// The whole calibration.
///
/// # Errors
/// If statistics or engine refuse a constant: a fault of this crate.
pub fn all() -> Result<Vec<Box<dyn Scenario>>, Fault> {
    let mut all: Vec<Box<dyn Scenario>> = Vec::new();
    sheets::list(&mut all)?;
    unreset::list(&mut all)?;
    drift::list(&mut all)?;
    ratchet::list(&mut all)?;
    rates::list(&mut all)?;
    difference::list(&mut all);
    sequence::list(&mut all)?;
    measured::list(&mut all);
    placement::list(&mut all)?;
    trend::list(&mut all)?;
    naming::list(&mut all)?;
    stroke::list(&mut all)?;
    Ok(all)
}
