//! What a record of ten years costs: its size, opening it, appending to it, an event that comes late.
//!
//! The record is that of `longrail_calibration::history`, written into a file by the store as a program would: opened
//! now and then, so that the snapshots are there that daily use leaves behind.

mod append;
mod child;

pub(crate) use child::main as child;

use crate::figure;
use longrail_calibration::history::{History, Settings};
use longrail_practice::event::Event;
use longrail_store::{EventStore, Record, SqlStore};
use std::error::Error;
use std::path::Path;
use std::time::Instant;

/// Events written in one transaction while the record is made.
const BATCH: usize = 2_000;
/// Batches between two openings: about two months of practice.
const OPENED: usize = 8;
/// Openings that are timed, each by a program of its own.
const OPENINGS: usize = 7;

type Fallible<T> = Result<T, Box<dyn Error>>;

/// Tells the figures; what fails is told in their place.
pub(crate) fn figures() {
    if let Err(error) = in_a_folder() {
        crate::say(&format!("the record was not measured: {error}"));
    }
}

fn in_a_folder() -> Fallible<()> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    let folder = tempfile::tempdir()?;
    runtime.block_on(measure(folder.path()))
}

// Numbers of events and bytes, far below 2^52.
#[allow(clippy::cast_precision_loss)]
async fn measure(folder: &Path) -> Fallible<()> {
    let file = folder.join("record.db");
    let settings = Settings::default();
    let started = Instant::now();
    let events = write(&file, settings).await?;
    let note = format!("{events} events of ten years");
    let per_second = events as f64 / started.elapsed().as_secs_f64();
    figure(
        "record, written in batches",
        per_second,
        "events/s",
        None,
        &format!("{note}; opened every two months"),
    );
    // Closed, so that the write-ahead log is in the file.
    let size = std::fs::metadata(&file)?.len() as f64 / 1e6;
    figure("record, size on disk", size, "MB", Some(150.0), &format!("{note}, snapshots included"));

    let openings = (0..OPENINGS).map(|_| child::ask("record-open", &file)).collect::<Fallible<Vec<_>>>()?;
    let time = median(openings.iter().map(|opening| opening.seconds).collect());
    figure("record, opened", time, "s", Some(1.0), "from the kept snapshot, until its state is at hand");
    if let Some(memory) = openings.iter().map(|opening| opening.peak_mb).collect::<Option<Vec<_>>>() {
        figure(
            "record, memory while opened",
            median(memory),
            "MB",
            Some(200.0),
            "the whole program's peak, resident",
        );
    }
    append::figures(folder, &file, settings).await?;
    late(&file, settings).await?;
    child::forget_snapshots(&file).await?;
    let anew = child::ask("record-open", &file)?;
    let memory = anew.peak_mb.map(|peak| format!("; {peak:.0} MB at the peak")).unwrap_or_default();
    figure(
        "record, opened without snapshots",
        anew.seconds,
        "s",
        None,
        &format!("from its first event{memory}"),
    );
    Ok(())
}

/// Writes the record, and says how many events it has.
async fn write(file: &Path, settings: Settings) -> Fallible<usize> {
    let store = SqlStore::in_file(file).await?;
    let mut history = History::new(settings)?;
    let mut count = 0;
    for number in 0.. {
        let batch: Vec<Event> = history.by_ref().take(BATCH).collect();
        if batch.is_empty() {
            break;
        }
        count += batch.len();
        store.append(&batch).await?;
        if number % OPENED == OPENED - 1 {
            Record::open(store.clone(), settings.player).await?;
        }
    }
    Record::open(store.clone(), settings.player).await?;
    store.close().await;
    Ok(count)
}

/// An event of a year ago, from a device that was forgotten in a drawer.
async fn late(file: &Path, settings: Settings) -> Fallible<()> {
    let year_back = settings.from_ms + (u64::from(settings.days) - 365) * 86_400_000;
    let store = SqlStore::in_file(file).await?;
    let mut record = Record::open(store.clone(), settings.player).await?;
    let event = append::study(settings.player, year_back);
    let started = Instant::now();
    store.merge(&[event]).await?;
    let merged = started.elapsed().as_secs_f64();
    record.refresh().await?;
    let note = format!("of a year ago, until the state has it; the merge alone {:.1} ms", merged * 1e3);
    figure("record, one late event", started.elapsed().as_secs_f64(), "s", None, &note);
    drop(record);
    store.close().await;
    Ok(())
}

/// The middle of some values; none of them is no number.
fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}
