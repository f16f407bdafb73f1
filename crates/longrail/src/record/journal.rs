//! `longrail journal`: the constructive diary. It stays on this device unless its writer says otherwise.

use clap::Subcommand;
use longrail_practice::event::{JournalEntry, Payload};
use serde_json::json;

use super::book::{Book, Source};
use crate::exit::Failure;
use crate::page::Page;

/// Prompts, for whoever does not know how to begin.
const PROMPTS: &str = "\
Three questions; one or two answers are enough:
  --went-on   What went on? What did you work on, and what do the counts say?
  --worked    What worked, and what did you do when it did?
  --next      What will you do next? \"If ..., then I ...\" is easier to keep than a wish.
  longrail journal add --worked \"slower last stroke\" --next \"if I rush, then I step back once\"";

/// Arguments of `longrail journal`.
#[derive(clap::Args)]
#[command(after_help = PROMPTS, args_conflicts_with_subcommands = true)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    what: Option<What>,
    /// How many entries, the latest ones.
    #[arg(long, value_name = "N", default_value_t = 5)]
    last: usize,
}

#[derive(Subcommand)]
enum What {
    /// Adds an entry.
    Add {
        /// What went on.
        #[arg(long, value_name = "TEXT", default_value = "")]
        went_on: String,
        /// What worked.
        #[arg(long, value_name = "TEXT", default_value = "")]
        worked: String,
        /// What you will do next.
        #[arg(long, value_name = "TEXT", default_value = "")]
        next: String,
        /// An instructor with whom you share your journal may read it. Otherwise nobody but you.
        #[arg(long)]
        shared: bool,
    },
}

pub(super) fn run(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    let mut book = Book::open(source)?;
    match &arguments.what {
        None => show(&book, arguments.last, source),
        Some(What::Add { went_on, worked, next, shared }) => {
            if went_on.is_empty() && worked.is_empty() && next.is_empty() {
                return Err(Failure::Input(format!("there is nothing to note.\n{PROMPTS}")));
            }
            book.note_one(Payload::JournalEntry(JournalEntry {
                went_on: went_on.clone(),
                worked: worked.clone(),
                next: next.clone(),
                private: !shared,
            }))?;
            let reading = if *shared { "Noted." } else { "Noted, for your eyes only." };
            Page::new(reading, 0).print(source.json, &json!({"reading": reading}))
        }
    }
}

fn show(book: &Book, last: usize, source: &Source) -> Result<(), Failure> {
    let all = &book.state().journal;
    let shown = &all[all.len().saturating_sub(last)..];
    let reading = match all.len() {
        0 => "The journal is empty; `longrail journal --help` has three questions to begin with.".to_owned(),
        count => format!("{} of {count} entries, the latest last.", shown.len()),
    };
    let mut page = Page::new(&reading, 8);
    for entry in shown {
        let who = if entry.what.private { "" } else { " (shared)" };
        page.line(&format!("{} {}{who}", entry.wall.date(), entry.wall.time()));
        let parts =
            [("went on", &entry.what.went_on), ("worked", &entry.what.worked), ("next", &entry.what.next)];
        for (label, text) in parts.into_iter().filter(|(_, text)| !text.is_empty()) {
            page.row(label, text);
        }
        page.gap();
    }
    let rows: Vec<_> = shown
        .iter()
        .map(|entry| json!({"date": entry.wall.date(), "time": entry.wall.time(), "entry": entry.what}))
        .collect();
    page.print(source.json, &json!({"reading": reading, "entries": rows}))
}
