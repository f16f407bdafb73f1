//! A program of its own that opens a record, so that its time and memory are those of nothing else.

use super::Fallible;
use longrail_store::{EventStore, Record, SqlStore};
use serde_json::{Value, json};
use sqlx::sqlite::{SqliteConnectOptions, SqlitePool};
use std::path::Path;
use std::process::Command;
use std::time::Instant;

/// What an opening took.
pub(super) struct Opening {
    pub(super) seconds: f64,
    /// The most memory that the program had at once, MB; nothing where the system does not tell.
    pub(super) peak_mb: Option<f64>,
}

/// Has this very program open the record.
pub(super) fn ask(verb: &str, file: &Path) -> Fallible<Opening> {
    let out = Command::new(std::env::current_exe()?).arg(verb).arg(file).output()?;
    let told: Value = serde_json::from_slice(&out.stdout).map_err(|_| {
        String::from_utf8_lossy(&out.stderr).into_owned() + &String::from_utf8_lossy(&out.stdout)
    })?;
    let seconds = told["seconds"].as_f64().ok_or("an opening was not timed")?;
    Ok(Opening { seconds, peak_mb: told["peak_mb"].as_f64() })
}

/// Opens a record and tells what it took.
pub(crate) fn main(file: &str) {
    let told = open(Path::new(file)).unwrap_or_else(|error| json!(error.to_string()));
    crate::say(&told.to_string());
}

fn open(file: &Path) -> Fallible<Value> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    let started = Instant::now();
    let seconds = runtime.block_on(async {
        let store = SqlStore::in_file(file).await?;
        let player = *store.players().await?.first().ok_or("the file has no player")?;
        let record = Record::open(store.clone(), player).await?;
        let sets = record.state().sets.len();
        let seconds = started.elapsed().as_secs_f64();
        drop(record);
        store.close().await;
        if sets == 0 { Err("the record is empty")? } else { Fallible::Ok(seconds) }
    })?;
    Ok(json!({"seconds": seconds, "peak_mb": peak_mb()}))
}

/// `VmHWM` of the kernel's page on this program: proc(5).
fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kib: f64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kib * 1024.0 / 1e6)
}

/// Takes the kept snapshots out of a file.
pub(super) async fn forget_snapshots(file: &Path) -> Fallible<()> {
    let pool = SqlitePool::connect_with(SqliteConnectOptions::new().filename(file)).await?;
    sqlx::query("DELETE FROM snapshot").execute(&pool).await?;
    pool.close().await;
    Ok(())
}
