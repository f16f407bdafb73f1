//! Parts of the table, in diamonds.

use longrail_math::Vec2;
use longrail_physics::TableSpec;
use serde::{Deserialize, Serialize};

use crate::error::{StrokeError, check};

/// A part of the table. Coordinates in diamonds: `along` 0 to 8 from the head rail, `across` 0 to 4 from the right long
/// rail as seen from the head end.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Zone {
    /// A circle.
    Circle {
        /// Middle, along the table.
        along: f64,
        /// Middle, across it.
        across: f64,
        /// Radius, in diamonds.
        radius: f64,
    },
    /// A polygon; its sides may not cross.
    Polygon {
        /// Corners: along, across.
        corners: Vec<[f64; 2]>,
    },
}

impl Zone {
    /// Checks the numbers.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] or [`StrokeError::FlatZone`].
    pub fn check(&self) -> Result<(), StrokeError> {
        let corner = |along, across| {
            check("zone.along", along, (-1.0, 9.0), "diamonds")?;
            check("zone.across", across, (-1.0, 5.0), "diamonds")
        };
        match self {
            Self::Circle { along, across, radius } => {
                corner(*along, *across)?;
                check("zone.radius", *radius, (0.0, 10.0), "diamonds")
            }
            Self::Polygon { corners } if corners.len() < 3 => {
                Err(StrokeError::FlatZone { corners: corners.len() })
            }
            Self::Polygon { corners } => {
                corners.iter().try_for_each(|[along, across]| corner(*along, *across))
            }
        }
    }

    /// The zone on a table of this size, in metres.
    pub(crate) fn on(&self, spec: &TableSpec) -> Area {
        let point =
            |along: f64, across: f64| Vec2::new(along * spec.length_m / 8.0, across * spec.width_m / 4.0);
        match self {
            Self::Circle { along, across, radius } => {
                Area::Circle { centre: point(*along, *across), radius: radius * spec.length_m / 8.0 }
            }
            Self::Polygon { corners } => {
                let corners: Vec<Vec2> =
                    corners.iter().map(|[along, across]| point(*along, *across)).collect();
                // Of a few corners.
                #[allow(clippy::cast_precision_loss)]
                let centre = corners.iter().fold(Vec2::ZERO, |sum, &p| sum + p) / corners.len() as f64;
                Area::Polygon { corners, centre }
            }
        }
    }
}

/// A zone in metres.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Area {
    Circle { centre: Vec2, radius: f64 },
    Polygon { corners: Vec<Vec2>, centre: Vec2 },
}

impl Area {
    /// A point to aim at: the middle.
    pub(crate) fn centre(&self) -> Vec2 {
        match self {
            Self::Circle { centre, .. } | Self::Polygon { centre, .. } => *centre,
        }
    }

    /// Whether `p` lies in it.
    pub(crate) fn holds(&self, p: Vec2) -> bool {
        match self {
            Self::Circle { centre, radius } => (p - *centre).norm() <= *radius,
            // A ray to the right crosses the sides an odd number of times.
            Self::Polygon { corners, .. } => {
                sides(corners)
                    .filter(|(a, b)| {
                        (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
                    })
                    .count()
                    % 2
                    == 1
            }
        }
    }

    /// Distance of `p` from it in metres; 0 inside.
    pub(crate) fn distance(&self, p: Vec2) -> f64 {
        if self.holds(p) {
            return 0.0;
        }
        match self {
            Self::Circle { centre, radius } => (p - *centre).norm() - radius,
            Self::Polygon { corners, .. } => sides(corners)
                .map(|(a, b)| {
                    let side = b - a;
                    let t = ((p - a).dot(side) / side.dot(side).max(1e-18)).clamp(0.0, 1.0);
                    (p - a - side * t).norm()
                })
                .fold(f64::INFINITY, f64::min),
        }
    }
}

fn sides(corners: &[Vec2]) -> impl Iterator<Item = (Vec2, Vec2)> + '_ {
    corners.iter().copied().zip(corners.iter().copied().cycle().skip(1)).take(corners.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_holds_its_inside_and_knows_how_far_the_rest_is() {
        let spec = TableSpec::default();
        let zone = Zone::Polygon { corners: vec![[1.0, 1.0], [2.0, 1.0], [2.0, 2.0], [1.0, 2.0]] };
        let diamond = spec.length_m / 8.0;
        let area = zone.on(&spec);
        assert!(area.holds(Vec2::new(1.5 * diamond, 1.5 * diamond)));
        assert!(!area.holds(Vec2::new(2.5 * diamond, 1.5 * diamond)));
        assert!((area.distance(Vec2::new(3.0 * diamond, 1.5 * diamond)) - diamond).abs() < 1e-12);
    }

    #[test]
    fn two_corners_make_no_zone() {
        let zone = Zone::Polygon { corners: vec![[1.0, 1.0], [2.0, 1.0]] };
        assert_eq!(zone.check(), Err(StrokeError::FlatZone { corners: 2 }));
    }
}
