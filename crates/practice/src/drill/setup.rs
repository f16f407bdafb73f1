//! The same layout at an equivalent corner, where a wall is in the way or a spot is worn.

use longrail_physics::table::{PocketId, Rail};
use longrail_stroke::Goal;
use longrail_stroke::constraint::Constraint;
use longrail_stroke::goal::{Wish, Zone};
use serde::{Deserialize, Serialize};

use super::Place;
use super::place::is_long;

/// How a layout is set up. Each is its own line of evidence.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Setup {
    /// As the drill says.
    #[default]
    Given,
    /// Turned by half a turn: a cut to the left stays one.
    Turned,
    /// Mirrored from left to right: a cut to the left becomes one to the right.
    Mirrored,
    /// Both: mirrored from head to foot.
    TurnedMirrored,
}

impl Setup {
    /// Turned or not, mirrored or not.
    pub const fn of(turned: bool, mirrored: bool) -> Self {
        match (turned, mirrored) {
            (false, false) => Self::Given,
            (true, false) => Self::Turned,
            (false, true) => Self::Mirrored,
            (true, true) => Self::TurnedMirrored,
        }
    }

    /// All four.
    pub const ALL: [Self; 4] = [Self::Given, Self::Turned, Self::Mirrored, Self::TurnedMirrored];

    /// Whether head and foot change places, and left and right.
    fn swaps(self) -> (bool, bool) {
        (matches!(self, Self::Turned | Self::TurnedMirrored), matches!(self, Self::Turned | Self::Mirrored))
    }

    /// A place.
    #[must_use]
    pub fn place(self, place: Place) -> Place {
        match place {
            Place::At { along, across } => {
                let [along, across] = self.point([along, across]);
                Place::At { along, across }
            }
            Place::Frozen { rail, at } => {
                let [along, across] = self.point([at, at]);
                Place::Frozen { rail: self.rail(rail), at: if is_long(rail) { along } else { across } }
            }
        }
    }

    /// A goal: its pockets, rails and zones.
    #[must_use]
    pub fn goal(self, goal: &Goal) -> Goal {
        let wishes = goal.wishes.iter().map(|wish| self.wish(wish)).collect();
        Goal { wishes, ..goal.clone() }
    }

    /// A constraint: a blocker lies where the layout goes.
    #[must_use]
    pub fn constraint(self, constraint: &Constraint) -> Constraint {
        match *constraint {
            Constraint::Blocker { along, across } => {
                let [along, across] = self.point([along, across]);
                Constraint::Blocker { along, across }
            }
            _ => constraint.clone(),
        }
    }

    fn wish(self, wish: &Wish) -> Wish {
        let mut wish = wish.clone();
        match &mut wish {
            Wish::Pot { pocket, .. } => *pocket = pocket.map(|pocket| self.pocket(pocket)),
            Wish::Touch { rail } | Wish::AvoidRail { rail } | Wish::Lag { rail, .. } => {
                *rail = self.rail(*rail);
            }
            Wish::Pass { zone } | Wish::Stop { zone } => *zone = self.zone(zone),
            Wish::First { .. }
            | Wish::Full { .. }
            | Wish::Rails { .. }
            | Wish::AvoidBall { .. }
            | Wish::StopNear { .. }
            | Wish::Hide { .. }
            | Wish::Break { .. } => {}
        }
        wish
    }

    fn zone(self, zone: &Zone) -> Zone {
        match zone {
            Zone::Circle { along, across, radius } => {
                let [along, across] = self.point([*along, *across]);
                Zone::Circle { along, across, radius: *radius }
            }
            Zone::Polygon { corners } => {
                Zone::Polygon { corners: corners.iter().map(|&corner| self.point(corner)).collect() }
            }
        }
    }

    fn point(self, [along, across]: [f64; 2]) -> [f64; 2] {
        let (ends, sides) = self.swaps();
        [if ends { 8.0 - along } else { along }, if sides { 4.0 - across } else { across }]
    }

    fn rail(self, rail: Rail) -> Rail {
        let (ends, sides) = self.swaps();
        match rail {
            Rail::Head if ends => Rail::Foot,
            Rail::Foot if ends => Rail::Head,
            Rail::Left if sides => Rail::Right,
            Rail::Right if sides => Rail::Left,
            same => same,
        }
    }

    fn pocket(self, pocket: PocketId) -> PocketId {
        let (ends, sides) = self.swaps();
        let pocket = match pocket {
            PocketId::HeadLeft if ends => PocketId::FootLeft,
            PocketId::HeadRight if ends => PocketId::FootRight,
            PocketId::FootLeft if ends => PocketId::HeadLeft,
            PocketId::FootRight if ends => PocketId::HeadRight,
            same => same,
        };
        match pocket {
            PocketId::HeadLeft if sides => PocketId::HeadRight,
            PocketId::HeadRight if sides => PocketId::HeadLeft,
            PocketId::SideLeft if sides => PocketId::SideRight,
            PocketId::SideRight if sides => PocketId::SideLeft,
            PocketId::FootLeft if sides => PocketId::FootRight,
            PocketId::FootRight if sides => PocketId::FootLeft,
            same => same,
        }
    }
}
