//! Taking events in, and erasing.

use super::reading::Reader;
use super::{BEGIN, Db, names};
use crate::StoreError;
use crate::known::Known;
use crate::row::{Parts, Row, clock_of, halves, select};
use crate::statement::{At, Put};
use longrail_practice::event::{Event, Payload};
use longrail_practice::id::{EventId, PlayerId};
use longrail_practice::log::Merged;
use sqlx::{Pool, Row as _, Transaction};
use std::collections::BTreeMap;

/// Takes events in. With `strict` any that is not simply new or known is an error, and nothing is taken in.
pub(crate) async fn merge(
    pool: &Pool<Db>,
    at: &str,
    known: &Known,
    events: &[Event],
    strict: bool,
) -> Result<Merged, StoreError> {
    let at = At(at);
    // In the order of players, so that two programs never hold what the other waits for.
    let mut by_player: BTreeMap<PlayerId, Vec<(&Event, Parts)>> = BTreeMap::new();
    for event in events {
        by_player.entry(event.head.player).or_default().push((event, Parts::of(event)?));
    }
    let mut numbered = Vec::new();
    for (player, events) in by_player {
        let used = events.iter().flat_map(|(_, parts)| parts.names());
        let (number, names) = match known.of(player, used) {
            Some(known) => known,
            None => (names::of_player(pool, at, player).await?, BTreeMap::new()),
        };
        numbered.push((number, names, player, events));
    }
    let mut learnt = Vec::new();
    let mut merged = Merged::default();
    let mut tx = pool.begin_with(BEGIN).await.map_err(|e| at.told(e))?;
    for (number, names, player, events) in numbered {
        let mut record = Record::lock(&mut tx, at, (number, player), events.len()).await?;
        record.names = names;
        for (event, parts) in &events {
            if record.erased && strict {
                return Err(StoreError::Erased(player));
            }
            if record.erased {
                merged.erased += 1;
                continue;
            }
            match record.put(&mut tx, at, event, parts).await? {
                Put::New => merged.new += 1,
                Put::Known => merged.known += 1,
                Put::Conflict if strict => return Err(StoreError::Conflict(event.head.id)),
                Put::Conflict => merged.conflicts += 1,
            }
        }
        record.unlock(&mut tx, at).await?;
        learnt.push(record);
    }
    tx.commit().await.map_err(|e| at.told(e))?;
    for Record { player, number, names, erased, .. } in learnt {
        if !erased {
            known.learn(player, number, names);
        }
    }
    Ok(merged)
}

/// A player's row, locked until the transaction ends: who reads up to its head has seen everything before.
struct Record {
    number: i64,
    player: PlayerId,
    head: i64,
    /// What the row has for it: as if all events were new.
    ahead: i64,
    /// No snapshot is kept of a later clock.
    kept_ms: i64,
    erased: bool,
    names: BTreeMap<u128, i64>,
    /// The earliest clock from which what follows from the record has changed.
    changed_from: Option<i64>,
}

impl Record {
    /// Locks it, and takes places for so many events.
    async fn lock(
        tx: &mut Transaction<'_, Db>,
        at: At<'_>,
        (number, player): (i64, PlayerId),
        events: usize,
    ) -> Result<Self, StoreError> {
        let events = i64::try_from(events).unwrap_or(i64::MAX);
        let lock =
            "UPDATE player SET head = head + $2 WHERE player_id = $1 RETURNING head, kept_ms, tombstone";
        let row = sqlx::query(lock).bind(number).bind(events).fetch_one(&mut **tx).await;
        let row = row.map_err(|e| at.told(e))?;
        let ahead: i64 = row.try_get(0).map_err(|e| at.told(e))?;
        let kept_ms = row.try_get(1).map_err(|e| at.told(e))?;
        let tombstone: Option<String> = row.try_get(2).map_err(|e| at.told(e))?;
        let (erased, head) = (tombstone.is_some(), ahead - events);
        Ok(Self { number, player, head, ahead, kept_ms, erased, names: BTreeMap::new(), changed_from: None })
    }

    /// Gives back places that were not needed, and drops snapshots that no longer hold.
    async fn unlock(&self, tx: &mut Transaction<'_, Db>, at: At<'_>) -> Result<(), StoreError> {
        if self.head != self.ahead {
            let set = sqlx::query("UPDATE player SET head = $2 WHERE player_id = $1");
            let set = set.bind(self.number).bind(self.head);
            set.execute(&mut **tx).await.map_err(|e| at.told(e))?;
        }
        // Usually all of them lie before what is new.
        let Some(from) = self.changed_from.filter(|from| *from <= self.kept_ms) else { return Ok(()) };
        let delete = sqlx::query("DELETE FROM snapshot WHERE player_id = $1 AND clock_ms >= $2");
        let delete = delete.bind(self.number).bind(from);
        delete.execute(&mut **tx).await.map_err(|e| at.told(e))?;
        let set = sqlx::query("UPDATE player SET kept_ms = $2 WHERE player_id = $1");
        let set = set.bind(self.number).bind(from - 1);
        set.execute(&mut **tx).await.map(|_| ()).map_err(|e| at.told(e))
    }

    async fn put(
        &mut self,
        tx: &mut Transaction<'_, Db>,
        at: At<'_>,
        event: &Event,
        parts: &Parts,
    ) -> Result<Put, StoreError> {
        names::number(tx, at, self.number, &mut self.names, parts.names()).await?;
        if self.insert(tx, at, event, parts).await? {
            return Ok(Put::New);
        }
        let kept = self.kept(tx, at, event.head.id).await?;
        let (line, kept_line) = (event.encode()?, kept.encode()?);
        if kept_line == line {
            return Ok(Put::Known);
        }
        // As in `longrail_practice::log`: of two, every store keeps the lesser line. It gets a new place, so that
        // whoever has read past the old one sees it, and the record is marked, since the old one is gone.
        if line < kept_line {
            let (high, low) = halves(event.head.id);
            let delete = "DELETE FROM event WHERE player_id = $1 AND id_high = $2 AND id_low = $3";
            let delete = sqlx::query(delete).bind(self.number).bind(high).bind(low);
            delete.execute(&mut **tx).await.map_err(|e| at.told(e))?;
            self.insert(tx, at, event, parts).await?;
            let mark = "UPDATE player SET replaced = replaced + 1 WHERE player_id = $1";
            sqlx::query(mark).bind(self.number).execute(&mut **tx).await.map_err(|e| at.told(e))?;
            self.changes(tx, at, &kept).await?;
        }
        Ok(Put::Conflict)
    }

    /// The event of this identifier.
    async fn kept(&self, tx: &mut Transaction<'_, Db>, at: At<'_>, id: EventId) -> Result<Event, StoreError> {
        let (high, low) = halves(id);
        let text = select!("WHERE e.player_id = $1 AND e.id_high = $2 AND e.id_low = $3");
        let there = sqlx::query(text).bind(self.number).bind(high).bind(low);
        let row = there.fetch_one(&mut **tx).await.map_err(|e| at.told(e))?;
        Reader::new(at, self.player).event(&row).map(|(_, event)| event)
    }

    /// Writes the event behind the others, if none has its identifier.
    async fn insert(
        &mut self,
        tx: &mut Transaction<'_, Db>,
        at: At<'_>,
        event: &Event,
        parts: &Parts,
    ) -> Result<bool, StoreError> {
        let row = Row::of(event, parts, &self.names)?;
        let insert = "INSERT INTO event (player_id, place, id_high, id_low, device, author, sequence, clock_ms, \
                      clock_count, wall_ms, wall_offset_min, kind, set_number, body, line) \
                      VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15) \
                      ON CONFLICT (player_id, id_high, id_low) DO NOTHING";
        let insert = sqlx::query(insert)
            .bind(self.number)
            .bind(self.head + 1)
            .bind(row.id_high)
            .bind(row.id_low)
            .bind(row.device)
            .bind(row.author)
            .bind(row.sequence)
            .bind(row.clock_ms)
            .bind(row.clock_count)
            .bind(row.wall_ms)
            .bind(row.wall_offset_min)
            .bind(row.kind)
            .bind(row.set_number)
            .bind(row.body)
            .bind(row.line);
        let done = insert.execute(&mut **tx).await.map_err(|e| at.told(e))?;
        if done.rows_affected() == 0 {
            return Ok(false);
        }
        self.head += 1;
        self.changes(tx, at, event).await?;
        Ok(true)
    }

    /// Notes that what follows from the record has changed from this event on, or from the one that it takes back.
    async fn changes(
        &mut self,
        tx: &mut Transaction<'_, Db>,
        at: At<'_>,
        event: &Event,
    ) -> Result<(), StoreError> {
        let (mut from, _) = clock_of(&event.head.position())?;
        if let Some(of) = event.corrects() {
            let (high, low) = halves(of);
            let select = "SELECT clock_ms FROM event WHERE player_id = $1 AND id_high = $2 AND id_low = $3";
            let select = sqlx::query(select).bind(self.number).bind(high).bind(low);
            if let Some(row) = select.fetch_optional(&mut **tx).await.map_err(|e| at.told(e))? {
                from = from.min(row.try_get(0).map_err(|e| at.told(e))?);
            }
        }
        self.changed_from = Some(self.changed_from.map_or(from, |before| before.min(from)));
        Ok(())
    }
}

/// Takes a person's events out, and all that was derived from them, and leaves the event that says so. Of several the
/// earliest in the one order stays. Says whether the person was erased only now.
pub(crate) async fn erase(pool: &Pool<Db>, at: &str, erasure: &Event) -> Result<bool, StoreError> {
    let at = At(at);
    if !matches!(erasure.payload(), Some(Payload::PersonErased(_))) {
        return Err(StoreError::NoErasure(erasure.kind().to_owned()));
    }
    let number = names::of_player(pool, at, erasure.head.player).await?;
    let mut tx = pool.begin_with(BEGIN).await.map_err(|e| at.told(e))?;
    let lock = "UPDATE player SET head = 0 WHERE player_id = $1 RETURNING tombstone";
    let row = sqlx::query(lock).bind(number).fetch_one(&mut *tx).await.map_err(|e| at.told(e))?;
    let kept: Option<String> = row.try_get(0).map_err(|e| at.told(e))?;
    let news = kept.is_none();
    let earlier = kept.and_then(|line| Event::decode(&line).ok());
    let stays = earlier.filter(|earlier| earlier.head.position() <= erasure.head.position());
    let line = stays.as_ref().unwrap_or(erasure).encode()?;
    for statement in [
        "DELETE FROM event WHERE player_id = $1",
        "DELETE FROM name WHERE player_id = $1",
        "DELETE FROM snapshot WHERE player_id = $1",
    ] {
        sqlx::query(statement).bind(number).execute(&mut *tx).await.map_err(|e| at.told(e))?;
    }
    let set = sqlx::query("UPDATE player SET tombstone = $2 WHERE player_id = $1").bind(number).bind(line);
    set.execute(&mut *tx).await.map_err(|e| at.told(e))?;
    tx.commit().await.map_err(|e| at.told(e))?;
    Ok(news)
}
