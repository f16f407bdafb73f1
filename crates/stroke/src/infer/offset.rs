//! Strokes that differ from one table to another, and from one family of shots to another.

use longrail_math::fx;

/// Standard deviation that another table adds to ln σ (study, 3.4). The real one is not known.
pub const TABLE_SD: f64 = 0.10;

/// Standard deviation of ln σ from family to family of shots: an **assumption**, no published value was found.
const FAMILY_SD: f64 = 0.2;

/// How much ln σ may differ from that of the shots asked for, under a name by which attempts are counted together. It stays
/// the same from session to session.
#[derive(Clone, Debug, PartialEq)]
pub struct Offset {
    pub(super) name: String,
    pub(super) sd: f64,
}

impl Offset {
    /// Another table: standard deviation 0.10 (study, 3.4).
    pub fn table(name: &str) -> Self {
        Self { name: format!("table {name}"), sd: TABLE_SD }
    }

    /// Another family of shots. Each family is off by a standard deviation of 0.2, an assumption; of two families one is off
    /// from the other by √2 times that.
    pub fn family(name: &str) -> Self {
        Self { name: format!("family {name}"), sd: (2.0 * FAMILY_SD * FAMILY_SD).sqrt() }
    }

    /// Another family on another table: both differences in one.
    #[must_use]
    pub fn and(&self, other: &Self) -> Self {
        let sd = (self.sd * self.sd + other.sd * other.sd).sqrt();
        Self { name: format!("{}, {}", self.name, other.name), sd }
    }

    /// Another table, another family, both, or neither.
    pub fn of(table: Option<&str>, family: Option<&str>) -> Option<Self> {
        match (table.map(Self::table), family.map(Self::family)) {
            (Some(table), Some(family)) => Some(table.and(&family)),
            (table, family) => table.or(family),
        }
    }
}

/// Number of values that an offset may take.
pub(super) const VALUES: usize = 7;

/// Their distance in standard deviations.
const STEP: f64 = 0.9;

/// The values in standard deviations, and their weights, which add up to 1: the normal distribution's at even steps, whose
/// variance is .986. Even steps rather than a quadrature's, because an offset that is well known falls between two of them.
pub(super) fn values() -> [(f64, f64); VALUES] {
    let at: [f64; VALUES] = [-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0].map(|k: f64| k * STEP);
    let density = at.map(|z| fx::exp(-0.5 * z * z));
    let sum: f64 = density.iter().sum();
    std::array::from_fn(|k| (at[k], density[k] / sum))
}

#[cfg(test)]
mod tests {
    use super::values;

    #[test]
    fn the_values_are_those_of_a_normal_distribution() {
        // Mean 0, variance 1, fourth moment 3; cut off at 2.7 standard deviations.
        let moment =
            |power: fn(f64) -> f64| values().iter().map(|(z, weight)| weight * power(*z)).sum::<f64>();
        assert!((moment(|_| 1.0) - 1.0).abs() < 1e-12 && moment(|z| z).abs() < 1e-12);
        assert!((moment(|z| z * z) - 1.0).abs() < 0.02);
        assert!((moment(|z| z * z * z * z) - 3.0).abs() < 0.25);
    }
}
