//! Table sizes that have a name: playing surface from nose to nose.
//!
//! Sizes in inches from the World Pool-Billiard Association's "Tournament Table & Equipment
//! Specifications" (November 2001: 9 ft, and the 92 × 46 in that it calls 8 ft) and, for the others, from
//! trade listings; the 76 × 38 in table is from memory.

use crate::error::ShotError;

const INCH: f64 = 0.0254;

/// A playing surface with a name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Name in the JSON contract.
    pub name: &'static str,
    /// Nose to nose along the table, in metres.
    pub length_m: f64,
    /// Nose to nose across the table, in metres.
    pub width_m: f64,
}

const fn inches(name: &'static str, length: f64, width: f64) -> Size {
    Size { name, length_m: length * INCH, width_m: width * INCH }
}

/// The sizes there are, smallest first. "7ft" is the commonest of the three that go by that name.
pub const SIZES: [Size; 8] = [
    inches("7ft-76x38", 76.0, 38.0),
    inches("7ft", 78.0, 39.0),
    inches("7ft-78x39", 78.0, 39.0),
    inches("7ft-80x40", 80.0, 40.0),
    inches("8ft", 88.0, 44.0),
    inches("8ft-oversize", 92.0, 46.0),
    inches("9ft", 100.0, 50.0),
    inches("10ft", 112.0, 56.0),
];

impl Size {
    /// The size called `name`.
    ///
    /// # Errors
    /// [`ShotError::UnknownSize`] with the names there are.
    pub fn named(name: &str) -> Result<Self, ShotError> {
        SIZES.into_iter().find(|size| size.name == name).ok_or_else(|| ShotError::UnknownSize {
            given: name.to_owned(),
            known: SIZES.map(|size| size.name).join(", "),
        })
    }
}
