//! The shape of a table: sizes, rails, pockets.
//!
//! Frame: x along the length from the head rail's nose (0) to the foot rail's, y across from the right
//! long rail's nose (0) to the left one's, seen from the head end; z up; metres.

mod pocket;
mod rail;
mod size;
mod spec;

pub use pocket::{Jaw, Pocket, PocketId};
pub use rail::Rail;
pub use size::{SIZES, Size};
pub use spec::TableSpec;

use crate::error::ShotError;

/// A table whose parts have been checked against each other, with its pockets worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    spec: TableSpec,
    pockets: [Pocket; 6],
}

impl Table {
    /// A table from its data.
    ///
    /// # Errors
    /// [`ShotError::OutOfRange`] for a field outside its range, [`ShotError::TableDoesNotFit`] where
    /// pockets would meet or a facing would miss its hole.
    pub fn new(spec: TableSpec) -> Result<Self, ShotError> {
        spec.check()?;
        let setback = |id| spec.mouth_m(id) * std::f64::consts::FRAC_1_SQRT_2;
        let corner = PocketId::ALL.into_iter().filter(|id| !id.is_side()).map(setback).fold(0.0, f64::max);
        let side = PocketId::ALL
            .into_iter()
            .filter(|id| id.is_side())
            .map(|id| spec.mouth_m(id))
            .fold(0.0, f64::max);
        if 2.0 * corner + side / 2.0 > spec.length_m / 2.0 || 3.0 * corner > spec.width_m {
            let reason = "the pocket mouths leave too little rail; make them narrower or the table larger";
            return Err(ShotError::TableDoesNotFit { reason: reason.to_owned() });
        }
        let pockets = PocketId::ALL.map(|id| Pocket::new(id, &spec));
        if let Some(pocket) = pockets.iter().find(|pocket| !pocket.facing_reaches_drop()) {
            let reason = format!(
                "the facings of pocket {} end outside its hole; enlarge its drop radius or narrow its mouth",
                pocket.id.name()
            );
            return Err(ShotError::TableDoesNotFit { reason });
        }
        Ok(Self { spec, pockets })
    }

    /// The data that it was made from.
    pub fn spec(&self) -> &TableSpec {
        &self.spec
    }

    /// The six pockets, in the order of [`PocketId::ALL`].
    pub fn pockets(&self) -> &[Pocket; 6] {
        &self.pockets
    }

    /// The pocket `id`.
    pub fn pocket(&self, id: PocketId) -> &Pocket {
        &self.pockets[id as usize]
    }
}

impl Default for Table {
    /// A 9-ft table with the WPA's pockets.
    fn default() -> Self {
        let spec = TableSpec::default();
        Self { spec, pockets: PocketId::ALL.map(|id| Pocket::new(id, &spec)) }
    }
}
