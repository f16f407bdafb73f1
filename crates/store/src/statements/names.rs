//! Numbers for identifiers that recur in a record.

use super::Db;
use crate::StoreError;
use crate::row::Numbered;
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

/// The names of a record.
pub(super) async fn of_record(pool: &Pool<Db>, at: At<'_>, player: i64) -> Result<Numbered, StoreError> {
    let names = sqlx::query("SELECT number, uuid FROM name WHERE player_id = $1").bind(player);
    let mut numbered = Numbered::new();
    for row in names.fetch_all(pool).await.map_err(|e| at.told(e))? {
        let number = row.try_get(0).map_err(|e| at.told(e))?;
        let uuid: String = row.try_get(1).map_err(|e| at.told(e))?;
        // A damaged name is missed by the events that use it, and told there.
        if let Ok(id) = uuid.parse::<EventId>() {
            numbered.insert(number, id.bits());
        }
    }
    Ok(numbered)
}

/// The number of a name, given if need be. The record must be locked.
pub(super) async fn number(
    tx: &mut Transaction<'_, Db>,
    at: At<'_>,
    player: i64,
    known: &mut BTreeMap<u128, i64>,
    name: u128,
) -> Result<(), StoreError> {
    if known.contains_key(&name) {
        return Ok(());
    }
    let uuid = EventId::from_bits(name).to_string();
    let select = sqlx::query("SELECT number FROM name WHERE player_id = $1 AND uuid = $2");
    let row = select.bind(player).bind(&uuid).fetch_optional(&mut **tx).await.map_err(|e| at.told(e))?;
    let row = match row {
        Some(row) => row,
        None => {
            let insert = "INSERT INTO name (player_id, number, uuid) \
                          SELECT CAST($1 AS BIGINT), COALESCE(MAX(number), 0) + 1, CAST($2 AS TEXT) \
                          FROM name WHERE player_id = $1 RETURNING number";
            let insert = sqlx::query(insert).bind(player).bind(&uuid);
            insert.fetch_one(&mut **tx).await.map_err(|e| at.told(e))?
        }
    };
    known.insert(name, row.try_get(0).map_err(|e| at.told(e))?);
    Ok(())
}
