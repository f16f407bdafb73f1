//! The six pockets: jaw points, facings, drop edge.
//!
//! A pocket is described from its mouth line, the segment between its two jaw points, which are where
//! the nose lines of the rails end. Its axis points from the middle of the mouth away from the bed.
//! * Corner: each jaw point lies mouth/√2 along its rail from the corner of the nose rectangle.
//! * Side: each jaw point lies half a mouth along the rail from the middle of the table.
//! * Facings start at the jaw points and turn away from the nose line by the facing angle measured inside
//!   the rubber, so they converge towards the axis by 45° − (180° − angle) at a corner and by
//!   90° − (180° − angle) at a side pocket (7° and 14° with the WPA's 142° and 104°).
//! * Drop edge: a circle whose nearest point to the mouth lies on the axis, a shelf behind the mouth line.
//!   A ball is captured when its centre enters that circle.

use longrail_math::{Vec2, fx};

use super::TableSpec;

/// A pocket, named as seen from the head end looking to the foot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PocketId {
    /// Corner at x = 0, y = width.
    HeadLeft,
    /// Corner at x = 0, y = 0.
    HeadRight,
    /// Side pocket in the left rail.
    SideLeft,
    /// Side pocket in the right rail.
    SideRight,
    /// Corner at x = length, y = width.
    FootLeft,
    /// Corner at x = length, y = 0.
    FootRight,
}

impl PocketId {
    /// All six, in the order of the engine's tables.
    pub const ALL: [Self; 6] =
        [Self::HeadLeft, Self::HeadRight, Self::SideLeft, Self::SideRight, Self::FootLeft, Self::FootRight];

    /// Name in the JSON contract.
    pub fn name(self) -> &'static str {
        match self {
            Self::HeadLeft => "head-left",
            Self::HeadRight => "head-right",
            Self::SideLeft => "side-left",
            Self::SideRight => "side-right",
            Self::FootLeft => "foot-left",
            Self::FootRight => "foot-right",
        }
    }

    /// The pocket called `name`, or `None`.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|pocket| pocket.name() == name)
    }

    /// Whether it is a side pocket.
    pub fn is_side(self) -> bool {
        matches!(self, Self::SideLeft | Self::SideRight)
    }
}

/// One jaw: the point where the nose ends, and the facing behind it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Jaw {
    /// The jaw point, in metres.
    pub point: Vec2,
    /// Unit vector along the facing, from the jaw point into the pocket.
    pub along: Vec2,
    /// Unit vector from the facing to where balls pass.
    pub inward: Vec2,
}

/// The shape of one pocket, in the frame of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pocket {
    /// Which it is.
    pub id: PocketId,
    /// Width of the mouth from jaw point to jaw point, in metres.
    pub width: f64,
    /// Middle of the mouth line, in metres.
    pub mouth: Vec2,
    /// Unit vector from the bed into the pocket.
    pub axis: Vec2,
    /// The two jaws.
    pub jaws: [Jaw; 2],
    /// Centre of the drop circle, in metres.
    pub drop_centre: Vec2,
    /// Radius of the drop circle, in metres.
    pub drop_radius: f64,
}

impl Pocket {
    /// The pocket `id` of a table.
    pub fn new(id: PocketId, spec: &TableSpec) -> Self {
        let (length, width) = (spec.length_m, spec.width_m);
        if id.is_side() {
            let left = id == PocketId::SideLeft;
            let axis = Vec2::new(0.0, if left { 1.0 } else { -1.0 });
            let mouth = Vec2::new(length / 2.0, if left { width } else { 0.0 });
            let half = spec.mouth_m(id) / 2.0;
            let jaw = |away: f64| {
                let nose = Vec2::new(away, 0.0);
                Jaw::new(mouth + nose * half, nose, axis, spec.side_facing_deg)
            };
            return Self::assemble(
                id,
                mouth,
                axis,
                [jaw(-1.0), jaw(1.0)],
                spec.side_shelf_m,
                spec.side_drop_radius_m,
            );
        }
        let at_foot = matches!(id, PocketId::FootLeft | PocketId::FootRight);
        let at_left = matches!(id, PocketId::FootLeft | PocketId::HeadLeft);
        let corner = Vec2::new(if at_foot { length } else { 0.0 }, if at_left { width } else { 0.0 });
        // From the corner along the long rail, and along the short one, both towards the bed.
        let along_long = Vec2::new(if at_foot { -1.0 } else { 1.0 }, 0.0);
        let along_short = Vec2::new(0.0, if at_left { -1.0 } else { 1.0 });
        let setback = spec.mouth_m(id) * std::f64::consts::FRAC_1_SQRT_2;
        let axis = (along_long + along_short) * -std::f64::consts::FRAC_1_SQRT_2;
        let mouth = corner + (along_long + along_short) * (setback / 2.0);
        let jaws = [
            Jaw::new(corner + along_long * setback, along_long, -along_short, spec.corner_facing_deg),
            Jaw::new(corner + along_short * setback, along_short, -along_long, spec.corner_facing_deg),
        ];
        Self::assemble(id, mouth, axis, jaws, spec.corner_shelf_m, spec.corner_drop_radius_m)
    }

    fn assemble(id: PocketId, mouth: Vec2, axis: Vec2, jaws: [Jaw; 2], shelf: f64, drop_radius: f64) -> Self {
        let width = (jaws[0].point - jaws[1].point).norm();
        Self { id, width, mouth, axis, jaws, drop_centre: mouth + axis * (shelf + drop_radius), drop_radius }
    }

    /// Depth at which a facing passes under the drop edge, in metres behind the mouth line; `None` if it
    /// never does, so that a ball could roll behind the hole.
    pub(crate) fn facing_reaches_drop(&self) -> bool {
        self.jaws.iter().all(|jaw| {
            let to_centre = self.drop_centre - jaw.point;
            to_centre.cross(jaw.along).abs() < self.drop_radius
        })
    }
}

impl Jaw {
    /// A jaw at `point`; `nose` runs from it along the nose line, `outward` from the bed into the rubber.
    fn new(point: Vec2, nose: Vec2, outward: Vec2, facing_deg: f64) -> Self {
        let (sin, cos) = fx::sin_cos(facing_deg.to_radians());
        let along = nose * cos + outward * sin;
        // Of the two normals, the one away from the rubber, which lies on the side of the nose line.
        let left = along.turned_left();
        let inward = if left.dot(nose) < 0.0 { left } else { -left };
        Self { point, along, inward }
    }
}
