//! Who writes, on which device, and in what order.

use crate::clock::{Ahead, Clock, Stamp};
use crate::event::{Event, Head, Payload, Wall};
use crate::id::{DeviceId, EventId, PlayerId};

/// A moment, as the host that calls sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Now {
    /// The device's clock, milliseconds since 1970 UTC: what events are ordered by.
    pub clock_ms: u64,
    /// What events are dated with: the same moment with its offset, unless somebody enters what was shot earlier.
    pub wall: Wall,
}

/// The writer of one device's events.
#[derive(Clone, Copy, Debug)]
pub struct Writer {
    device: DeviceId,
    author: PlayerId,
    clock: Clock,
    sequence: u64,
}

impl Writer {
    /// Goes on behind what this device wrote last.
    pub const fn resume(device: DeviceId, author: PlayerId, last: Stamp, sequence: u64) -> Self {
        Self { device, author, clock: Clock::after(last), sequence }
    }

    /// Another device's event was seen: what is written from now on stands behind it.
    ///
    /// # Errors
    /// If its clock is more than a day ahead of this one's: it is not followed, and one of the two is wrong.
    pub fn witness(&mut self, seen: Stamp, now: Now) -> Result<(), Ahead> {
        self.clock.witness(seen, now.clock_ms)
    }

    /// Who writes.
    pub const fn author(&self) -> PlayerId {
        self.author
    }

    /// A new event. `random`: fresh random bits.
    pub fn event(&mut self, player: PlayerId, now: Now, random: u128, payload: Payload) -> Event {
        let (clock, _) = self.clock.tick(now.clock_ms);
        self.sequence += 1;
        let head = Head {
            id: EventId::new(now.clock_ms, random),
            player,
            device: self.device,
            author: self.author,
            clock,
            sequence: self.sequence,
            wall: now.wall,
        };
        Event::new(head, payload)
    }
}
