//! The four rails.

use longrail_math::Vec2;

/// A rail, named as seen from the head end looking to the foot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rail {
    /// Behind the breaker: x = 0.
    Head,
    /// At the far end: x = length.
    Foot,
    /// The long rail y = 0.
    Right,
    /// The long rail y = width.
    Left,
}

impl Rail {
    /// All four, in the order of the engine's tables.
    pub const ALL: [Self; 4] = [Self::Head, Self::Foot, Self::Right, Self::Left];

    /// Name in the JSON contract.
    pub fn name(self) -> &'static str {
        match self {
            Self::Head => "head",
            Self::Foot => "foot",
            Self::Right => "right",
            Self::Left => "left",
        }
    }

    /// Unit vector from the bed into the rubber.
    #[inline]
    pub fn outward(self) -> Vec2 {
        match self {
            Self::Head => Vec2::new(-1.0, 0.0),
            Self::Foot => Vec2::new(1.0, 0.0),
            Self::Right => Vec2::new(0.0, -1.0),
            Self::Left => Vec2::new(0.0, 1.0),
        }
    }
}
