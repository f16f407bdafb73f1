//! Promotion and step back: evidence, tables of counts, sheets.

mod crossing;
mod evidence;
mod natural;
mod rules;
mod sheet;
mod table;

pub use crossing::{Chances, crossing_chances, over_sheets, sheet_chances};
pub use evidence::{Alpha, Evidence, Fraction, Side};
pub use natural::Natural;
pub use rules::{Rules, Strictness};
pub use sheet::{Advice, Crossing, LAY_OFF_DAYS, NewSheet, Sheet, Since, Verdict, WARM_UP, Weighed};
pub use table::{Boundary, Row, counts_table};

/// Attempts after which a sheet ends (study of progression, section 1.3).
pub const SHEET: u32 = 100;

/// A step back is judged against the target less this (section 1.6).
pub const STEP_BACK_BELOW_TARGET: f64 = 0.10;

/// The line for a step back, free of the rounding of the subtraction where the target has at most six decimals.
fn step_back_line(target: f64) -> f64 {
    let line = target - STEP_BACK_BELOW_TARGET;
    let rounded = (line * 1e6).round() / 1e6;
    if (rounded - line).abs() < 1e-15 { rounded } else { line }
}
