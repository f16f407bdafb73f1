//! Chances on a lattice of positions, and the part of the table that each stands for.

use longrail_math::Vec2;
use longrail_physics::TableSpec;

/// What is known of one position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Place {
    /// The chance from here, 0 to 1.
    Chance(f64),
    /// No hit makes it from here.
    NoHit,
    /// The ball cannot lie here.
    NoRoom,
    /// Nothing was computed here.
    Unknown,
}

impl Place {
    /// The chance, 0 where no hit makes it; `None` where the ball cannot lie or nothing was computed.
    pub fn chance(self) -> Option<f64> {
        match self {
            Self::Chance(chance) if chance.is_finite() => Some(chance.clamp(0.0, 1.0)),
            Self::NoHit => Some(0.0),
            Self::Chance(_) | Self::NoRoom | Self::Unknown => None,
        }
    }
}

/// Chances at evenly spaced positions of one ball, rails included.
#[derive(Clone, Debug, PartialEq)]
pub struct OddsField {
    /// Positions along the table, at least 2; the first and the last mean frozen to a rail.
    pub along: usize,
    /// Positions across it, likewise.
    pub across: usize,
    /// The places, across by across: `places[across * along_count + along]`. What is missing has no room.
    pub places: Vec<Place>,
    /// Distance of a ball's centre from the nose when it is frozen to the rail, in metres.
    pub reach_m: f64,
}

impl OddsField {
    /// The place at these indices.
    pub fn place(&self, along: usize, across: usize) -> Place {
        if along >= self.along || across >= self.across {
            return Place::NoRoom;
        }
        self.places.get(across * self.along + along).copied().unwrap_or(Place::NoRoom)
    }

    /// Where the ball lies at these indices, in metres.
    pub fn position(&self, spec: &TableSpec, along: usize, across: usize) -> Vec2 {
        let reach = if self.reach_m.is_finite() { self.reach_m.max(0.0) } else { 0.0 };
        let kept = |share: f64, end: f64| (share * end).max(reach).min(end - reach);
        let x = kept(share(along, self.along), spec.length_m);
        Vec2::new(x, kept(share(across, self.across), spec.width_m))
    }

    /// The part of the bed that is nearer to this position than to any other: two opposite corners, in metres.
    pub fn cell(&self, spec: &TableSpec, along: usize, across: usize) -> (Vec2, Vec2) {
        let (x0, x1) = halves(along, self.along);
        let (y0, y1) = halves(across, self.across);
        let at = |x: f64, y: f64| Vec2::new(x * spec.length_m, y * spec.width_m);
        (at(x0, y0), at(x1, y1))
    }

    /// How many positions have room for the ball, and from how many of them the chance is `target` or more.
    pub fn count(&self, target: f64) -> (usize, usize) {
        let chances = (0..self.across)
            .flat_map(|across| (0..self.along).map(move |along| (along, across)))
            .filter_map(|(along, across)| self.place(along, across).chance());
        chances.fold((0, 0), |(all, above), chance| (all + 1, above + usize::from(chance >= target)))
    }
}

/// Small whole numbers.
#[allow(clippy::cast_precision_loss)]
fn share(index: usize, count: usize) -> f64 {
    index as f64 / count.saturating_sub(1).max(1) as f64
}

/// Half a step to either side, within the bed.
#[allow(clippy::cast_precision_loss)]
fn halves(index: usize, count: usize) -> (f64, f64) {
    let half = 0.5 / count.saturating_sub(1).max(1) as f64;
    let middle = share(index, count);
    ((middle - half).max(0.0), (middle + half).min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quarters() -> OddsField {
        OddsField { along: 33, across: 17, places: vec![Place::Chance(0.6); 33 * 17], reach_m: 0.028_575 }
    }

    #[test]
    fn a_cell_reaches_an_eighth_of_a_diamond_to_each_side_and_not_into_the_rubber() {
        // 9 ft: a diamond is 2540 / 8 = 317.5 mm, an eighth of it 39.6875 mm.
        let (spec, field) = (TableSpec::default(), quarters());
        let (a, b) = field.cell(&spec, 4, 8);
        let near = |p: Vec2, x: f64, y: f64| (p - Vec2::new(x, y)).norm() < 1e-12;
        assert!(near(a, 0.317_5 - 0.039_687_5, 0.635 - 0.039_687_5), "{a:?}");
        assert!(near(b, 0.317_5 + 0.039_687_5, 0.635 + 0.039_687_5), "{b:?}");
        let (a, b) = field.cell(&spec, 0, 16);
        assert!(near(a, 0.0, 1.27 - 0.039_687_5) && near(b, 0.039_687_5, 1.27));
    }

    #[test]
    fn the_cells_cover_the_bed_once() {
        let (spec, field) = (TableSpec::default(), quarters());
        let area: f64 = (0..17)
            .flat_map(|j| (0..33).map(move |i| (i, j)))
            .map(|(i, j)| {
                let (a, b) = field.cell(&spec, i, j);
                (b.x - a.x) * (b.y - a.y)
            })
            .sum();
        assert!((area - 2.54 * 1.27).abs() < 1e-9, "{area}");
    }

    #[test]
    fn on_the_rim_the_ball_is_frozen_to_the_rail() {
        let at = quarters().position(&TableSpec::default(), 32, 0);
        assert!((at - Vec2::new(2.54 - 0.028_575, 0.028_575)).norm() < 1e-12);
    }

    #[test]
    fn places_without_room_are_not_counted_and_places_without_a_hit_are() {
        let mut field = quarters();
        field.places[0] = Place::NoRoom;
        field.places[1] = Place::NoHit;
        field.places[2] = Place::Chance(f64::NAN);
        field.places[3] = Place::Chance(0.5);
        field.places.pop();
        assert_eq!(field.count(0.5), (561 - 3, 561 - 4));
    }
}
