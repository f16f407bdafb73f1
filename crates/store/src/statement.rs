//! What statements share, whatever engine they are for.

use crate::StoreError;

/// Where a failure happened, for its message.
#[derive(Clone, Copy)]
pub(crate) struct At<'a>(pub(crate) &'a str);

impl At<'_> {
    // By value, as `map_err` hands it over.
    pub(crate) fn told(self, error: sqlx::Error) -> StoreError {
        StoreError::of(self.0, error)
    }
}

/// What an event that was put in turned out to be.
pub(crate) enum Put {
    New,
    Known,
    Conflict,
}
