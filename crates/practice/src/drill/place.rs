//! Where a ball lies: in diamonds, or frozen to a rail.

use longrail_physics::World;
use longrail_physics::table::Rail;
use serde::{Deserialize, Serialize};

/// The place of a ball. `along` 0 to 8 diamonds from the head rail, `across` 0 to 4 from the right long rail as seen from the
/// head end.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Place {
    /// Its centre, in diamonds.
    At {
        /// Along the table.
        along: f64,
        /// Across it.
        across: f64,
    },
    /// It touches a rail.
    Frozen {
        /// Which rail.
        #[serde(with = "name")]
        rail: Rail,
        /// Its other coordinate: along for a long rail, across for a short one.
        at: f64,
    },
}

/// A way from rung to rung, in diamonds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// Along the table, positive towards the foot rail.
    pub along: f64,
    /// Across it, positive towards the left rail.
    pub across: f64,
}

impl Place {
    /// The same after `times` steps; a frozen ball stays on its rail.
    #[must_use]
    pub fn moved(self, step: Step, times: f64) -> Self {
        match self {
            Self::At { along, across } => {
                Self::At { along: along + times * step.along, across: across + times * step.across }
            }
            Self::Frozen { rail, at } => {
                let way = if is_long(rail) { step.along } else { step.across };
                Self::Frozen { rail, at: at + times * way }
            }
        }
    }

    /// Where the centre of a ball lies on a table, in metres along and across: `reach_m` from the nose where it is frozen.
    pub(super) fn on(self, world: &World, reach_m: f64) -> (f64, f64) {
        let spec = world.table().spec();
        match self {
            Self::At { along, across } => spec.from_diamonds(along, across),
            Self::Frozen { rail, at } => match rail {
                Rail::Head => (reach_m, at * spec.diamond_across_m()),
                Rail::Foot => (spec.length_m - reach_m, at * spec.diamond_across_m()),
                Rail::Right => (at * spec.diamond_m(), reach_m),
                Rail::Left => (at * spec.diamond_m(), spec.width_m - reach_m),
            },
        }
    }
}

/// A rail by its name.
mod name {
    use longrail_physics::table::Rail;
    use serde::de::Error as _;
    use serde::{Deserialize, Deserializer, Serializer};

    #[allow(clippy::trivially_copy_pass_by_ref)] // serde calls it so
    pub(super) fn serialize<S: Serializer>(rail: &Rail, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(rail.name())
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Rail, D::Error> {
        let name = String::deserialize(deserializer)?;
        Rail::ALL.into_iter().find(|rail| rail.name() == name).ok_or_else(|| D::Error::custom("no such rail"))
    }
}

/// Whether a rail runs along the table.
pub(super) fn is_long(rail: Rail) -> bool {
    matches!(rail, Rail::Left | Rail::Right)
}
