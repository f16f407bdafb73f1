//! What this device keeps beside the events: who it is, who and which table are in use, and what was backed up.

use std::collections::{BTreeMap, BTreeSet};

use longrail_math::order;
use longrail_practice::clock::Stamp;
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use serde::{Deserialize, Serialize};
use wasm_bindgen::JsValue;

use super::database::Access;
use super::trouble::Trouble;

/// Its name in the database.
pub(super) const NAME: &str = "device";

/// This device.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(crate) struct Here {
    pub(crate) device: DeviceId,
    /// The greatest stamp that it wrote, and the number of its last event.
    pub(crate) clock: Stamp,
    pub(crate) sequence: u64,
    /// Who is at the device.
    #[serde(default)]
    pub(crate) using: Option<PlayerId>,
    /// The table in use, by player.
    #[serde(default)]
    pub(crate) tables: BTreeMap<PlayerId, EventId>,
    /// Who is on record.
    #[serde(default)]
    pub(crate) people: BTreeMap<PlayerId, Person>,
    /// Learners who joined the visit of whoever is at the device.
    #[serde(default)]
    pub(crate) joined: BTreeSet<PlayerId>,
    /// The block for which minutes were meant, and how many.
    #[serde(default)]
    pub(crate) planned: Option<(EventId, u32)>,
    /// Up to which place events were exported, and when, milliseconds since 1970.
    #[serde(default)]
    pub(crate) backed_up: u64,
    #[serde(default)]
    pub(crate) backed_up_ms: Option<u64>,
    /// The store at this address with which the record is shared, up to which place it was sent there, and up to which of its
    /// own places it was read, by player.
    #[serde(default)]
    pub(crate) store: String,
    #[serde(default)]
    pub(crate) sent: u64,
    #[serde(default)]
    pub(crate) cursors: BTreeMap<PlayerId, u64>,
}

/// Somebody on record.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(crate) struct Person {
    pub(crate) name: String,
    /// Whether a set is open.
    #[serde(default)]
    pub(crate) scoring: bool,
    /// The record was erased.
    #[serde(default)]
    pub(crate) erased: bool,
}

impl Here {
    /// As it is kept; a new device gets its name here.
    pub(crate) async fn read(access: &Access) -> Result<Self, Trouble> {
        Self::of(access.here(NAME)?.await?)
    }

    /// What is kept under [`NAME`].
    pub(crate) fn of(value: Option<JsValue>) -> Result<Self, Trouble> {
        match value.and_then(|value| value.as_string()) {
            Some(text) => serde_json::from_str(&text).map_err(|error| {
                Trouble::Storage(format!("what is known of this device is damaged: {error}"))
            }),
            None => Ok(Self {
                device: DeviceId::from_bits(super::book::random()?),
                clock: Stamp::default(),
                sequence: 0,
                using: None,
                tables: BTreeMap::new(),
                people: BTreeMap::new(),
                joined: BTreeSet::new(),
                planned: None,
                backed_up: 0,
                backed_up_ms: None,
                store: String::new(),
                sent: 0,
                cursors: BTreeMap::new(),
            }),
        }
    }

    /// Written with the transaction.
    pub(crate) fn keep(&self, access: &Access) -> Result<(), Trouble> {
        let text = serde_json::to_string(self).map_err(|error| Trouble::Storage(error.to_string()))?;
        access.put_here(NAME, &text)
    }

    /// A player's record was erased: nothing of it is in use any more.
    pub(crate) fn forget(&mut self, player: PlayerId) {
        self.tables.remove(&player);
        self.joined.remove(&player);
        if self.using == Some(player) {
            self.using = self.players().first().map(|(player, _)| *player);
        }
    }

    /// Everyone on record, by name.
    pub(crate) fn players(&self) -> Vec<(PlayerId, &Person)> {
        let mut players: Vec<_> = self
            .people
            .iter()
            .filter(|(_, person)| !person.erased)
            .map(|(id, person)| (*id, person))
            .collect();
        order::sort_by(&mut players, |a, b| a.1.name.cmp(&b.1.name));
        players
    }
}
