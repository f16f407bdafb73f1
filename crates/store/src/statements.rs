//! Every statement, in the part of SQL that SQLite and PostgreSQL share. Compiled once for each engine.

use super::{BEGIN, Db};
use crate::{Page, Report, Resume, StoreError};
use longrail_practice::clock::Stamp;
use longrail_practice::event::{Event, Payload};
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use longrail_practice::log::Merged;
use sqlx::{Pool, Row, Transaction};
use std::collections::BTreeMap;

/// Where a failure happened, for its message.
#[derive(Clone, Copy)]
pub(crate) struct At<'a>(pub(crate) &'a str);

impl At<'_> {
    fn told(self, error: sqlx::Error) -> StoreError {
        StoreError::of(self.0, error)
    }
}

/// The number of a player, given if need be, and by itself: inside a longer transaction two programs could wait for
/// each other.
async fn number(pool: &Pool<Db>, at: At<'_>, player: PlayerId) -> Result<i64, StoreError> {
    let uuid = player.to_string();
    loop {
        let known = sqlx::query("SELECT player_id FROM player WHERE uuid = $1").bind(&uuid);
        if let Some(row) = known.fetch_optional(pool).await.map_err(|e| at.told(e))? {
            return row.try_get(0).map_err(|e| at.told(e));
        }
        // `WHERE true` tells SQLite that ON CONFLICT belongs to the INSERT. If another program took the number
        // meanwhile, nothing is inserted and the next round takes the one behind it.
        let insert = "INSERT INTO player (player_id, uuid) \
                      SELECT COALESCE(MAX(player_id), 0) + 1, CAST($1 AS TEXT) FROM player WHERE true \
                      ON CONFLICT DO NOTHING";
        sqlx::query(insert).bind(&uuid).execute(pool).await.map_err(|e| at.told(e))?;
    }
}

/// Takes events in. With `strict` any that is not simply new or known is an error, and nothing is taken in.
pub(crate) async fn merge(
    pool: &Pool<Db>,
    at: &str,
    events: &[Event],
    strict: bool,
) -> Result<Merged, StoreError> {
    let at = At(at);
    // In the order of players, so that two programs never hold what the other waits for.
    let mut by_player: BTreeMap<PlayerId, Vec<&Event>> = BTreeMap::new();
    for event in events {
        by_player.entry(event.head.player).or_default().push(event);
    }
    let mut numbered = Vec::new();
    for (player, events) in by_player {
        numbered.push((number(pool, at, player).await?, player, events));
    }
    let mut merged = Merged::default();
    let mut tx = pool.begin_with(BEGIN).await.map_err(|e| at.told(e))?;
    for (number, player, events) in numbered {
        let mut record = Record::lock(&mut tx, at, number).await?;
        if record.erased {
            if strict {
                return Err(StoreError::Erased(player));
            }
            merged.erased += events.len();
            continue;
        }
        for event in events {
            match record.put(&mut tx, at, event).await? {
                Put::New => merged.new += 1,
                Put::Known => merged.known += 1,
                Put::Conflict if strict => return Err(StoreError::Conflict(event.head.id)),
                Put::Conflict => merged.conflicts += 1,
            }
        }
        record.unlock(&mut tx, at).await?;
    }
    tx.commit().await.map_err(|e| at.told(e))?;
    Ok(merged)
}

enum Put {
    New,
    Known,
    Conflict,
}

/// A player's row, locked until the transaction ends: who reads up to its head has seen everything before.
struct Record {
    number: i64,
    head: i64,
    erased: bool,
    devices: BTreeMap<DeviceId, i64>,
}

impl Record {
    async fn lock(tx: &mut Transaction<'_, Db>, at: At<'_>, number: i64) -> Result<Self, StoreError> {
        let lock = "UPDATE player SET head = head WHERE player_id = $1 RETURNING head, tombstone";
        let row = sqlx::query(lock).bind(number).fetch_one(&mut **tx).await.map_err(|e| at.told(e))?;
        let head = row.try_get(0).map_err(|e| at.told(e))?;
        let tombstone: Option<String> = row.try_get(1).map_err(|e| at.told(e))?;
        Ok(Self { number, head, erased: tombstone.is_some(), devices: BTreeMap::new() })
    }

    async fn unlock(&self, tx: &mut Transaction<'_, Db>, at: At<'_>) -> Result<(), StoreError> {
        let set = sqlx::query("UPDATE player SET head = $2 WHERE player_id = $1");
        let set = set.bind(self.number).bind(self.head);
        set.execute(&mut **tx).await.map(|_| ()).map_err(|e| at.told(e))
    }

    async fn device(
        &mut self,
        tx: &mut Transaction<'_, Db>,
        at: At<'_>,
        device: DeviceId,
    ) -> Result<i64, StoreError> {
        if let Some(number) = self.devices.get(&device) {
            return Ok(*number);
        }
        let uuid = device.to_string();
        let insert = "INSERT INTO device (player_id, device_id, uuid) \
                      SELECT CAST($1 AS BIGINT), COALESCE(MAX(device_id), 0) + 1, CAST($2 AS TEXT) \
                      FROM device WHERE player_id = $1 ON CONFLICT (player_id, uuid) DO NOTHING";
        let insert = sqlx::query(insert).bind(self.number).bind(&uuid);
        insert.execute(&mut **tx).await.map_err(|e| at.told(e))?;
        let select = sqlx::query("SELECT device_id FROM device WHERE player_id = $1 AND uuid = $2");
        let select = select.bind(self.number).bind(&uuid);
        let row = select.fetch_one(&mut **tx).await.map_err(|e| at.told(e))?;
        let number = row.try_get(0).map_err(|e| at.told(e))?;
        self.devices.insert(device, number);
        Ok(number)
    }

    async fn put(
        &mut self,
        tx: &mut Transaction<'_, Db>,
        at: At<'_>,
        event: &Event,
    ) -> Result<Put, StoreError> {
        let line = event.encode()?;
        let inserted = self.insert(tx, at, event, &line).await?;
        if inserted {
            return Ok(Put::New);
        }
        let there = sqlx::query("SELECT line FROM event WHERE player_id = $1 AND uuid = $2");
        let there = there.bind(self.number).bind(event.head.id.to_string());
        let row = there.fetch_one(&mut **tx).await.map_err(|e| at.told(e))?;
        let kept: String = row.try_get(0).map_err(|e| at.told(e))?;
        if kept == line {
            return Ok(Put::Known);
        }
        // As in `longrail_practice::log`: of two, every store keeps the lesser line. It gets a new place, so that
        // whoever has read past the old one sees it.
        if line < kept {
            let delete = sqlx::query("DELETE FROM event WHERE player_id = $1 AND uuid = $2");
            let delete = delete.bind(self.number).bind(event.head.id.to_string());
            delete.execute(&mut **tx).await.map_err(|e| at.told(e))?;
            self.insert(tx, at, event, &line).await?;
        }
        Ok(Put::Conflict)
    }

    /// Writes the event behind the others, if none has its identifier.
    async fn insert(
        &mut self,
        tx: &mut Transaction<'_, Db>,
        at: At<'_>,
        event: &Event,
        line: &str,
    ) -> Result<bool, StoreError> {
        let head = &event.head;
        let whole = |number: u64| i64::try_from(number).map_err(|_| StoreError::Number(head.id));
        let (sequence, clock_ms) = (whole(head.sequence)?, whole(head.clock.ms)?);
        let device = self.device(tx, at, head.device).await?;
        let insert = "INSERT INTO event \
                      (player_id, place, uuid, device_id, sequence, clock_ms, clock_count, line) \
                      VALUES ($1, $2, $3, $4, $5, $6, $7, $8) ON CONFLICT (player_id, uuid) DO NOTHING";
        let insert = sqlx::query(insert).bind(self.number).bind(self.head + 1).bind(head.id.to_string());
        let insert = insert.bind(device).bind(sequence).bind(clock_ms).bind(i64::from(head.clock.count));
        let done = insert.bind(line).execute(&mut **tx).await.map_err(|e| at.told(e))?;
        let new = done.rows_affected() == 1;
        self.head += i64::from(new);
        Ok(new)
    }
}

/// One page of a player's events.
pub(crate) async fn read(
    pool: &Pool<Db>,
    at: &str,
    player: PlayerId,
    after: u64,
    limit: u32,
) -> Result<Page, StoreError> {
    let at = At(at);
    let known = sqlx::query("SELECT player_id, head, tombstone FROM player WHERE uuid = $1");
    let known = known.bind(player.to_string()).fetch_optional(pool).await.map_err(|e| at.told(e))?;
    let Some(row) = known else { return Ok(Page::default()) };
    let number: i64 = row.try_get(0).map_err(|e| at.told(e))?;
    let head: i64 = row.try_get(1).map_err(|e| at.told(e))?;
    let tombstone: Option<String> = row.try_get(2).map_err(|e| at.told(e))?;
    let tombstone = match tombstone {
        Some(line) => {
            let event = Event::decode(&line);
            Some(event.map_err(|why| StoreError::Line { player, place: 0, why })?)
        }
        None => None,
    };
    // Up to the head that was read, so that events and head agree though somebody writes meanwhile.
    let page = "SELECT place, line FROM event WHERE player_id = $1 AND place > $2 AND place <= $3 \
                ORDER BY place LIMIT $4";
    let page = sqlx::query(page).bind(number).bind(i64::try_from(after).unwrap_or(i64::MAX));
    let rows = page.bind(head).bind(i64::from(limit)).fetch_all(pool).await.map_err(|e| at.told(e))?;
    let mut events = Vec::new();
    for row in rows {
        let place: i64 = row.try_get(0).map_err(|e| at.told(e))?;
        let line: String = row.try_get(1).map_err(|e| at.told(e))?;
        let place = place.unsigned_abs();
        let event = Event::decode(&line).map_err(|why| StoreError::Line { player, place, why })?;
        events.push((place, event));
    }
    Ok(Page { events, head: head.unsigned_abs(), tombstone })
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

/// Where a device goes on.
pub(crate) async fn device(pool: &Pool<Db>, at: &str, device: DeviceId) -> Result<Resume, StoreError> {
    let at = At(at);
    // Clock and number of one device rise together, so its last event has the greatest of both.
    let last = "SELECT event.sequence, event.clock_ms, event.clock_count FROM device \
                JOIN event ON event.player_id = device.player_id AND event.device_id = device.device_id \
                WHERE device.uuid = $1 ORDER BY event.sequence DESC LIMIT 1";
    let last = sqlx::query(last).bind(device.to_string());
    let Some(row) = last.fetch_optional(pool).await.map_err(|e| at.told(e))? else {
        return Ok(Resume::default());
    };
    let whole = |index: usize| row.try_get::<i64, _>(index).map(i64::unsigned_abs).map_err(|e| at.told(e));
    let count = u32::try_from(whole(2)?).unwrap_or(u32::MAX);
    Ok(Resume { sequence: whole(0)?, clock: Stamp { ms: whole(1)?, count } })
}

/// Takes a person's events and devices out and leaves the event that says so. Of several the earliest in the one order
/// stays. Says whether the person was erased only now.
pub(crate) async fn erase(pool: &Pool<Db>, at: &str, erasure: &Event) -> Result<bool, StoreError> {
    let at = At(at);
    if !matches!(erasure.payload(), Some(Payload::PersonErased(_))) {
        return Err(StoreError::NoErasure(erasure.kind().to_owned()));
    }
    let number = number(pool, at, erasure.head.player).await?;
    let mut tx = pool.begin_with(BEGIN).await.map_err(|e| at.told(e))?;
    let lock = "UPDATE player SET head = 0 WHERE player_id = $1 RETURNING tombstone";
    let row = sqlx::query(lock).bind(number).fetch_one(&mut *tx).await.map_err(|e| at.told(e))?;
    let kept: Option<String> = row.try_get(0).map_err(|e| at.told(e))?;
    let news = kept.is_none();
    let earlier = kept.and_then(|line| Event::decode(&line).ok());
    let stays = earlier.filter(|earlier| earlier.head.position() <= erasure.head.position());
    let line = stays.as_ref().unwrap_or(erasure).encode()?;
    for statement in ["DELETE FROM event WHERE player_id = $1", "DELETE FROM device WHERE player_id = $1"] {
        sqlx::query(statement).bind(number).execute(&mut *tx).await.map_err(|e| at.told(e))?;
    }
    let set = sqlx::query("UPDATE player SET tombstone = $2 WHERE player_id = $1").bind(number).bind(line);
    set.execute(&mut *tx).await.map_err(|e| at.told(e))?;
    tx.commit().await.map_err(|e| at.told(e))?;
    Ok(news)
}

/// Reads every event and compares it with the columns beside it.
pub(crate) async fn check(pool: &Pool<Db>, at: &str) -> Result<Report, StoreError> {
    let mut report = Report::default();
    for player in players(pool, at).await? {
        report.players += 1;
        let (mut after, mut head) = (0_i64, i64::MAX);
        while after < head {
            let page = "SELECT event.place, event.uuid, event.line, device.uuid, event.sequence, player.head \
                        FROM player JOIN event ON event.player_id = player.player_id \
                        JOIN device ON device.player_id = event.player_id \
                        AND device.device_id = event.device_id \
                        WHERE player.uuid = $1 AND event.place > $2 ORDER BY event.place LIMIT 1000";
            let page = sqlx::query(page).bind(player.to_string()).bind(after);
            let rows = page.fetch_all(pool).await.map_err(|e| StoreError::of(at, e))?;
            if rows.is_empty() {
                break;
            }
            for row in rows {
                let told = |e| StoreError::of(at, e);
                let place: i64 = row.try_get(0).map_err(told)?;
                (after, head) = (place, row.try_get(5).map_err(told)?);
                let beside: (String, String, i64) = (
                    row.try_get(1).map_err(told)?,
                    row.try_get(3).map_err(told)?,
                    row.try_get(4).map_err(told)?,
                );
                let line: String = row.try_get(2).map_err(told)?;
                match judge(player, &line, &beside) {
                    Ok(()) if place <= head => report.events += 1,
                    Ok(()) => {
                        report.faults.push(format!("event {place} of player {player} is behind the head"));
                    }
                    Err(why) => report.faults.push(format!("event {place} of player {player}: {why}")),
                }
            }
        }
    }
    Ok(report)
}

/// Does the line say what the columns say?
fn judge(player: PlayerId, line: &str, beside: &(String, String, i64)) -> Result<(), String> {
    let head = Event::decode(line).map_err(|error| error.to_string())?.head;
    let id: Result<EventId, _> = beside.0.parse();
    let same = head.player == player
        && id == Ok(head.id)
        && head.device.to_string() == beside.1
        && i64::try_from(head.sequence) == Ok(beside.2);
    if same { Ok(()) } else { Err("its line and the columns beside it differ".to_owned()) }
}
