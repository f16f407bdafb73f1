//! Reading events.

use super::{Db, names};
use crate::row::{Numbered, Row, clock_of, select};
use crate::statement::At;
use crate::{Page, Resume, StoreError};
use longrail_practice::clock::{Position, Stamp};
use longrail_practice::event::{Event, EventError, Kind};
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use sqlx::{Database, Pool, Row as _};
use std::collections::BTreeSet;

/// Reads one player's events from rows of `select!`.
pub(super) struct Reader<'a> {
    at: At<'a>,
    player: PlayerId,
    /// What numbers stand for, as far as rows have told: hundreds of them name the same few.
    names: Numbered,
}

/// What a row holds: its place, and an event or why it is none.
pub(super) type Found = (u64, Result<Event, EventError>);

impl<'a> Reader<'a> {
    pub(super) const fn new(at: At<'a>, player: PlayerId) -> Self {
        Self { at, player, names: Numbered::new() }
    }

    /// The event of a row, which must be there.
    pub(super) fn event(&mut self, row: &<Db as Database>::Row) -> Result<(u64, Event), StoreError> {
        let (place, event) = self.found(row)?;
        let player = self.player;
        event.map(|event| (place, event)).map_err(|why| StoreError::Line { player, place, why })
    }

    pub(super) fn events(&mut self, rows: &[<Db as Database>::Row]) -> Result<Vec<(u64, Event)>, StoreError> {
        rows.iter().map(|row| self.event(row)).collect()
    }

    pub(super) fn found(&mut self, row: &<Db as Database>::Row) -> Result<Found, StoreError> {
        let at = self.at;
        self.try_found(row).map_err(|e| at.told(e))
    }

    fn try_found(&mut self, row: &<Db as Database>::Row) -> Result<Found, sqlx::Error> {
        let place: i64 = row.try_get(0)?;
        let event = Row {
            id_high: row.try_get(1)?,
            id_low: row.try_get(2)?,
            device: row.try_get(3)?,
            author: row.try_get(4)?,
            sequence: row.try_get(5)?,
            clock_ms: row.try_get(6)?,
            clock_count: row.try_get(7)?,
            wall_ms: row.try_get(8)?,
            wall_offset_min: row.try_get(9)?,
            kind: row.try_get(10)?,
            set_number: row.try_get(11)?,
            body: row.try_get(12)?,
            line: row.try_get(13)?,
        };
        let named = [(Some(event.device), 14), (Some(event.author), 15), (event.set_number, 16)];
        for (number, column) in named {
            let Some(number) = number.filter(|number| !self.names.contains_key(number)) else { continue };
            let name: Option<String> = row.try_get(column)?;
            // A name that is missing or damaged is missed, and told, where the event is put together.
            if let Some(id) = name.and_then(|name| name.parse::<EventId>().ok()) {
                self.names.insert(number, id.bits());
            }
        }
        Ok((place.unsigned_abs(), event.event(self.player, &self.names)))
    }
}

/// One page of a player's events, in order of arrival.
pub(crate) async fn read(
    pool: &Pool<Db>,
    at: &str,
    player: PlayerId,
    after: u64,
    limit: u32,
) -> Result<Page, StoreError> {
    let at = At(at);
    let known = sqlx::query("SELECT player_id, head, replaced, tombstone FROM player WHERE uuid = $1");
    let known = known.bind(player.to_string()).fetch_optional(pool).await.map_err(|e| at.told(e))?;
    let Some(found) = known else { return Ok(Page::default()) };
    let whole = |column: usize| found.try_get::<i64, _>(column).map_err(|e| at.told(e));
    let (number, head, replaced) = (whole(0)?, whole(1)?, whole(2)?.unsigned_abs());
    let tombstone: Option<String> = found.try_get(3).map_err(|e| at.told(e))?;
    let told = |why| StoreError::Line { player, place: 0, why };
    let tombstone = tombstone.map(|line| Event::decode(&line)).transpose().map_err(told)?;
    let after = i64::try_from(after).unwrap_or(i64::MAX);
    let mut events = Vec::new();
    if after < head && limit > 0 {
        // Up to the head that was read, so that events and head agree though somebody writes meanwhile.
        let page =
            select!("WHERE e.player_id = $1 AND e.place > $2 AND e.place <= $3 ORDER BY e.place LIMIT $4");
        let page = sqlx::query(page).bind(number).bind(after).bind(head).bind(i64::from(limit));
        let rows = page.fetch_all(pool).await.map_err(|e| at.told(e))?;
        events = Reader::new(at, player).events(&rows)?;
    }
    Ok(Page { events, head: head.unsigned_abs(), replaced, tombstone })
}

/// A player's events behind a position in the one order, in that order: some `limit`, and all that share the last one's
/// clock.
pub(crate) async fn since(
    pool: &Pool<Db>,
    at: &str,
    player: PlayerId,
    after: Option<Position>,
    limit: u32,
) -> Result<Vec<(u64, Event)>, StoreError> {
    let at = At(at);
    let Some(number) = names::known_player(pool, at, &player.to_string()).await? else {
        return Ok(Vec::new());
    };
    // By the clock alone, since the rest of the order is not in an index; events of one clock are few.
    let from = after.as_ref().map(clock_of).transpose()?.unwrap_or((-1, 0));
    let last = "SELECT clock_ms, clock_count FROM event \
                WHERE player_id = $1 AND (clock_ms, clock_count) > ($2, $3) \
                ORDER BY clock_ms, clock_count LIMIT 1 OFFSET $4";
    let last = sqlx::query(last).bind(number).bind(from.0).bind(from.1).bind(i64::from(limit));
    let last = last.fetch_optional(pool).await.map_err(|e| at.told(e))?;
    let to: (i64, i64) = match last {
        Some(row) => (row.try_get(0).map_err(|e| at.told(e))?, row.try_get(1).map_err(|e| at.told(e))?),
        None => (i64::MAX, i64::MAX),
    };
    let page = select!(
        "WHERE e.player_id = $1 AND (e.clock_ms, e.clock_count) >= ($2, $3) \
         AND (e.clock_ms, e.clock_count) <= ($4, $5)"
    );
    let page = sqlx::query(page).bind(number).bind(from.0).bind(from.1).bind(to.0).bind(to.1);
    let rows = page.fetch_all(pool).await.map_err(|e| at.told(e))?;
    let mut found = Reader::new(at, player).events(&rows)?;
    found.retain(|(_, event)| after.is_none_or(|after| event.head.position() > after));
    found.sort_by_key(|(_, event)| event.head.position());
    Ok(found)
}

/// What the corrections of a player's record name.
pub(crate) async fn corrected(
    pool: &Pool<Db>,
    at: &str,
    player: PlayerId,
    after: Option<Position>,
) -> Result<BTreeSet<EventId>, StoreError> {
    let at = At(at);
    let Some(number) = names::known_player(pool, at, &player.to_string()).await? else {
        return Ok(BTreeSet::new());
    };
    let from = after.as_ref().map(clock_of).transpose()?.unwrap_or((-1, 0));
    let rows = select!("WHERE e.player_id = $1 AND e.clock_ms >= $2 AND e.kind = $3");
    let rows = sqlx::query(rows).bind(number).bind(from.0).bind(Kind::Correction.name());
    let rows = rows.fetch_all(pool).await.map_err(|e| at.told(e))?;
    let found = Reader::new(at, player).events(&rows)?;
    Ok(found.iter().filter_map(|(_, event)| event.corrects()).collect())
}

/// Everyone with a row.
pub(crate) async fn players(pool: &Pool<Db>, at: &str) -> Result<Vec<PlayerId>, StoreError> {
    let at = At(at);
    let rows = sqlx::query("SELECT uuid FROM player ORDER BY player_id").fetch_all(pool).await;
    let mut players = Vec::new();
    for row in rows.map_err(|e| at.told(e))? {
        let uuid: String = row.try_get(0).map_err(|e| at.told(e))?;
        let player = uuid.parse().map_err(|_| StoreError::Damaged(at.0.to_owned()))?;
        players.push(player);
    }
    Ok(players)
}

/// Where a device goes on. In each record that it wrote, its last event in the order has its greatest clock and number.
pub(crate) async fn device(pool: &Pool<Db>, at: &str, device: DeviceId) -> Result<Resume, StoreError> {
    let at = At(at);
    let names = sqlx::query("SELECT player_id, number FROM name WHERE uuid = $1").bind(device.to_string());
    let mut resume = Resume::default();
    for name in names.fetch_all(pool).await.map_err(|e| at.told(e))? {
        let player: i64 = name.try_get(0).map_err(|e| at.told(e))?;
        let number: i64 = name.try_get(1).map_err(|e| at.told(e))?;
        let last = "SELECT sequence, clock_ms, clock_count FROM event WHERE player_id = $1 AND device = $2 \
                    ORDER BY clock_ms DESC, clock_count DESC LIMIT 1";
        let last = sqlx::query(last).bind(player).bind(number);
        let Some(row) = last.fetch_optional(pool).await.map_err(|e| at.told(e))? else { continue };
        let whole =
            |index: usize| row.try_get::<i64, _>(index).map(i64::unsigned_abs).map_err(|e| at.told(e));
        let count = u32::try_from(whole(2)?).unwrap_or(u32::MAX);
        resume.sequence = resume.sequence.max(whole(0)?);
        resume.clock = resume.clock.max(Stamp { ms: whole(1)?, count });
    }
    Ok(resume)
}
