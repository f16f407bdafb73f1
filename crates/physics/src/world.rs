//! A table under its conditions: everything that stays the same from shot to shot, worked out once.

use std::sync::Arc;

use longrail_math::Vec2;

use crate::conditions::{Conditions, NoseContact};
use crate::cushion::{self, Chart, Contact, Motion, Stall};
use crate::error::ShotError;
use crate::table::{PocketId, Rail, Table};

/// A checked table with its conditions.
#[derive(Clone, Debug, PartialEq)]
pub struct World {
    table: Table,
    conditions: Conditions,
    pub(crate) rails: [RailLine; 4],
    /// Rebounds read off a chart, if this world is for searches.
    chart: Option<Arc<Chart>>,
}

/// A rail as the search for contacts needs it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct RailLine {
    pub(crate) rail: Rail,
    /// Distance of the nose line from the opposite one, if the frame's origin lies there, else zero: the gap
    /// of a centre to the line is `offset − outward·p`.
    pub(crate) offset: f64,
    pub(crate) outward: Vec2,
    /// Stretches of nose along the rail, from the lower coordinate to the higher.
    pub(crate) noses: [(f64, f64); 2],
}

impl World {
    /// Puts a table and its conditions together.
    ///
    /// # Errors
    /// [`ShotError::OutOfRange`] or [`ShotError::NotFinite`] for conditions outside their ranges.
    pub fn new(table: Table, conditions: Conditions) -> Result<Self, ShotError> {
        conditions.check()?;
        Ok(Self::of(table, conditions))
    }

    /// The same of conditions known to lie in their ranges.
    fn of(table: Table, conditions: Conditions) -> Self {
        let spec = table.spec();
        let (length, width) = (spec.length_m, spec.width_m);
        let rails = Rail::ALL.map(|rail| RailLine {
            rail,
            offset: match rail {
                Rail::Head | Rail::Right => 0.0,
                Rail::Foot => length,
                Rail::Left => width,
            },
            outward: rail.outward(),
            noses: noses(&table, rail),
        });
        Self { table, conditions, rails, chart: None }
    }

    /// The table.
    pub fn table(&self) -> &Table {
        &self.table
    }

    /// The conditions.
    pub fn conditions(&self) -> &Conditions {
        &self.conditions
    }

    /// Distance from a nose line at which a ball of `radius_m` meets it, in metres.
    ///
    /// # Errors
    /// [`ShotError::OutOfRange`] where the nose would meet the ball below its middle or above 0.95 of its
    /// diameter.
    pub fn reach_m(&self, radius_m: f64) -> Result<f64, ShotError> {
        let height = self.conditions.cushion.height_m;
        crate::error::check("physics.cushion.height_m", height, radius_m, 1.9 * radius_m, "m")?;
        Ok(match self.conditions.cushion.contact {
            NoseContact::Nose => radius_m * self.nose_contact(radius_m).cos,
            NoseContact::Radius => radius_m,
        })
    }

    /// How far a ball of `radius_m` at `p` is from touching a rail, in metres; negative beyond.
    ///
    /// # Errors
    /// As [`Self::reach_m`].
    pub fn gap_m(&self, rail: Rail, p: Vec2, radius_m: f64) -> Result<f64, ShotError> {
        let spec = self.table.spec();
        let corner = match rail {
            Rail::Head | Rail::Right => Vec2::ZERO,
            Rail::Foot | Rail::Left => Vec2::new(spec.length_m, spec.width_m),
        };
        Ok((corner - p).dot(rail.outward()) - self.reach_m(radius_m)?)
    }

    /// The same world with rebounds of balls of `radius_m` read off a chart of the impulse model: each takes some hundredths of
    /// a microsecond, and is off by 3e-4 of the speed of approach in the median and by about 1e-2 at most (`tests/chart.rs`).
    /// For searches that play thousands of shots: to draw the chart takes as long as 70,000 rebounds. Where a chart
    /// has no use (models in closed form, rubber that balls climb, an integration that does not settle) the world stays as
    /// it is.
    ///
    /// # Errors
    /// [`ShotError::OutOfRange`] as [`Self::reach_m`].
    pub fn charted(self, radius_m: f64) -> Result<Self, ShotError> {
        self.reach_m(radius_m)?;
        let chart = Chart::new(&self.conditions.cushion, &self.nose_contact(radius_m)).ok().flatten();
        Ok(Self { chart: chart.map(Arc::new), ..self })
    }

    /// The motion after a rebound from a nose; see [`cushion::rebound`].
    #[inline]
    pub(crate) fn rebound(&self, contact: &Contact, before: &Motion) -> Result<Motion, Stall> {
        match &self.chart {
            Some(chart) if chart.is_of(contact) => Ok(chart.rebound(before)),
            _ => cushion::rebound(&self.conditions.cushion, contact, before),
        }
    }

    pub(crate) fn nose_contact(&self, radius_m: f64) -> Contact {
        Contact::new(self.conditions.cushion.height_m, radius_m, self.conditions.sliding_friction)
    }
}

/// Stretches of nose along `rail`, between the jaw points on it.
fn noses(table: &Table, rail: Rail) -> [(f64, f64); 2] {
    use PocketId::{FootLeft, FootRight, HeadLeft, HeadRight, SideLeft, SideRight};
    let along = |jaw: Vec2| if matches!(rail, Rail::Head | Rail::Foot) { jaw.y } else { jaw.x };
    // Corner pockets keep the jaw on the long rail first, side pockets the one nearer the head.
    let jaw = |id: PocketId, k: usize| along(table.pocket(id).jaws[k].point);
    // A short rail is one stretch; the second is empty.
    let none = (f64::INFINITY, f64::NEG_INFINITY);
    match rail {
        Rail::Head => [(jaw(HeadRight, 1), jaw(HeadLeft, 1)), none],
        Rail::Foot => [(jaw(FootRight, 1), jaw(FootLeft, 1)), none],
        Rail::Right => [(jaw(HeadRight, 0), jaw(SideRight, 0)), (jaw(SideRight, 1), jaw(FootRight, 0))],
        Rail::Left => [(jaw(HeadLeft, 0), jaw(SideLeft, 0)), (jaw(SideLeft, 1), jaw(FootLeft, 0))],
    }
}

impl Default for World {
    /// A 9-ft table under the default conditions.
    fn default() -> Self {
        // The defaults lie in their own ranges (tested).
        Self::of(Table::default(), Conditions::default())
    }
}
