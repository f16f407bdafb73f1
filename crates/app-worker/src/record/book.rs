//! One player's record in memory, and how it follows the database.

use longrail_practice::desk::Now;
use longrail_practice::event::{Event, Payload, Wall};
use longrail_practice::id::PlayerId;
use longrail_practice::log::{History, Snapshot};
use longrail_practice::state::State;

use super::database::{Access, Row};
use super::trouble::Trouble;

/// Events behind a snapshot from which another is worth keeping: reading so many takes a phone some tenths of a second.
const WORTH: u64 = 2_000;

/// A record as far as it was read.
#[derive(Default)]
pub(crate) struct Book {
    history: History,
    /// The place of the last event that was read.
    head: u64,
    /// Events when the last snapshot was kept.
    kept_at: u64,
    pub(crate) erased: bool,
}

/// A snapshot as it is kept: up to which place, and its text after a space. A text within a text would be read twice.
fn kept(head: u64, snapshot: &str) -> String {
    format!("{head} {snapshot}")
}

/// Reads what was kept; nothing if it is of another version, or damaged.
fn resumed(kept: &str) -> Option<(u64, Snapshot)> {
    let (head, snapshot) = kept.split_once(' ')?;
    Some((head.parse().ok()?, Snapshot::decode(snapshot)?))
}

fn snapshot_name(player: PlayerId) -> String {
    format!("snapshot {player}")
}

impl Book {
    /// From the last snapshot and what came after it.
    pub(crate) async fn open(access: &Access, player: PlayerId) -> Result<Self, Trouble> {
        let kept = access.here(&snapshot_name(player))?.await?.and_then(|kept| kept.as_string());
        if let Some((head, snapshot)) = kept.as_deref().and_then(resumed) {
            let corrected = snapshot.corrected().clone();
            let kept_at = snapshot.events;
            let history = History::resume(snapshot, corrected);
            let mut book = Self { history, head, kept_at, erased: false };
            match book.follow(access, player).await {
                // Something reaches back before the snapshot: all is read anew.
                Err(Trouble::Early(_)) => {}
                outcome => return outcome.map(|()| book),
            }
        }
        let mut book = Self::default();
        book.follow(access, player).await?;
        Ok(book)
    }

    /// Takes in what others have written.
    pub(crate) async fn follow(&mut self, access: &Access, player: PlayerId) -> Result<(), Trouble> {
        let rows = access.events_of(&player.to_string(), self.head).await?;
        if rows.is_empty() {
            return Ok(());
        }
        let events =
            rows.iter().map(|Row { line, .. }| Event::decode(line)).collect::<Result<Vec<_>, _>>()?;
        let last = rows.last().map_or(self.head, |row| row.place);
        self.take(events, last)
    }

    /// Takes in events that are kept, up to a place.
    pub(crate) fn take(&mut self, events: Vec<Event>, head: u64) -> Result<(), Trouble> {
        if events.iter().any(|event| matches!(event.payload(), Some(Payload::PersonErased(_)))) {
            *self = Self { head, erased: true, ..Self::default() };
            return Ok(());
        }
        self.history.extend(events)?;
        self.head = head;
        Ok(())
    }

    pub(crate) const fn history(&self) -> &History {
        &self.history
    }

    pub(crate) const fn state(&self) -> &State {
        self.history.state()
    }

    /// Keeps a snapshot, if that is worth it and no set is open: an entry of an open set may still be taken back.
    pub(crate) fn keep(&mut self, access: &Access, player: PlayerId) -> Result<bool, Trouble> {
        let now = self.history.now();
        let since = now.events - self.kept_at;
        if self.erased || since < WORTH || self.state().set_now().is_some() {
            return Ok(false);
        }
        let text = now.encode().map_err(|error| Trouble::Storage(error.to_string()))?;
        access.put_here(&snapshot_name(player), &kept(self.head, &text))?;
        self.kept_at = self.history.now().events;
        Ok(true)
    }

    /// Drops what is kept beside the events.
    pub(crate) async fn forget(access: &Access, player: PlayerId) -> Result<(), Trouble> {
        access.drop_here(&snapshot_name(player)).await
    }
}

/// This moment by the device's clock.
pub(crate) fn now() -> Now {
    let date = js_sys::Date::new_0();
    // Times of this century are whole milliseconds below 2^53; an offset is a day at most.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let (ms, offset_min) = (date.get_time().max(0.0) as u64, -date.get_timezone_offset() as i16);
    Now { clock_ms: ms, wall: Wall { ms, offset_min } }
}

/// Fresh random bits.
pub(crate) fn random() -> Result<u128, Trouble> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes)
        .map_err(|error| Trouble::Storage(format!("the browser gives no random numbers: {error}")))?;
    Ok(u128::from_ne_bytes(bytes))
}
