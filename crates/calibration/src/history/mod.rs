//! The record of a simulated player: years of practice, event by event.
//!
//! What a store, a screen or a bug report is tried on where a real record is missing or too short. The player has a true
//! chance at every rung, from a spread of aim that shrinks over ten years ([`truth`]); everything else is what somebody
//! enters who practises on six days a week and rests for a fortnight in summer: visits with blocks, sets of work and of
//! proof, single attempts and counts, taps that are undone, warm-up, promotions, a journal and study, on two devices.
//!
//! ```
//! use longrail_calibration::history::{History, Settings};
//! let days = |days| History::new(Settings { days, ..Settings::default() });
//! // A shorter history is the beginning of a longer one.
//! let (week, month): (Vec<_>, Vec<_>) = (days(7)?.collect(), days(30)?.collect());
//! assert!(week.len() > 1_200 && month[..week.len()] == week);
//! # Ok::<(), longrail_stats::StatsError>(())
//! ```

mod day;
mod ladders;
mod pen;
pub mod truth;
mod words;

use ladders::Ladders;
use longrail_math::random::Stream;
use longrail_practice::card::Card;
use longrail_practice::event::{CardAdded, Event, Payload, ProfileChanged};
use longrail_practice::id::{EventId, PlayerId};
use longrail_practice::player::Profile;
use longrail_stats::StatsError;
use pen::Pen;
use std::collections::VecDeque;

/// Tells the streams of histories from all others.
const PURPOSE: u64 = 0x6869_7374;
/// Milliseconds of a day.
const DAY_MS: u64 = 86_400_000;

/// What is simulated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Settings {
    /// Whose record it is.
    pub player: PlayerId,
    /// The same seed gives the same events.
    pub seed: u64,
    /// Midnight UTC before the first day, milliseconds since 1970; a Monday, if Sunday is to be the day of rest.
    pub from_ms: u64,
    /// Days from the first to the last, those of rest among them.
    pub days: u32,
    /// Attempts on a day of practice.
    pub attempts_a_day: u32,
}

impl Default for Settings {
    /// Ten years of 200 attempts a day from 4 January 2016, which come to 600,000.
    fn default() -> Self {
        Self {
            player: PlayerId::from_bits(0x0152_0a0c_0000_7000_8000_0000_0000_0001),
            seed: 1,
            from_ms: 16_804 * DAY_MS,
            days: 3_652,
            attempts_a_day: 200,
        }
    }
}

/// The events of a simulated player, in their order. They are made day by day as they are asked for.
#[derive(Clone, Debug)]
pub struct History {
    settings: Settings,
    day: u32,
    pen: Pen,
    ladders: Ladders,
    card: EventId,
    ready: VecDeque<Event>,
}

impl History {
    /// The history from its first event.
    ///
    /// # Errors
    /// None that the constants of this module can cause.
    pub fn new(settings: Settings) -> Result<Self, StatsError> {
        let Settings { player, seed, from_ms, .. } = settings;
        let mut pen = Pen::new(player, from_ms, Stream::new(seed, PURPOSE, u64::MAX));
        pen.at(from_ms + DAY_MS / 2);
        pen.write(Payload::ProfileChanged(ProfileChanged {
            profile: Box::new(Profile::new("A simulated player")),
        }));
        let card = Box::new(Card::new("The table at home", "9ft"));
        let card = pen.write(Payload::CardAdded(CardAdded { card }));
        let ready = pen.written();
        Ok(Self { settings, day: 0, pen, ladders: Ladders::new()?, card, ready })
    }
}

impl Iterator for History {
    type Item = Event;

    fn next(&mut self) -> Option<Event> {
        while self.ready.is_empty() && self.day < self.settings.days {
            let stream = Stream::new(self.settings.seed, PURPOSE, self.day.into());
            let midnight = self.settings.from_ms + u64::from(self.day) * DAY_MS;
            if !is_rest(self.day) {
                day::of(self, midnight, stream);
            }
            self.day += 1;
            self.ready = self.pen.written();
        }
        self.ready.pop_front()
    }
}

/// Sundays, and a fortnight in the middle of each year.
const fn is_rest(day: u32) -> bool {
    day % 7 == 6 || matches!(day % 365, 196..=209)
}

#[cfg(test)]
mod tests;
