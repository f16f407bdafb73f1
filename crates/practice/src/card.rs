//! A table card.

use serde::{Deserialize, Serialize};

/// A table as it was measured.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Card {
    /// What the player calls it.
    pub name: String,
}
