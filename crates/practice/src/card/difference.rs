//! What stands against holding two records against each other, kept apart from the units in which it is told.

use crate::measure::INCH_M;

/// One thing that differs.
#[derive(Clone, Debug, PartialEq)]
pub enum Difference {
    /// In words that need no unit.
    Words(String),
    /// Two measurements of one thing.
    Measured {
        /// Of what.
        what: String,
        /// The two.
        values: (f64, f64),
        /// By how much they may differ.
        tolerance: f64,
        /// What all three are in.
        unit: Unit,
    },
}

/// What a measurement is in, and with how many digits it is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres with so many digits; told in inches it has one more.
    Mm(usize),
    /// Whole grams, for everybody.
    Grams,
    /// A plain number.
    Plain(usize),
}

impl Difference {
    /// For people, lengths in inches to whom `imperial` says: "length: 2540 and 1981 mm, more than 10 mm apart".
    pub fn words(&self, imperial: bool) -> String {
        match self {
            Self::Words(words) => words.clone(),
            Self::Measured { what, values: (a, b), tolerance, unit } => format!(
                "{what}: {} and {}, more than {} apart",
                unit.number(*a, imperial),
                unit.words(*b, imperial),
                unit.words(*tolerance, imperial)
            ),
        }
    }

    /// All of them in one sentence.
    pub fn all(differences: &[Self], imperial: bool) -> String {
        differences.iter().map(|one| one.words(imperial)).collect::<Vec<_>>().join("; ")
    }
}

impl Unit {
    /// The number alone.
    fn number(self, value: f64, imperial: bool) -> String {
        match self {
            Self::Mm(digits) if imperial => format!("{:.1$}", 1e-3 * value / INCH_M, digits + 1),
            Self::Mm(digits) | Self::Plain(digits) => format!("{value:.digits$}"),
            Self::Grams => format!("{value:.0}"),
        }
    }

    /// With its unit.
    fn words(self, value: f64, imperial: bool) -> String {
        let unit = match self {
            Self::Mm(_) if imperial => " in",
            Self::Mm(_) => " mm",
            Self::Grams => " g",
            Self::Plain(_) => "",
        };
        self.number(value, imperial) + unit
    }
}
