//! Reading everything, and saying what is wrong.

use super::reading::Reader;
use super::{Db, reading};
use crate::row::select;
use crate::statement::At;
use crate::{Report, StoreError};
use sqlx::{Pool, Row as _};

/// Events read at once.
const PAGE: i64 = 1_000;

/// Reads every event.
pub(crate) async fn check(pool: &Pool<Db>, at: &str) -> Result<Report, StoreError> {
    let mut report = Report::default();
    for player in reading::players(pool, at).await? {
        let at = At(at);
        report.players += 1;
        let known =
            sqlx::query("SELECT player_id, head FROM player WHERE uuid = $1").bind(player.to_string());
        let row = known.fetch_one(pool).await.map_err(|e| at.told(e))?;
        let number: i64 = row.try_get(0).map_err(|e| at.told(e))?;
        let head: i64 = row.try_get(1).map_err(|e| at.told(e))?;
        let mut reader = Reader::new(at, player);
        let mut after = 0_i64;
        loop {
            let page = select!("WHERE e.player_id = $1 AND e.place > $2 ORDER BY e.place LIMIT $3");
            let page = sqlx::query(page).bind(number).bind(after).bind(PAGE);
            let rows = page.fetch_all(pool).await.map_err(|e| at.told(e))?;
            if rows.is_empty() {
                break;
            }
            for row in rows {
                let (place, event) = reader.found(&row)?;
                after = i64::try_from(place).unwrap_or(i64::MAX);
                match event {
                    Ok(_) if after <= head => report.events += 1,
                    Ok(_) => {
                        report.faults.push(format!("event {place} of player {player} is behind the head"));
                    }
                    Err(why) => report.faults.push(format!("event {place} of player {player}: {why}")),
                }
            }
        }
    }
    Ok(report)
}
