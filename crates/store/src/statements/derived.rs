//! What can always be worked out anew: snapshots, and results of long computations.

use super::{BEGIN, Db, names};
use crate::StoreError;
use crate::packed::unpack;
use crate::row::clock_of;
use crate::statement::At;
use longrail_practice::clock::Position;
use longrail_practice::id::PlayerId;
use longrail_practice::log::spared;
use sqlx::{Pool, Row as _};

/// How much farther apart kept snapshots may be than the way from the later one to the last: a few in ten years.
const SHARE: u64 = 8;

/// The latest snapshot of a record, if one is kept.
pub(crate) async fn kept(pool: &Pool<Db>, at: &str, player: PlayerId) -> Result<Option<String>, StoreError> {
    let at = At(at);
    let latest = "SELECT snapshot.body FROM snapshot JOIN player ON player.player_id = snapshot.player_id \
                  WHERE player.uuid = $1 ORDER BY snapshot.clock_ms DESC, snapshot.clock_count DESC LIMIT 1";
    let row = sqlx::query(latest).bind(player.to_string()).fetch_optional(pool).await;
    let Some(row) = row.map_err(|e| at.told(e))? else { return Ok(None) };
    let body: Vec<u8> = row.try_get(0).map_err(|e| at.told(e))?;
    Ok(unpack(&body))
}

/// Keeps a snapshot, unless events have come in since the record was read up to place `head`.
pub(crate) async fn keep(
    pool: &Pool<Db>,
    at: &str,
    player: PlayerId,
    head: u64,
    (last, events, body): (&Position, u64, &[u8]),
) -> Result<bool, StoreError> {
    let at = At(at);
    let Some(number) = names::known_player(pool, at, &player.to_string()).await? else { return Ok(false) };
    let (clock_ms, clock_count) = clock_of(last)?;
    let mut tx = pool.begin_with(BEGIN).await.map_err(|e| at.told(e))?;
    let lock = "UPDATE player SET head = head WHERE player_id = $1 RETURNING head, tombstone";
    let row = sqlx::query(lock).bind(number).fetch_one(&mut *tx).await.map_err(|e| at.told(e))?;
    let now: i64 = row.try_get(0).map_err(|e| at.told(e))?;
    let tombstone: Option<String> = row.try_get(1).map_err(|e| at.told(e))?;
    if now.unsigned_abs() != head || tombstone.is_some() {
        return Ok(false);
    }
    let insert = "INSERT INTO snapshot (player_id, clock_ms, clock_count, events, body) \
                  VALUES ($1, $2, $3, $4, $5) \
                  ON CONFLICT (player_id, clock_ms, clock_count) DO UPDATE SET events = $4, body = $5";
    let insert = sqlx::query(insert).bind(number).bind(clock_ms).bind(clock_count);
    let insert = insert.bind(i64::try_from(events).unwrap_or(i64::MAX)).bind(body);
    insert.execute(&mut *tx).await.map_err(|e| at.told(e))?;
    let mark = "UPDATE player SET kept_ms = $2 WHERE player_id = $1 AND kept_ms < $2";
    let mark = sqlx::query(mark).bind(number).bind(clock_ms);
    mark.execute(&mut *tx).await.map_err(|e| at.told(e))?;
    let all = "SELECT clock_ms, clock_count, events FROM snapshot WHERE player_id = $1 \
               ORDER BY clock_ms, clock_count";
    let rows = sqlx::query(all).bind(number).fetch_all(&mut *tx).await.map_err(|e| at.told(e))?;
    let mut there = Vec::new();
    for row in rows {
        let clock: (i64, i64) =
            (row.try_get(0).map_err(|e| at.told(e))?, row.try_get(1).map_err(|e| at.told(e))?);
        there.push((clock, row.try_get::<i64, _>(2).map_err(|e| at.told(e))?.unsigned_abs()));
    }
    let counts: Vec<u64> = there.iter().map(|(_, events)| *events).collect();
    for ((clock, _), stays) in there.iter().zip(spared(&counts, SHARE)) {
        if !stays {
            let delete = "DELETE FROM snapshot WHERE player_id = $1 AND clock_ms = $2 AND clock_count = $3";
            let delete = sqlx::query(delete).bind(number).bind(clock.0).bind(clock.1);
            delete.execute(&mut *tx).await.map_err(|e| at.told(e))?;
        }
    }
    tx.commit().await.map_err(|e| at.told(e))?;
    Ok(true)
}

/// The result that was kept under a key.
pub(crate) async fn computed(pool: &Pool<Db>, at: &str, key: &str) -> Result<Option<String>, StoreError> {
    let at = At(at);
    let select = sqlx::query("SELECT body FROM computed WHERE key = $1").bind(key);
    let row = select.fetch_optional(pool).await.map_err(|e| at.told(e))?;
    row.map(|row| row.try_get(0).map_err(|e| at.told(e))).transpose()
}

/// Keeps a result under a key.
pub(crate) async fn keep_computed(
    pool: &Pool<Db>,
    at: &str,
    key: &str,
    body: &str,
) -> Result<(), StoreError> {
    let insert = "INSERT INTO computed (key, body) VALUES ($1, $2) ON CONFLICT (key) DO UPDATE SET body = $2";
    let insert = sqlx::query(insert).bind(key).bind(body).execute(pool).await;
    insert.map(|_| ()).map_err(|error| At(at).told(error))
}
