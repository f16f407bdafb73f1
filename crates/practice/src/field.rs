//! What a person may enter into a field, and what is said where it is not so.

use thiserror::Error;

use crate::measure::decimals;

/// Why an entry is refused.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum FieldError {
    /// A number outside its range, or not a number.
    #[error("{field} is {}; it must be {least} to {most} {unit}", decimals(*value, 4))]
    OutOfRange {
        /// Which field.
        field: String,
        /// What was given.
        value: f64,
        /// The least that is taken.
        least: f64,
        /// The most.
        most: f64,
        /// Unit, or what it is a share of.
        unit: &'static str,
    },
    /// A text that is missing, too long, or has signs that cannot be shown.
    #[error("{field} {problem}; it must be {least} to {most} characters in one line")]
    Text {
        /// Which field.
        field: String,
        /// What is wrong.
        problem: String,
        /// The fewest characters.
        least: usize,
        /// The most.
        most: usize,
    },
}

/// Checks that `value` is a number from `least` to `most`.
pub(crate) fn number(
    field: &str,
    value: f64,
    (least, most): (f64, f64),
    unit: &'static str,
) -> Result<(), FieldError> {
    // Written so that what is not a number fails, too.
    if value >= least && value <= most {
        return Ok(());
    }
    Err(FieldError::OutOfRange { field: field.to_owned(), value, least, most, unit })
}

/// Checks that `text` is one line of `least` to `most` characters.
pub(crate) fn line(field: &str, text: &str, (least, most): (usize, usize)) -> Result<(), FieldError> {
    let count = text.chars().count();
    let problem = if text.chars().any(char::is_control) {
        "has a line break or another sign that cannot be shown".to_owned()
    } else if count < least || (least > 0 && text.trim().is_empty()) {
        "is empty".to_owned()
    } else if count > most {
        format!("has {count} characters")
    } else {
        return Ok(());
    };
    Err(FieldError::Text { field: field.to_owned(), problem, least, most })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_number_is_out_of_range() {
        let error = number("cloth.seconds", f64::NAN, (1.0, 60.0), "s").unwrap_err();
        assert_eq!(error.to_string(), "cloth.seconds is NaN; it must be 1 to 60 s");
    }

    #[test]
    fn a_line_has_bounds_and_no_breaks() {
        assert!(line("name", "Corner table", (1, 60)).is_ok());
        for wrong in ["", " ", "two\nlines"] {
            assert!(line("name", wrong, (1, 60)).is_err(), "{wrong:?}");
        }
        assert!(line("place", "", (0, 60)).is_ok());
    }
}
