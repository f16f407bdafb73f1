//! Reading what can be read of a damaged file into a new one.
//!
//! Two ways, whose finds are united. The tables are read as far as they can be, from the front, from the back, and row
//! by row between. Then the bytes of the file and of its write-ahead log are searched for whole events: each stands in
//! them as one piece of text, wherever its page is, unless it is longer than a page. What was erased is not found:
//! its bytes were overwritten.

use crate::{EventStore, SqlStore, StoreError};
use longrail_practice::event::Event;
use serde_json::value::RawValue;
use sqlx::sqlite::{SqliteConnectOptions, SqlitePool, SqlitePoolOptions};
use sqlx::{ConnectOptions, Row};
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};

/// How an event begins in the file.
const START: &[u8] = b"{\"id\":\"";
/// Rows behind the last readable one that are tried one by one before giving up. A page of 4096 bytes holds a few
/// rows, and one that leads to others leads to a few hundred pages: two such in a row may be lost.
const ONE_BY_ONE: i64 = 10_000;
/// Events written in one transaction.
const BATCH: usize = 1_000;

/// What was rescued.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Rescued {
    /// Events that the tables still gave.
    pub from_tables: usize,
    /// Events that only their bytes gave.
    pub from_bytes: usize,
}

/// Reads what can be read of the file `from` into the new file `to`. `from` is not changed.
///
/// # Errors
/// If `to` is there already or cannot be written, or `from` cannot be read at all.
pub async fn rescue(from: &Path, to: &Path) -> Result<Rescued, StoreError> {
    if to.exists() {
        return Err(StoreError::Exists(to.to_owned()));
    }
    let copy = beside(to, "-copy");
    let result = into_new(from, &copy, to).await;
    for suffix in ["", "-wal", "-shm"] {
        // Only what was copied is left; failing to remove it harms nothing.
        let _ = fs::remove_file(beside(&copy, suffix));
    }
    result
}

async fn into_new(from: &Path, copy: &Path, to: &Path) -> Result<Rescued, StoreError> {
    let closed = |file: &Path, error: std::io::Error| StoreError::Closed {
        place: file.display().to_string(),
        why: error.to_string(),
    };
    let mut bytes = fs::read(from).map_err(|error| closed(from, error))?;
    let mut found = BTreeMap::new();
    fs::write(copy, &bytes).map_err(|error| closed(copy, error))?;
    // Without a log there is nothing more to read.
    if let Ok(log) = fs::read(beside(from, "-wal")) {
        fs::write(beside(copy, "-wal"), &log).map_err(|error| closed(copy, error))?;
        bytes.extend(log);
    }
    // A file that cannot even be opened has its bytes still.
    if let Ok(pool) = open(copy).await {
        tables(&pool, &mut found).await;
        pool.close().await;
    }
    let from_tables = found.len();
    scan(&bytes, &mut found);
    let events: Vec<Event> = found.into_values().collect();
    let store = SqlStore::in_file(to).await?;
    for batch in events.chunks(BATCH) {
        store.merge(batch).await?;
    }
    store.close().await;
    Ok(Rescued { from_tables, from_bytes: events.len() - from_tables })
}

fn beside(file: &Path, suffix: &str) -> PathBuf {
    let mut name = OsString::from(file);
    name.push(suffix);
    PathBuf::from(name)
}

async fn open(file: &Path) -> Result<SqlitePool, sqlx::Error> {
    let options = SqliteConnectOptions::new().filename(file).disable_statement_logging();
    SqlitePoolOptions::new().max_connections(1).connect_with(options).await
}

/// Keeps a line that is an event.
fn keep(line: &str, found: &mut BTreeMap<String, Event>) {
    if let Ok(event) = Event::decode(line) {
        found.insert(line.to_owned(), event);
    }
}

async fn tables(pool: &SqlitePool, found: &mut BTreeMap<String, Event>) {
    let front = "SELECT rowid, line FROM event WHERE rowid > $1 ORDER BY rowid LIMIT 1";
    let back = "SELECT rowid, line FROM event WHERE rowid < $1 ORDER BY rowid DESC LIMIT 1";
    let one = "SELECT rowid, line FROM event WHERE rowid = $1";
    let mut low = 0;
    let whole = loop {
        match row(pool, front, low).await {
            // A damaged page may also send the search in circles.
            Ok(Some((at, line))) if at > low => {
                keep(&line, found);
                low = at;
            }
            Ok(None) => break true,
            _ => break false,
        }
    };
    if !whole {
        let mut high = i64::MAX;
        while let Ok(Some((at, line))) = row(pool, back, high).await
            && at < high
        {
            keep(&line, found);
            high = at;
        }
        let mut at = low + 1;
        while at < high && at - low <= ONE_BY_ONE {
            if let Ok(Some((_, line))) = row(pool, one, at).await {
                keep(&line, found);
                low = at;
            }
            at += 1;
        }
    }
    let tombstones = sqlx::query("SELECT tombstone FROM player WHERE tombstone IS NOT NULL");
    for row in tombstones.fetch_all(pool).await.unwrap_or_default() {
        keep(&row.try_get::<String, _>(0).unwrap_or_default(), found);
    }
}

async fn row(
    pool: &SqlitePool,
    statement: &'static str,
    at: i64,
) -> Result<Option<(i64, String)>, sqlx::Error> {
    let row = sqlx::query(statement).bind(at).fetch_optional(pool).await?;
    // Text that is no text any more is passed over, not a reason to stop.
    row.map(|row| Ok((row.try_get(0)?, row.try_get(1).unwrap_or_default()))).transpose()
}

/// Searches bytes for whole events.
fn scan(bytes: &[u8], found: &mut BTreeMap<String, Event>) {
    let mut at = 0;
    while let Some(step) = bytes[at..].windows(START.len()).position(|window| window == START) {
        let start = at + step;
        let mut objects = serde_json::Deserializer::from_slice(&bytes[start..]).into_iter::<&RawValue>();
        if let Some(Ok(object)) = objects.next() {
            keep(object.get(), found);
        }
        at = start + START.len();
    }
}
