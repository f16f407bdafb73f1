//! The mouth of a pocket: from jaw point to jaw point at the height of the noses.
//!
//! Without a ruler, balls will do. Set two balls side by side between the jaw points, each touching the other, one touching
//! its jaw; what is left to the other jaw at the height of the nose is filled with coins or cards and these are measured.
//! Where two do not go in, one is set against a jaw and the room beside it measured.

use longrail_physics::ball::RADIUS_M;
use longrail_physics::table::PocketId;
use serde::{Deserialize, Serialize};

use super::CardError;
use crate::field::number;
use crate::measure::decimals;

/// Mouths that the engine takes, in metres.
const MOUTH: (f64, f64) = (0.07, 0.2);

/// How wide a mouth is, and how that is known.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Mouth {
    /// By a ruler: jaw point to jaw point, in metres; 0.07 to 0.2.
    Width(f64),
    /// By balls set side by side.
    Fit {
        /// Balls; 1 or 2.
        balls: u32,
        /// What is left beside them at the height of the nose, in millimetres; 0 to 100.
        room_mm: f64,
    },
}

impl Mouth {
    /// As people write it: "114" for a width, "2+3.5" for two balls and the room beside them. Lengths are in units of
    /// `unit_mm` millimetres: 1, or 25.4 for inches. Nothing for any other text.
    ///
    /// ```
    /// use longrail_practice::card::Mouth;
    /// assert_eq!(Mouth::read("4.5", 25.4), Some(Mouth::Width(0.1143)));
    /// assert_eq!(Mouth::read("2+3.5", 1.0), Some(Mouth::Fit { balls: 2, room_mm: 3.5 }));
    /// assert_eq!(Mouth::read("wide", 1.0), None);
    /// ```
    pub fn read(text: &str, unit_mm: f64) -> Option<Self> {
        let mm = |text: &str| {
            let read: f64 = text.trim().parse().ok()?;
            read.is_finite().then_some(read * unit_mm)
        };
        match text.split_once('+') {
            Some((balls, room)) => Some(Self::Fit { balls: balls.trim().parse().ok()?, room_mm: mm(room)? }),
            None => Some(Self::Width(1e-3 * mm(text)?)),
        }
    }

    /// What [`Self::read`] takes, to a hundredth of a millimetre.
    pub fn text(self, unit_mm: f64) -> String {
        let length = |mm: f64| decimals(mm / unit_mm, if unit_mm > 10.0 { 4 } else { 2 });
        match self {
            Self::Width(width) => length(1e3 * width),
            Self::Fit { balls, room_mm } => format!("{balls}+{}", length(room_mm)),
        }
    }
    /// The width in metres, where the noses are `nose_m` above the bed.
    ///
    /// A nose meets a ball of radius R above its middle, so that on each side only r = √(R² − (h − R)²) counts instead of R:
    /// n balls and their room take 2 r + 2 (n − 1) R + room. For a nose at 63.5 % of the diameter 2 r is 2.1 mm less than the
    /// ball's width, and two balls that just go in mean 112.2 mm.
    fn metres(self, pocket: &str, nose_m: f64) -> Result<f64, CardError> {
        let width = match self {
            Self::Width(width) => width,
            Self::Fit { balls, room_mm } => {
                number(&format!("mouths.{pocket}.fit.balls"), f64::from(balls), (1.0, 2.0), "balls")?;
                number(&format!("mouths.{pocket}.fit.room_mm"), room_mm, (0.0, 100.0), "mm")?;
                let above = nose_m - RADIUS_M;
                let reach = (RADIUS_M * RADIUS_M - above * above).max(0.0).sqrt();
                2.0 * reach + 2.0 * RADIUS_M * f64::from(balls - 1) + 1e-3 * room_mm
            }
        };
        number(&format!("mouths.{pocket}"), width, MOUTH, "m from jaw to jaw")?;
        Ok(width)
    }
}

/// The mouths of the six pockets, named as seen from the head end looking to the foot.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields, default)]
pub struct Mouths {
    /// Head corner on the left.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub head_left: Option<Mouth>,
    /// Head corner on the right.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub head_right: Option<Mouth>,
    /// Side pocket on the left.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side_left: Option<Mouth>,
    /// Side pocket on the right.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side_right: Option<Mouth>,
    /// Foot corner on the left.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub foot_left: Option<Mouth>,
    /// Foot corner on the right.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub foot_right: Option<Mouth>,
}

impl Mouths {
    /// The same measurement for all corners and for both sides, as far as given.
    pub fn alike(corners: Option<Mouth>, sides: Option<Mouth>) -> Self {
        Self {
            head_left: corners,
            head_right: corners,
            side_left: sides,
            side_right: sides,
            foot_left: corners,
            foot_right: corners,
        }
    }

    /// Takes over what only `other` has.
    pub(super) fn fill(&mut self, other: &Self) {
        for id in PocketId::ALL {
            let own = self.get(id);
            *self.get_mut(id) = own.or(other.get(id));
        }
    }

    /// The mouth of one pocket, if measured.
    pub fn get(&self, pocket: PocketId) -> Option<Mouth> {
        match pocket {
            PocketId::HeadLeft => self.head_left,
            PocketId::HeadRight => self.head_right,
            PocketId::SideLeft => self.side_left,
            PocketId::SideRight => self.side_right,
            PocketId::FootLeft => self.foot_left,
            PocketId::FootRight => self.foot_right,
        }
    }

    /// The mouth of the pocket of this name, to change it; none if there is no such pocket.
    pub fn named_mut(&mut self, name: &str) -> Option<&mut Option<Mouth>> {
        PocketId::ALL.into_iter().find(|id| id.name() == name).map(|id| self.get_mut(id))
    }

    fn get_mut(&mut self, pocket: PocketId) -> &mut Option<Mouth> {
        match pocket {
            PocketId::HeadLeft => &mut self.head_left,
            PocketId::HeadRight => &mut self.head_right,
            PocketId::SideLeft => &mut self.side_left,
            PocketId::SideRight => &mut self.side_right,
            PocketId::FootLeft => &mut self.foot_left,
            PocketId::FootRight => &mut self.foot_right,
        }
    }

    /// Takes what was measured in `newer`, and keeps the rest.
    pub fn update(&mut self, newer: &Self) {
        for id in PocketId::ALL {
            if let Some(mouth) = newer.get(id) {
                *self.get_mut(id) = Some(mouth);
            }
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Widths in metres in the order of [`PocketId::ALL`].
    pub(super) fn metres(&self, nose_m: f64) -> Result<[Option<f64>; 6], CardError> {
        let mut widths = [None; 6];
        for (width, id) in widths.iter_mut().zip(PocketId::ALL) {
            *width = self.get(id).map(|mouth| mouth.metres(id.name(), nose_m)).transpose()?;
        }
        Ok(widths)
    }
}
