//! What a table card says about the shape of a table, with defaults and the ranges that make sense.

use super::{PocketId, Size};
use crate::error::{ShotError, check};

/// The shape of a table, as data. All lengths in metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TableSpec {
    /// Playing surface from head nose to foot nose; 1 to 4. Default 2.54 (9 ft).
    pub length_m: f64,
    /// Playing surface from right nose to left nose; 0.5 to 2. Default 1.27 (9 ft).
    pub width_m: f64,
    /// Corner pocket, jaw point to jaw point; 0.07 to 0.2. Default 0.1143 (4.5 in, WPA).
    pub corner_mouth_m: f64,
    /// Side pocket, jaw point to jaw point; 0.07 to 0.2. Default 0.127 (5 in, WPA).
    pub side_mouth_m: f64,
    /// Mouths of single pockets that differ from the two above, in the order of [`PocketId::ALL`]; 0.07 to 0.2.
    pub mouths_m: [Option<f64>; 6],
    /// From the middle of a corner's mouth line to the drop edge; 0 to 0.08. Default 0.028575
    /// (1⅛ in, within the 1 to 2¼ in of the WPA, the latter from memory).
    pub corner_shelf_m: f64,
    /// The same at a side pocket; 0 to 0.03. Default 0.0047625 (3/16 in, within the WPA's 0 to ⅜ in).
    pub side_shelf_m: f64,
    /// Angle inside the rubber between nose line and facing at a corner; 120 to 160°. Default 142 (WPA).
    pub corner_facing_deg: f64,
    /// The same at a side pocket; 90 to 130°. Default 104 (WPA).
    pub side_facing_deg: f64,
    /// Radius of a corner's drop edge; 0.03 to 0.15. Default 0.062: an assumption, no standard states it.
    pub corner_drop_radius_m: f64,
    /// The same at a side pocket; 0.03 to 0.15. Default 0.055: an assumption, no standard states it.
    pub side_drop_radius_m: f64,
}

impl Default for TableSpec {
    fn default() -> Self {
        Self {
            length_m: 2.54,
            width_m: 1.27,
            corner_mouth_m: 0.1143,
            side_mouth_m: 0.127,
            mouths_m: [None; 6],
            corner_shelf_m: 0.028_575,
            side_shelf_m: 0.004_762_5,
            corner_facing_deg: 142.0,
            side_facing_deg: 104.0,
            corner_drop_radius_m: 0.062,
            side_drop_radius_m: 0.055,
        }
    }
}

impl TableSpec {
    /// A table of a named size with the default pockets.
    pub fn of_size(size: Size) -> Self {
        Self { length_m: size.length_m, width_m: size.width_m, ..Self::default() }
    }

    /// Length of a diamond, in metres: an eighth of the length.
    pub fn diamond_m(&self) -> f64 {
        self.length_m / 8.0
    }

    /// Length of a diamond across the table, in metres: a quarter of the width.
    pub fn diamond_across_m(&self) -> f64 {
        self.width_m / 4.0
    }

    /// Where `along` 0..8 and `across` 0..4 diamonds lie, in metres from the head and right noses.
    pub fn from_diamonds(&self, along: f64, across: f64) -> (f64, f64) {
        (along * self.diamond_m(), across * self.diamond_across_m())
    }

    /// The other way round: diamonds along and across of a place in metres from the head and right noses.
    ///
    /// ```
    /// // A 9-ft bed is 100 by 50 in: the foot spot lies 75 in along and 25 in across, at 6 and 2 diamonds.
    /// let spec = longrail_physics::TableSpec::default();
    /// let (along, across) = spec.to_diamonds(75.0 * 0.0254, 25.0 * 0.0254);
    /// assert!((along - 6.0).abs() < 1e-12 && (across - 2.0).abs() < 1e-12);
    /// ```
    pub fn to_diamonds(&self, x_m: f64, y_m: f64) -> (f64, f64) {
        (x_m / self.diamond_m(), y_m / self.diamond_across_m())
    }

    /// Mouth of the pocket `id`, in metres.
    pub fn mouth_m(&self, id: PocketId) -> f64 {
        let usual = if id.is_side() { self.side_mouth_m } else { self.corner_mouth_m };
        self.mouths_m[id as usize].unwrap_or(usual)
    }

    /// Checks every field's range.
    ///
    /// # Errors
    /// [`ShotError::OutOfRange`] or [`ShotError::NotFinite`] with the first field that is wrong.
    pub fn check(&self) -> Result<(), ShotError> {
        check("table.length_m", self.length_m, 1.0, 4.0, "m")?;
        check("table.width_m", self.width_m, 0.5, 2.0, "m")?;
        check("table.corner_mouth_m", self.corner_mouth_m, 0.07, 0.2, "m")?;
        check("table.side_mouth_m", self.side_mouth_m, 0.07, 0.2, "m")?;
        for id in PocketId::ALL {
            check(&format!("table.pockets.{}.mouth_m", id.name()), self.mouth_m(id), 0.07, 0.2, "m")?;
        }
        check("table.corner_shelf_m", self.corner_shelf_m, 0.0, 0.08, "m")?;
        check("table.side_shelf_m", self.side_shelf_m, 0.0, 0.03, "m")?;
        check("table.corner_facing_deg", self.corner_facing_deg, 120.0, 160.0, "deg")?;
        check("table.side_facing_deg", self.side_facing_deg, 90.0, 130.0, "deg")?;
        check("table.corner_drop_radius_m", self.corner_drop_radius_m, 0.03, 0.15, "m")?;
        check("table.side_drop_radius_m", self.side_drop_radius_m, 0.03, 0.15, "m")
    }
}
