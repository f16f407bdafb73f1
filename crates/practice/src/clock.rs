//! A hybrid logical clock, and the one order of events.
//!
//! Kulkarni, Demirbas, Madappa, Avva and Leone, "Logical physical clocks", OPODIS 2014: a stamp is
//! the greatest wall time seen so far and a count that tells stamps of one wall time apart. It never goes back, so a
//! wall clock that does cannot reorder a device's own events.

use crate::id::{DeviceId, EventId};
use serde::{Deserialize, Serialize};

/// How far another device's stamp may lie ahead of this device's wall clock and still move the clock, milliseconds.
///
/// One day: more than any mistaken time zone, less than a mistaken year. An assumption. Without a bound one phone set
/// to a wrong year would drag every device that it meets along.
pub const MAX_AHEAD_MS: u64 = 24 * 60 * 60 * 1000;

/// A moment of the hybrid clock.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stamp {
    /// Milliseconds since 1970-01-01 UTC: the greatest wall time seen.
    pub ms: u64,
    /// Tells stamps of the same millisecond apart.
    pub count: u32,
}

impl Stamp {
    /// The least stamp above this one; a full count goes on in the next millisecond.
    const fn next(self) -> Self {
        match self.count.checked_add(1) {
            Some(count) => Self { ms: self.ms, count },
            None => Self { ms: self.ms.saturating_add(1), count: 0 },
        }
    }
}

/// Milliseconds by which a stamp lies ahead of the wall clock; zero if it does not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Ahead(pub u64);

/// A device's clock.
///
/// ```
/// use longrail_practice::clock::Clock;
/// let mut clock = Clock::default();
/// let (first, _) = clock.tick(1_000);
/// // The wall clock was put back; the order is not, and the difference is told.
/// let (second, ahead) = clock.tick(400);
/// assert!(second > first);
/// assert_eq!(ahead.0, 600);
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Clock {
    last: Stamp,
}

impl Clock {
    /// A clock that goes on behind `last`, the greatest stamp of the device's own log.
    pub const fn after(last: Stamp) -> Self {
        Self { last }
    }

    /// The stamp of a new event, and how far it lies ahead of the wall clock, `wall_ms` in milliseconds since 1970 UTC.
    ///
    /// More than a few minutes ahead: this device's clock, or one that it met, was wrong; say so.
    pub fn tick(&mut self, wall_ms: u64) -> (Stamp, Ahead) {
        self.last = if wall_ms > self.last.ms { Stamp { ms: wall_ms, count: 0 } } else { self.last.next() };
        (self.last, Ahead(self.last.ms.saturating_sub(wall_ms)))
    }

    /// Another device's stamp was seen: what is stamped from now on comes behind it.
    ///
    /// # Errors
    /// If it lies more than [`MAX_AHEAD_MS`] ahead of the wall clock; the clock then stays as it is. The event is still
    /// good, but this device's next events are ordered before it, and the person should hear which clock is wrong.
    pub fn witness(&mut self, seen: Stamp, wall_ms: u64) -> Result<(), Ahead> {
        let ahead = seen.ms.saturating_sub(wall_ms);
        if ahead > MAX_AHEAD_MS {
            return Err(Ahead(ahead));
        }
        self.last = self.last.max(seen);
        Ok(())
    }
}

/// Where an event stands among all events: by clock, then device, then the device's own number.
///
/// The identifier comes last. It decides only between events of a device that has given one number twice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// The hybrid clock.
    pub clock: Stamp,
    /// The device.
    pub device: DeviceId,
    /// The device's own number of the event.
    pub sequence: u64,
    /// The event.
    pub id: EventId,
}

#[cfg(test)]
mod tests {
    use super::{Clock, MAX_AHEAD_MS, Stamp};
    use proptest::prelude::*;

    #[test]
    fn the_rules_of_the_paper() {
        // Kulkarni et al. 2014: the greatest time seen leads; the count is 0 where the wall clock leads, else one more.
        let (mut sender, mut receiver) = (Clock::default(), Clock::default());
        let (sent, _) = sender.tick(10);
        assert_eq!(sent, Stamp { ms: 10, count: 0 });
        receiver.witness(sent, 0).unwrap();
        assert_eq!(receiver.tick(1).0, Stamp { ms: 10, count: 1 });
        assert_eq!(receiver.tick(11).0, Stamp { ms: 11, count: 0 });
    }

    #[test]
    fn a_device_of_another_year_is_told_and_not_followed() {
        let mut clock = Clock::default();
        let year = 365 * MAX_AHEAD_MS;
        assert_eq!(clock.witness(Stamp { ms: year, count: 3 }, 5).unwrap_err().0, year - 5);
        assert_eq!(clock.tick(5).0, Stamp { ms: 5, count: 0 });
    }

    #[test]
    fn a_full_count_goes_on_in_the_next_millisecond() {
        let mut clock = Clock::after(Stamp { ms: 7, count: u32::MAX });
        assert_eq!(clock.tick(0).0, Stamp { ms: 8, count: 0 });
    }

    proptest! {
        #[test]
        fn whatever_the_wall_clock_does_stamps_rise(walls in prop::collection::vec(0_u64..50, 1..60)) {
            let mut clock = Clock::default();
            let mut last = Stamp::default();
            for wall in walls {
                let (stamp, ahead) = clock.tick(wall);
                prop_assert!(stamp > last);
                prop_assert_eq!(stamp.ms, wall + ahead.0);
                last = stamp;
            }
        }
    }
}
