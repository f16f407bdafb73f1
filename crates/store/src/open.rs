//! Opening a store, and what it does on either engine.

use crate::known::Known;
use crate::packed::pack;
use crate::{EventStore, Page, Report, Resume, StoreError, on_postgres, on_sqlite};
use longrail_practice::clock::Position;
use longrail_practice::event::{Event, Payload};
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use longrail_practice::log::{Merged, Snapshot};
use sqlx::migrate::Migrator;
use sqlx::postgres::{PgConnectOptions, PgConnection, PgPool, PgPoolOptions};
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use sqlx::{ConnectOptions, Connection, Row};
use std::collections::BTreeSet;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::time::{Duration, Instant};

/// How the tables came to be, one file a step, for both engines.
static MIGRATIONS: Migrator = sqlx::migrate!();

/// How long a writer waits for another one. An assumption: longer than any write of ours, shorter than patience.
const PATIENCE: Duration = Duration::from_secs(10);

/// How long the making of a new file is tried again. An assumption: it takes some hundredths of a second.
const TO_MAKE: Duration = Duration::from_secs(3);

/// Rows that SQLite's thread hands over before it waits: a page of events needs few changes of threads.
const ROWS: usize = 1_024;

/// Connections of one program to one file. One writes, some read.
const TO_FILE: u32 = 4;
/// Connections of one program to one server.
const TO_SERVER: u32 = 16;

#[derive(Clone)]
enum Pool {
    Sqlite(SqlitePool),
    Postgres(PgPool),
}

/// A store on SQLite or PostgreSQL. A clone is another handle of the same connections.
#[derive(Clone)]
pub struct SqlStore {
    pool: Pool,
    /// What messages call it: the file, or the server without its password.
    place: String,
    known: Known,
}

/// One expression for both engines: the functions of the same names in `on_sqlite` and `on_postgres`.
macro_rules! on {
    ($store:expr, $function:ident($($argument:expr),*)) => {
        match &$store.pool {
            Pool::Sqlite(pool) => on_sqlite::$function(pool, &$store.place $(, $argument)*).await,
            Pool::Postgres(pool) => on_postgres::$function(pool, &$store.place $(, $argument)*).await,
        }
    };
}

impl SqlStore {
    /// Opens the store in a file, which is made if it is not there, or on the server of a URL (`postgres://…`).
    ///
    /// # Errors
    /// If the place cannot be opened or written, is damaged, or was written by a newer program.
    pub async fn open(address: &str) -> Result<Self, StoreError> {
        if address.starts_with("postgres://") || address.starts_with("postgresql://") {
            return Self::on_server(address).await;
        }
        if address.contains("://") || address.is_empty() {
            // Whatever it is, it may hold a password.
            let scheme = address.split("://").next().unwrap_or_default();
            return Err(StoreError::Address(scheme.to_owned()));
        }
        Self::in_file(Path::new(address)).await
    }

    /// Opens the store in a file, which is made if it is not there. One that may not be written can be read; whatever would
    /// write then says so.
    ///
    /// # Errors
    /// As [`Self::open`].
    pub async fn in_file(file: &Path) -> Result<Self, StoreError> {
        let started = Instant::now();
        loop {
            match Self::try_file(file).await {
                // Two programs that make a new file at the same moment trip over each other: one turns the log on while
                // the other asks, or both make the tables. A moment later the file is there for both.
                Err(StoreError::Busy(_) | StoreError::Engine { .. }) if started.elapsed() < TO_MAKE => {
                    tokio::time::sleep(Duration::from_millis(20)).await;
                }
                other => return other,
            }
        }
    }

    async fn try_file(file: &Path) -> Result<Self, StoreError> {
        // A write-ahead log lets others read while one writes; `FULL` has it on the disk before a commit returns.
        let writing = to_file(file)
            .create_if_missing(true)
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Full)
            .foreign_keys(true)
            .pragma("secure_delete", "ON");
        match Self::with(file, writing).await {
            Err(error @ (StoreError::ReadOnly(_) | StoreError::Closed { .. })) if file.is_file() => {
                Self::for_reading(file).await.map_err(|_| error)
            }
            other => other,
        }
    }

    /// Opens a file that may not be written.
    async fn for_reading(file: &Path) -> Result<Self, StoreError> {
        let reading = to_file(file).read_only(true);
        let opened = Self::with(file, reading.clone()).await;
        // SQLite reads a write-ahead log by way of a file beside it. Where it cannot make that one, and there is no log,
        // it can be told that nobody writes.
        let no_log = std::fs::metadata(log_of(file)).map_or(true, |log| log.len() == 0);
        if opened.is_err() && no_log { Self::with(file, reading.immutable(true)).await } else { opened }
    }

    async fn with(file: &Path, options: SqliteConnectOptions) -> Result<Self, StoreError> {
        let place = file.display().to_string();
        // A full disk ends a transaction below the library, which goes on counting it: such a connection is given up.
        let pool = SqlitePoolOptions::new()
            .max_connections(TO_FILE)
            .acquire_timeout(PATIENCE)
            .before_acquire(|connection, _| Box::pin(async move { Ok(!connection.is_in_transaction()) }));
        let pool = pool.connect_with(options).await.map_err(|error| StoreError::of(&place, error))?;
        MIGRATIONS.run(&pool).await.map_err(|error| StoreError::migrating(&place, error))?;
        Ok(Self { pool: Pool::Sqlite(pool), place, known: Known::default() })
    }

    async fn on_server(url: &str) -> Result<Self, StoreError> {
        let options =
            PgConnectOptions::from_str(url).map_err(|_| StoreError::Address("postgres".to_owned()))?;
        let place = format!(
            "the database `{}` on {}",
            options.get_database().unwrap_or("of this user"),
            options.get_host()
        );
        let options = options.disable_statement_logging();
        // By itself first: a pool would only say that it has waited in vain.
        let one =
            PgConnection::connect_with(&options).await.map_err(|error| StoreError::of(&place, error))?;
        one.close().await.map_err(|error| StoreError::of(&place, error))?;
        let pool = PgPoolOptions::new().max_connections(TO_SERVER).acquire_timeout(PATIENCE);
        let pool = pool.connect_with(options).await;
        let pool = pool.map_err(|error| StoreError::of(&place, error))?;
        MIGRATIONS.run(&pool).await.map_err(|error| StoreError::migrating(&place, error))?;
        Ok(Self { pool: Pool::Postgres(pool), place, known: Known::default() })
    }

    /// What messages call it: the file, or the server and database, without a password.
    pub fn place(&self) -> &str {
        &self.place
    }

    /// Closes the store. Dropping it does too, but does not wait until it is done.
    pub async fn close(self) {
        match self.pool {
            Pool::Sqlite(pool) => pool.close().await,
            Pool::Postgres(pool) => pool.close().await,
        }
    }

    /// Takes the bytes of what was erased out of the file and of its write-ahead log.
    async fn pack(&self) -> Result<(), StoreError> {
        let Pool::Sqlite(pool) = &self.pool else { return Ok(()) };
        let told = |error| StoreError::of(&self.place, error);
        sqlx::query("VACUUM").execute(pool).await.map_err(told)?;
        // Its first column says whether somebody was in the way.
        let row = sqlx::query("PRAGMA wal_checkpoint(TRUNCATE)").fetch_one(pool).await.map_err(told)?;
        let in_use: i64 = row.try_get(0).map_err(told)?;
        if in_use == 0 { Ok(()) } else { Err(StoreError::Unpacked(self.place.clone())) }
    }
}

/// What holds for every connection to a file.
fn to_file(file: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(file)
        .busy_timeout(PATIENCE)
        .row_buffer_size(ROWS)
        .disable_statement_logging()
}

/// The write-ahead log of a file.
pub(crate) fn log_of(file: &Path) -> PathBuf {
    let mut name = OsString::from(file);
    name.push("-wal");
    PathBuf::from(name)
}

fn is_erasure(event: &Event) -> bool {
    matches!(event.payload(), Some(Payload::PersonErased(_)))
}

impl EventStore for SqlStore {
    async fn append(&self, events: &[Event]) -> Result<(), StoreError> {
        match events.iter().find(|event| is_erasure(event)) {
            Some(erasure) if events.len() == 1 => self.erase(erasure).await,
            Some(_) => Err(StoreError::Mixed),
            None => on!(self, merge(&self.known, events, true)).map(|_| ()),
        }
    }

    async fn merge(&self, events: &[Event]) -> Result<Merged, StoreError> {
        // Erasures first: they win wherever they stand.
        let (erasures, others): (Vec<Event>, Vec<Event>) = events.iter().cloned().partition(is_erasure);
        let mut news = false;
        for erasure in &erasures {
            news |= on!(self, erase(erasure))?;
        }
        if news {
            self.pack().await?;
        }
        let mut merged = on!(self, merge(&self.known, &others, false))?;
        merged.erased += erasures.len();
        Ok(merged)
    }

    async fn read(&self, player: PlayerId, after: u64, limit: u32) -> Result<Page, StoreError> {
        on!(self, read(player, after, limit))
    }

    async fn since(
        &self,
        player: PlayerId,
        after: Option<Position>,
        limit: u32,
    ) -> Result<Vec<(u64, Event)>, StoreError> {
        on!(self, since(player, after, limit))
    }

    async fn corrected(
        &self,
        player: PlayerId,
        after: Option<Position>,
    ) -> Result<BTreeSet<EventId>, StoreError> {
        on!(self, corrected(player, after))
    }

    async fn kept(&self, player: PlayerId) -> Result<Option<String>, StoreError> {
        on!(self, kept(player))
    }

    async fn keep(&self, player: PlayerId, head: u64, snapshot: &Snapshot) -> Result<bool, StoreError> {
        let Some(last) = &snapshot.last else { return Ok(false) };
        let failed = |why: String| StoreError::Engine { place: self.place.clone(), why };
        let text = snapshot.encode().map_err(|error| failed(error.to_string()))?;
        let body = pack(&text).map_err(|error| failed(error.to_string()))?;
        on!(self, keep(player, head, (last, snapshot.events, &body)))
    }

    async fn computed(&self, key: &str) -> Result<Option<String>, StoreError> {
        on!(self, computed(key))
    }

    async fn keep_computed(&self, key: &str, result: &str) -> Result<(), StoreError> {
        on!(self, keep_computed(key, result))
    }

    async fn players(&self) -> Result<Vec<PlayerId>, StoreError> {
        on!(self, players())
    }

    async fn resume(&self, device: DeviceId) -> Result<Resume, StoreError> {
        on!(self, device(device))
    }

    async fn erase(&self, erasure: &Event) -> Result<(), StoreError> {
        on!(self, erase(erasure))?;
        self.pack().await
    }

    async fn check(&self) -> Result<Report, StoreError> {
        let mut report = on!(self, check())?;
        if let Pool::Sqlite(pool) = &self.pool {
            let rows = sqlx::query("PRAGMA integrity_check").fetch_all(pool).await;
            for row in rows.map_err(|error| StoreError::of(&self.place, error))? {
                let line: String = row.try_get(0).map_err(|error| StoreError::of(&self.place, error))?;
                if line != "ok" {
                    report.faults.push(line);
                }
            }
        }
        Ok(report)
    }
}

#[cfg(test)]
mod tests {
    use super::{Pool, SqlStore};
    use sqlx::Row;

    /// A killed program leaves its writes with the system, so no kill can show that they reach the disk: the settings
    /// must. Values: <https://www.sqlite.org/pragma.html>.
    #[tokio::test]
    async fn every_connection_waits_for_the_disk_and_overwrites_what_it_deletes() {
        let folder = tempfile::tempdir().unwrap();
        let store = SqlStore::in_file(&folder.path().join("record.db")).await.unwrap();
        let Pool::Sqlite(pool) = &store.pool else { panic!("a file is on SQLite") };
        let mut connections = Vec::new();
        for _ in 0..super::TO_FILE {
            connections.push(pool.acquire().await.unwrap());
        }
        for connection in &mut connections {
            for (pragma, value) in
                [("PRAGMA synchronous", 2), ("PRAGMA secure_delete", 1), ("PRAGMA foreign_keys", 1)]
            {
                let row = sqlx::query(pragma).fetch_one(&mut **connection).await.unwrap();
                assert_eq!(row.get::<i64, _>(0), value, "{pragma}");
            }
            let row = sqlx::query("PRAGMA journal_mode").fetch_one(&mut **connection).await.unwrap();
            assert_eq!(row.get::<String, _>(0), "wal");
        }
    }
}
