//! A player's profile.

use serde::{Deserialize, Serialize};

/// Who plays, under a name or a pseudonym.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Profile {
    /// Name or pseudonym.
    pub name: String,
}
