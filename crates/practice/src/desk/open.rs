//! What is open in a record.

use crate::event::BlockBegan;
use crate::id::EventId;
use crate::state::{Session, Set, State};

impl State {
    /// The visit that is open: the latest that began and did not end.
    pub fn open_session(&self) -> Option<(EventId, &Session)> {
        let open =
            self.sessions.iter().filter(|(_, session)| session.began.is_some() && session.ended.is_none());
        open.map(|(id, session)| (*id, session)).next_back()
    }

    /// The block of a visit that is open.
    pub fn open_block(&self, session: EventId) -> Option<(EventId, &BlockBegan)> {
        let blocks = &self.sessions.get(&session)?.blocks;
        let last = blocks.last()?;
        let block = self.blocks.get(last).filter(|block| !block.ended)?;
        block.began.as_ref().map(|(_, began)| (*last, began))
    }

    /// The set of a block that is open.
    pub fn open_set(&self, block: EventId) -> Option<(EventId, &Set)> {
        let open = self.sets.iter().rev().find(|(_, set)| {
            set.ended.is_none() && set.began.as_ref().is_some_and(|(_, began)| began.block == block)
        });
        open.map(|(id, set)| (*id, set.as_ref()))
    }

    /// The set that is open now.
    pub fn set_now(&self) -> Option<(EventId, &Set)> {
        let (session, _) = self.open_session()?;
        let (block, _) = self.open_block(session)?;
        self.open_set(block)
    }
}
