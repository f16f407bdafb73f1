//! The number of a rung.

use std::fmt;
use std::str::FromStr;

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use thiserror::Error;

/// Parts into which the way from one rung to the next is cut.
const PARTS: u32 = 8;

/// What no rung is called.
#[derive(Clone, Debug, Error, PartialEq)]
#[error("rung {0} is none: a rung is 1 or more, whole or with a part of an eighth, as 3, 3.5 or 3.125")]
pub struct NoRung(String);

/// A rung, from 1; with an eighth or more it lies between two rungs of the ladder, where a whole step would be too long. An
/// eighth of a quarter diamond is a centimetre on a 9-ft table: nobody sets up more exactly.
///
/// ```
/// use longrail_practice::drill::RungNumber;
/// let rung: RungNumber = "3.5".parse().unwrap();
/// assert_eq!((rung.value(), rung.to_string().as_str()), (3.5, "3.5"));
/// assert!("3.3".parse::<RungNumber>().is_err());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct RungNumber {
    eighths: u32,
}

impl RungNumber {
    /// The first rung of a ladder.
    pub const FIRST: Self = Self { eighths: PARTS };

    /// The whole rung of this number; the first for 0.
    pub const fn whole(number: u32) -> Self {
        Self { eighths: if number == 0 { PARTS } else { number.saturating_mul(PARTS) } }
    }

    /// Its value, 1 or more.
    pub fn value(self) -> f64 {
        f64::from(self.eighths) / f64::from(PARTS)
    }

    /// The whole rung at or below it.
    pub const fn below(self) -> u32 {
        self.eighths / PARTS
    }

    /// Whether it is one of the ladder's own rungs.
    pub const fn is_whole(self) -> bool {
        self.eighths.is_multiple_of(PARTS)
    }
}

impl TryFrom<f64> for RungNumber {
    type Error = NoRung;

    fn try_from(value: f64) -> Result<Self, NoRung> {
        let eighths = value * f64::from(PARTS);
        // Written so that what is not a number fails, too.
        let fits = value >= 1.0 && eighths <= f64::from(u32::MAX) && eighths.fract() == 0.0;
        if !fits {
            return Err(NoRung(value.to_string()));
        }
        // In range by the line above.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        Ok(Self { eighths: eighths as u32 })
    }
}

impl FromStr for RungNumber {
    type Err = NoRung;

    fn from_str(text: &str) -> Result<Self, NoRung> {
        let value: f64 = text.parse().map_err(|_| NoRung(text.chars().take(40).collect()))?;
        value.try_into()
    }
}

impl fmt::Display for RungNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.value().fmt(f)
    }
}

impl Serialize for RungNumber {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.is_whole() {
            serializer.serialize_u32(self.below())
        } else {
            serializer.serialize_f64(self.value())
        }
    }
}

impl<'de> Deserialize<'de> for RungNumber {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        f64::deserialize(deserializer)?.try_into().map_err(D::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::RungNumber;

    #[test]
    fn eighths_go_through_text_and_json_and_the_rest_is_refused() {
        for (text, json) in [("1", "1"), ("3.125", "3.125"), ("12.75", "12.75")] {
            let rung: RungNumber = text.parse().unwrap();
            assert_eq!(
                (rung.to_string().as_str(), serde_json::to_string(&rung).unwrap().as_str()),
                (text, json)
            );
            assert_eq!(serde_json::from_str::<RungNumber>(json).unwrap(), rung);
        }
        for text in ["0", "0.875", "-1", "3.1", "NaN", "inf", "1e12", "three", ""] {
            assert!(text.parse::<RungNumber>().is_err(), "{text}");
        }
    }
}
