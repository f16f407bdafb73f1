//! Pockets, rails and the cue ball by name, as in the JSON contract of shots.

use longrail_physics::ball::CUE;

/// The cue ball's name.
pub(super) fn cue() -> String {
    CUE.to_owned()
}

/// A pocket that may be left out.
pub(super) mod some_pocket {
    use longrail_physics::table::PocketId;
    use serde::{Deserialize, Deserializer, Serializer};

    #[allow(clippy::ref_option, clippy::trivially_copy_pass_by_ref)] // serde calls it so
    pub(in super::super) fn serialize<S: Serializer>(
        pocket: &Option<PocketId>,
        serializer: S,
    ) -> Result<S::Ok, S::Error> {
        match pocket {
            Some(pocket) => serializer.serialize_str(pocket.name()),
            None => serializer.serialize_none(),
        }
    }

    pub(in super::super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Option<PocketId>, D::Error> {
        let Some(name) = Option::<String>::deserialize(deserializer)? else { return Ok(None) };
        let known = || PocketId::ALL.map(PocketId::name).join(", ");
        PocketId::named(&name)
            .map(Some)
            .ok_or_else(|| serde::de::Error::custom(format!("no pocket {name:?}; there are {}", known())))
    }
}

/// A rail.
pub(super) mod rail {
    use longrail_physics::table::Rail;
    use serde::{Deserialize, Deserializer, Serializer};

    #[allow(clippy::trivially_copy_pass_by_ref)] // serde calls it so
    pub(in super::super) fn serialize<S: Serializer>(rail: &Rail, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(rail.name())
    }

    pub(in super::super) fn deserialize<'de, D: Deserializer<'de>>(
        deserializer: D,
    ) -> Result<Rail, D::Error> {
        let name = String::deserialize(deserializer)?;
        let known = || Rail::ALL.map(Rail::name).join(", ");
        Rail::ALL
            .into_iter()
            .find(|rail| rail.name() == name)
            .ok_or_else(|| serde::de::Error::custom(format!("no rail {name:?}; there are {}", known())))
    }
}
