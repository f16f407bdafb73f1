//! A map whose keys are no text, as a list of pairs.

use serde::de::{Deserialize, DeserializeOwned, Deserializer};
use serde::ser::{Serialize, Serializer};
use std::collections::BTreeMap;

pub(super) fn serialize<K: Serialize, V: Serialize, S: Serializer>(
    map: &BTreeMap<K, V>,
    serializer: S,
) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(map)
}

pub(super) fn deserialize<'de, K: DeserializeOwned + Ord, V: DeserializeOwned, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<BTreeMap<K, V>, D::Error> {
    Vec::<(K, V)>::deserialize(deserializer).map(|pairs| pairs.into_iter().collect())
}
