//! Appending one attempt, beside the least that any program can do: one row in one table, on the disk.

use super::{Fallible, median};
use crate::figure;
use longrail_calibration::history::Settings;
use longrail_practice::clock::Clock;
use longrail_practice::event::{Attempt, Event, Head, Kind, Outcome, Payload, Study, Wall};
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use longrail_store::{EventStore, Record, SqlStore};
use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use std::path::Path;
use std::time::Instant;

/// Appends of each sort, taken in turns, so that a neighbour's work falls on all of them.
const ROUNDS: u64 = 500;

/// Rows of the bare table beforehand: each takes a page of its log or two, which is begun anew after a thousand.
const WARM_UP: u32 = 1_500;

/// Tells what appending costs.
pub(super) async fn figures(folder: &Path, file: &Path, settings: Settings) -> Fallible<()> {
    let bare = bare(&folder.join("bare.db")).await?;
    let store = SqlStore::in_file(file).await?;
    let mut record = Record::open(store.clone(), settings.player).await?;
    let last = record.history().events().rfind(|event| event.kind() == Kind::SetBegan.name());
    let (set, last) = (last.ok_or("the record has no set")?.head.id, record.history().now().last);
    let clock = Clock::after(last.ok_or("the record is empty")?.clock);
    let mut maker = Maker { clock, player: settings.player, set, sequence: 0 };
    let (mut plain, mut stored, mut followed) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        let line = maker.attempt().encode()?;
        let started = Instant::now();
        sqlx::query("INSERT INTO line (body) VALUES ($1)").bind(line).execute(&bare).await?;
        plain.push(started.elapsed().as_secs_f64());

        let event = [maker.attempt()];
        let started = Instant::now();
        store.append(&event).await?;
        stored.push(started.elapsed().as_secs_f64());
        record.refresh().await?;

        let event = [maker.attempt()];
        let started = Instant::now();
        record.append(&event).await?;
        followed.push(started.elapsed().as_secs_f64());
    }
    let (plain, stored, followed) = (median(plain), median(stored), median(followed));
    figure(
        "a bare row, written to the disk",
        plain * 1e3,
        "ms",
        None,
        "one insert of the same bytes, same settings",
    );
    figure("record, one attempt appended", stored * 1e3, "ms", None, "to the ten years");
    figure("record, append over the bare row", stored / plain, "times", Some(1.5), "taken in turns");
    figure("record, one attempt until the state has it", followed * 1e3, "ms", None, "appended and followed");
    drop(record);
    store.close().await;
    bare.close().await;
    Ok(())
}

/// A table of lines, on the disk as the store is.
async fn bare(file: &Path) -> Fallible<SqlitePool> {
    let options = SqliteConnectOptions::new()
        .filename(file)
        .create_if_missing(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        .pragma("secure_delete", "ON");
    let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options).await?;
    sqlx::query("CREATE TABLE line (place INTEGER PRIMARY KEY, body TEXT NOT NULL)").execute(&pool).await?;
    // Until its write-ahead log has come to its full length, as that of the record has: one that grows is slower.
    for _ in 0..WARM_UP {
        let line = "x".repeat(300);
        sqlx::query("INSERT INTO line (body) VALUES ($1)").bind(line).execute(&pool).await?;
    }
    Ok(pool)
}

/// Makes attempts behind the end of a record.
struct Maker {
    clock: Clock,
    player: PlayerId,
    set: EventId,
    sequence: u64,
}

impl Maker {
    fn attempt(&mut self) -> Event {
        let (clock, _) = self.clock.tick(0);
        self.sequence += 1;
        let head = Head { clock, ..head(self.player, clock.ms, self.sequence) };
        Event::new(head, Payload::Attempt(Attempt { set: self.set, outcome: Outcome::Made, cue_end: None }))
    }
}

/// Study at a moment, by a device that wrote nothing else.
pub(super) fn study(player: PlayerId, ms: u64) -> Event {
    Event::new(head(player, ms, 9_999_999), Payload::Study(Study { minutes: 30, line: String::new() }))
}

fn head(player: PlayerId, ms: u64, sequence: u64) -> Head {
    let (clock, _) = Clock::default().tick(ms);
    let (id, device) = (EventId::new(ms, u128::from(sequence)), DeviceId::new(ms, 77));
    Head { id, player, device, author: player, clock, sequence, wall: Wall { ms, offset_min: 60 } }
}
