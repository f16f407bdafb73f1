//! A constraint as text: short for a record, in words for people.
//!
//! The short form is canonical: one constraint has one text, and a number its shortest one. What is read may have more spaces.

use std::fmt;
use std::str::FromStr;

use thiserror::Error;

use super::Constraint;
use crate::goal::from_rails;

/// One constraint of every kind, in its short form.
pub const EXAMPLES: [&str; 6] =
    ["pocket 0.9", "zone 0.5", "streak 3", "speed 1.5 to 3", "no side", "blocker at 4.5/2"];

/// Why a text is no constraint.
#[derive(Clone, Debug, Error, PartialEq)]
#[error(
    "{word:?} is not understood in the constraint {text:?}: expected {expected}, for instance \"{example}\""
)]
pub struct ConstraintError {
    /// The whole text.
    pub text: String,
    /// The word that is wrong; empty if one is missing.
    pub word: String,
    /// What is expected in its place.
    pub expected: String,
    /// What would be read.
    pub example: &'static str,
}

impl fmt::Display for Constraint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // Adding 0 takes the sign from a zero.
        match self {
            Self::NarrowerPocket(share) => write!(f, "pocket {share}"),
            Self::SmallerZone(share) => write!(f, "zone {share}"),
            Self::Streak(count) => write!(f, "streak {count}"),
            Self::Speed { softest_mps, hardest_mps } => write!(f, "speed {softest_mps} to {hardest_mps}"),
            Self::NoSide => write!(f, "no side"),
            Self::Blocker { along, across } => write!(f, "blocker at {}/{}", along + 0.0, across + 0.0),
        }
    }
}

impl FromStr for Constraint {
    type Err = ConstraintError;

    fn from_str(text: &str) -> Result<Self, ConstraintError> {
        let mut words = Words { text, left: text };
        let kinds = "pocket, zone, streak, speed, no side or blocker";
        let (kind, example) = match words.next() {
            "pocket" => ("pocket", EXAMPLES[0]),
            "zone" => ("zone", EXAMPLES[1]),
            "streak" => ("streak", EXAMPLES[2]),
            "speed" => ("speed", EXAMPLES[3]),
            "no" => ("no", EXAMPLES[4]),
            "blocker" => ("blocker", EXAMPLES[5]),
            other => return Err(words.wrong(other, kinds, EXAMPLES[0])),
        };
        let read = match kind {
            "pocket" => Self::NarrowerPocket(words.number("a share of the mouth, 0.5 to 1", example)?),
            "zone" => Self::SmallerZone(words.number("a share of the size, 0.1 to 1", example)?),
            "streak" => {
                let word = words.next();
                let count =
                    word.parse().map_err(|_| words.wrong(word, "a whole number, 2 to 20", example))?;
                Self::Streak(count)
            }
            "speed" => {
                let expected = "a speed in m/s, 0.1 to 20";
                let softest_mps = words.number(expected, example)?;
                words.literal("to", example)?;
                Self::Speed { softest_mps, hardest_mps: words.number(expected, example)? }
            }
            "no" => {
                words.literal("side", example)?;
                Self::NoSide
            }
            _ => {
                words.literal("at", example)?;
                let place = words.next();
                let wrong = |word: &str| {
                    words.wrong(word, "a place in diamonds, along 0 to 8 and across 0 to 4", example)
                };
                let (along, across) = place.split_once('/').ok_or_else(|| wrong(place))?;
                Self::Blocker {
                    along: finite(along).ok_or_else(|| wrong(along))? + 0.0,
                    across: finite(across).ok_or_else(|| wrong(across))? + 0.0,
                }
            }
        };
        match words.next() {
            "" => {}
            more => return Err(words.wrong(more, "no more", example)),
        }
        read.check().map_err(|error| words.wrong(text.trim(), &error.to_string(), example))?;
        Ok(read)
    }
}

/// What is left of a text.
struct Words<'a> {
    text: &'a str,
    left: &'a str,
}

impl<'a> Words<'a> {
    /// The next word; empty at the end.
    fn next(&mut self) -> &'a str {
        let left = self.left.trim_start();
        let end = left.find(char::is_whitespace).unwrap_or(left.len());
        let (word, left) = left.split_at(end);
        self.left = left;
        word
    }

    fn number(&mut self, expected: &str, example: &'static str) -> Result<f64, ConstraintError> {
        let word = self.next();
        finite(word).ok_or_else(|| self.wrong(word, expected, example))
    }

    fn literal(&mut self, wanted: &str, example: &'static str) -> Result<(), ConstraintError> {
        match self.next() {
            word if word == wanted => Ok(()),
            word => Err(self.wrong(word, &format!("{wanted:?}"), example)),
        }
    }

    fn wrong(&self, word: &str, expected: &str, example: &'static str) -> ConstraintError {
        ConstraintError {
            text: self.text.trim().to_owned(),
            word: word.to_owned(),
            expected: expected.to_owned(),
            example,
        }
    }
}

/// A number that is one.
fn finite(word: &str) -> Option<f64> {
    word.parse().ok().filter(|number: &f64| number.is_finite())
}

impl Constraint {
    /// In words for people, with rounded numbers.
    ///
    /// ```
    /// use longrail_stroke::constraint::Constraint;
    /// assert_eq!(Constraint::NarrowerPocket(0.9).words(), "pocket 90 % as wide");
    /// ```
    pub fn words(&self) -> String {
        match self {
            Self::NarrowerPocket(share) => format!("pocket {:.0} % as wide", 100.0 * share),
            Self::SmallerZone(share) => format!("zone {:.0} % of its size", 100.0 * share),
            Self::Streak(count) => format!("{count} in a row"),
            Self::Speed { softest_mps, hardest_mps } => format!("{softest_mps:.1} to {hardest_mps:.1} m/s"),
            Self::NoSide => "no side".to_owned(),
            Self::Blocker { along, across } => format!("a blocker {}", from_rails(*along, *across)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_is_written_and_read_in_its_one_form() {
        for text in EXAMPLES {
            let constraint: Constraint = text.parse().unwrap();
            assert_eq!(constraint.to_string(), text);
        }
        // Other spellings of the same are read, and written in the one form.
        for (loose, form) in [
            ("  pocket   0.90 ", "pocket 0.9"),
            ("speed 1.50\tto 3.0", "speed 1.5 to 3"),
            ("blocker at -0/2", "blocker at 0/2"),
        ] {
            assert_eq!(loose.parse::<Constraint>().unwrap().to_string(), form);
        }
    }

    #[test]
    fn what_is_wrong_is_named_with_what_is_expected_and_an_example() {
        let said = |text: &str| text.parse::<Constraint>().unwrap_err().to_string();
        assert_eq!(
            said("pockt 0.9"),
            "\"pockt\" is not understood in the constraint \"pockt 0.9\": expected pocket, zone, streak, speed, no side or \
             blocker, for instance \"pocket 0.9\""
        );
        for (text, word, example) in [
            ("", "", "pocket 0.9"),
            ("pocket", "", "pocket 0.9"),
            ("pocket wide", "wide", "pocket 0.9"),
            ("pocket NaN", "NaN", "pocket 0.9"),
            ("pocket 0.9 0.8", "0.8", "pocket 0.9"),
            ("pocket 0.2", "pocket 0.2", "pocket 0.9"),
            ("no top", "top", "no side"),
            ("streak 2.5", "2.5", "streak 3"),
            ("streak 1", "streak 1", "streak 3"),
            ("speed 3 - 4", "-", "speed 1.5 to 3"),
            ("speed 4 to 3", "speed 4 to 3", "speed 1.5 to 3"),
            ("blocker at 4.5", "4.5", "blocker at 4.5/2"),
            ("blocker at 4.5/x", "x", "blocker at 4.5/2"),
            ("blocker at 9/2", "blocker at 9/2", "blocker at 4.5/2"),
        ] {
            let error = text.parse::<Constraint>().unwrap_err();
            assert_eq!((error.word.as_str(), error.example), (word, example), "{text:?}");
        }
        assert!(said("pocket 0.2").contains("must be 0.5 to 1 of the mouth"));
    }
}
