//! Numbers for identifiers that recur in a record.

use super::Db;
use crate::StoreError;
use crate::statement::At;
use longrail_practice::id::{EventId, PlayerId};
use sqlx::{Pool, Row as _, Transaction};
use std::collections::BTreeMap;

/// The number of a player, given if need be, and by itself: inside a longer transaction two programs could wait for
/// each other.
pub(super) async fn of_player(pool: &Pool<Db>, at: At<'_>, player: PlayerId) -> Result<i64, StoreError> {
    let uuid = player.to_string();
    loop {
        if let Some(number) = known_player(pool, at, &uuid).await? {
            return Ok(number);
        }
        // `WHERE true` tells SQLite that ON CONFLICT belongs to the INSERT. If another program took the number
        // meanwhile, nothing is inserted and the next round takes the one behind it.
        let insert = "INSERT INTO player (player_id, uuid) \
                      SELECT COALESCE(MAX(player_id), 0) + 1, CAST($1 AS TEXT) FROM player \
                      WHERE NOT EXISTS (SELECT 1 FROM player WHERE uuid = $1) \
                      ON CONFLICT DO NOTHING";
        sqlx::query(insert).bind(&uuid).execute(pool).await.map_err(|e| at.told(e))?;
    }
}

pub(super) async fn known_player(pool: &Pool<Db>, at: At<'_>, uuid: &str) -> Result<Option<i64>, StoreError> {
    let known = sqlx::query("SELECT player_id FROM player WHERE uuid = $1").bind(uuid);
    let row = known.fetch_optional(pool).await.map_err(|e| at.told(e))?;
    row.map(|row| row.try_get(0).map_err(|e| at.told(e))).transpose()
}

/// Sees to it that names have numbers, and that these are in `known`. The record must be locked.
pub(super) async fn number(
    tx: &mut Transaction<'_, Db>,
    at: At<'_>,
    player: i64,
    known: &mut BTreeMap<u128, i64>,
    names: impl Iterator<Item = u128>,
) -> Result<(), StoreError> {
    let missing: Vec<u128> = names.filter(|name| !known.contains_key(name)).collect();
    let Some(first) = missing.first() else { return Ok(()) };
    // An event has at most three; asked for twice does no harm.
    let uuid = |index: usize| EventId::from_bits(*missing.get(index).unwrap_or(first)).to_string();
    let select = "SELECT uuid, number FROM name WHERE player_id = $1 AND uuid IN ($2, $3, $4)";
    let select = sqlx::query(select).bind(player).bind(uuid(0)).bind(uuid(1)).bind(uuid(2));
    for row in select.fetch_all(&mut **tx).await.map_err(|e| at.told(e))? {
        let uuid: String = row.try_get(0).map_err(|e| at.told(e))?;
        let id: EventId = uuid.parse().map_err(|_| StoreError::Damaged(at.0.to_owned()))?;
        known.insert(id.bits(), row.try_get(1).map_err(|e| at.told(e))?);
    }
    for name in missing {
        if known.contains_key(&name) {
            continue;
        }
        let insert = "INSERT INTO name (player_id, number, uuid) \
                      SELECT CAST($1 AS BIGINT), COALESCE(MAX(number), 0) + 1, CAST($2 AS TEXT) \
                      FROM name WHERE player_id = $1 RETURNING number";
        let insert = sqlx::query(insert).bind(player).bind(EventId::from_bits(name).to_string());
        let row = insert.fetch_one(&mut **tx).await.map_err(|e| at.told(e))?;
        known.insert(name, row.try_get(0).map_err(|e| at.told(e))?);
    }
    Ok(())
}
