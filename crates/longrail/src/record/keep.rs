//! `longrail record`: the record as a whole.

use std::path::{Path, PathBuf};

use clap::Subcommand;
use longrail_calibration::history::{History, Settings};
use longrail_practice::desk::Refused;
use longrail_practice::event::{Event, Payload, PersonErased};
use longrail_store::{EventStore, SqlStore, StoreError, rescue};
use serde_json::json;

use super::book::{Book, Shelf, Source, runtime};
use super::transfer;
use crate::exit::Failure;
use crate::page::Page;

/// How the record is kept, for `--help`.
const FORM: &str = "\
  longrail record export backup.jsonl          the whole log, a line an event: nothing is left out
  longrail record export attempts.csv --csv    a table of attempts, for other programs
  longrail record import backup.jsonl          takes in what is new; twice does no harm
  longrail record import paper.csv             first shows what it would take: --take takes it
  longrail record rescue record.db new.db      reads what can be read of a damaged file";

/// Arguments of `longrail record`.
#[derive(clap::Args)]
#[command(after_help = FORM)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Says where the record is, and how large.
    Where,
    /// Writes the record to a file, or to standard output (-).
    Export {
        /// The file.
        file: PathBuf,
        /// Attempts as a table, instead of the log.
        #[arg(long)]
        csv: bool,
        /// Everybody's log, not only the player's.
        #[arg(long, conflicts_with = "csv")]
        all: bool,
    },
    /// Takes in a log (.jsonl) or a table of attempts (.csv).
    Import {
        /// The file.
        file: PathBuf,
        /// Takes a table in; without it the command only says what it would do.
        #[arg(long)]
        take: bool,
    },
    /// Reads everything and says what is wrong with it.
    Check,
    /// Reads what can be read of a damaged file into a new one. The damaged one is left as it is.
    Rescue {
        /// The damaged file.
        from: PathBuf,
        /// The new file, which must not be there yet.
        to: PathBuf,
    },
    /// Writes the record of a simulated player into a new file, to try things on.
    Simulate {
        /// The new file, which must not be there yet.
        file: PathBuf,
        /// Days from the first to the last.
        #[arg(long, value_name = "N", default_value_t = 3652, value_parser = clap::value_parser!(u32).range(1..=20_000))]
        days: u32,
        /// Attempts on a day of practice.
        #[arg(long, value_name = "N", default_value_t = 200, value_parser = clap::value_parser!(u32).range(1..=2_000))]
        attempts_a_day: u32,
        /// The same seed gives the same record.
        #[arg(long, default_value_t = 1)]
        seed: u64,
    },
    /// Erases a person's record for good, here and wherever this is imported.
    Erase {
        /// Whose record.
        name: String,
        /// Yes, for good.
        #[arg(long)]
        for_good: bool,
    },
}

pub(super) fn run(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    match &arguments.what {
        What::Where => location(source),
        What::Export { file, csv: false, all } => transfer::log::export(file, *all, source),
        What::Export { file, csv: true, .. } => transfer::table::export(file, source),
        What::Import { file, take } => {
            if file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("csv")) {
                transfer::paper::import(file, *take, source)
            } else {
                transfer::log::import(file, source)
            }
        }
        What::Check => check(source),
        What::Rescue { from, to } => {
            let found = runtime()?.block_on(rescue(from, to))?;
            if found.events == 0 {
                return Err(Failure::File(format!(
                    "{}: nothing of a record could be read; {} is empty",
                    from.display(),
                    to.display()
                )));
            }
            let lost = match found.unreadable {
                0 => String::new(),
                count => format!("; {count} more were found and cannot be read"),
            };
            let reading = format!("{} events are in {} now{lost}.", found.events, to.display());
            let mut page = Page::new(&reading, 0);
            page.note(&format!(
                "What stood on damaged pages is not among them. `longrail record check --record {}` looks it over.",
                to.display()
            ));
            page.print(
                source.json,
                &json!({"reading": reading, "events": found.events, "unreadable": found.unreadable}),
            )
        }
        What::Simulate { file, days, attempts_a_day, seed } => {
            let settings =
                Settings { days: *days, attempts_a_day: *attempts_a_day, seed: *seed, ..Settings::default() };
            simulate(file, settings, source)
        }
        What::Erase { name, for_good } => erase(name, *for_good, source),
    }
}

/// Events handed over at once.
const BATCH: usize = 5_000;

fn simulate(file: &Path, settings: Settings, source: &Source) -> Result<(), Failure> {
    if file.exists() {
        return Err(Failure::File(format!("{} is there already: choose a new file", file.display())));
    }
    let mut history = History::new(settings)?.peekable();
    let bar = indicatif::ProgressBar::new_spinner();
    let written: u64 = runtime()?.block_on(async {
        let store = SqlStore::in_file(file).await?;
        let mut written = 0;
        while history.peek().is_some() {
            let events: Vec<Event> = history.by_ref().take(BATCH).collect();
            store.append(&events).await?;
            written += events.len() as u64;
            bar.set_message(format!("{written} events"));
            bar.tick();
        }
        store.close().await;
        Ok::<_, StoreError>(written)
    })?;
    bar.finish_and_clear();
    let reading = format!("{written} events of a simulated player are in {}.", file.display());
    let mut page = Page::new(&reading, 0);
    page.note(&format!("`longrail today --record {}` reads it; nobody real is in it.", file.display()));
    page.print(source.json, &json!({"reading": reading, "events": written}))
}

fn location(source: &Source) -> Result<(), Failure> {
    let shelf = Shelf::open(source)?;
    let size = std::fs::metadata(&shelf.place).ok().map(|file| file.len());
    let words = size.map(|bytes| format!(", {} kB", bytes.div_ceil(1024))).unwrap_or_default();
    let reading = format!("{}{words}.", shelf.place);
    Page::new(&reading, 0)
        .print(source.json, &json!({"reading": reading, "place": shelf.place, "bytes": size}))
}

fn check(source: &Source) -> Result<(), Failure> {
    let shelf = Shelf::open(source)?;
    let report = shelf.wait(shelf.store.check())?;
    let reading = match report.faults.len() {
        0 => format!("{} events of {} records are sound.", report.events, report.players),
        count => format!(
            "{count} faults beside {} sound events: rescue what can be read into a new file.",
            report.events
        ),
    };
    let mut page = Page::new(&reading, 0);
    for fault in &report.faults {
        page.row("", fault);
    }
    page.print(
        source.json,
        &json!({"reading": reading, "records": report.players, "events": report.events, "faults": report.faults}),
    )?;
    if report.faults.is_empty() {
        Ok(())
    } else {
        Err(Failure::File(format!(
            "{}: the record has faults; `longrail record rescue` makes a sound one",
            shelf.place
        )))
    }
}

fn erase(name: &str, for_good: bool, source: &Source) -> Result<(), Failure> {
    let mut book = Book::open(&source.about(name))?;
    if !for_good {
        let sets = book.state().sets.len();
        return Err(Failure::Input(format!(
            "this erases the record of {name} for good ({sets} sets, journal and all), here and wherever it is imported; say \
             --for-good if that is meant, and export it first if you may want it back"
        )));
    }
    book.note(|desk| {
        desk.note(Payload::PersonErased(PersonErased {})).map_err(|refused| match refused {
            Refused::MayNot { .. } => Refused::NotYours(name.to_owned()),
            other => other,
        })
    })?;
    book.forget()?;
    let reading = format!("The record of {name} is erased; only that there was one is left.");
    Page::new(&reading, 0).print(source.json, &json!({"reading": reading}))
}
