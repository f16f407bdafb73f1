//! `longrail ledger` and `longrail study`: minutes by purpose.

use longrail_practice::desk::purpose_words;
use longrail_practice::event::Purpose;
use longrail_practice::state::{Spent, Week};
use serde_json::{Value, json};

use super::book::{Book, Source};
use crate::exit::Failure;
use crate::page::Page;

/// What time goes into, in the order of the columns.
const COLUMNS: [Spent; 5] = [
    Spent::Table(Purpose::DrillWork),
    Spent::Table(Purpose::NewSkill),
    Spent::Table(Purpose::Test),
    Spent::Table(Purpose::MatchPlay),
    Spent::Study,
];

/// Arguments of `longrail ledger`.
#[derive(clap::Args)]
pub(crate) struct Arguments {
    /// How many weeks, the latest ones.
    #[arg(long, value_name = "N", default_value_t = 8, value_parser = clap::value_parser!(u32).range(1..=1000))]
    weeks: u32,
}

/// Arguments of `longrail study`.
#[derive(clap::Args)]
#[command(after_help = "  longrail study 30 \"read about throw\"")]
pub(crate) struct StudyArguments {
    /// How long, 1 to 1440.
    minutes: u32,
    /// One line on it.
    #[arg(default_value = "")]
    line: String,
}

const fn words(spent: Spent) -> &'static str {
    match spent {
        Spent::Table(purpose) => purpose_words(purpose),
        Spent::Study => "study",
    }
}

fn minutes(ms: u64) -> u64 {
    // To the nearest.
    (ms + 30_000) / 60_000
}

pub(super) fn run(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    let book = Book::open(source)?;
    let ledger = book.state().ledger();
    let weeks: Vec<_> = ledger.iter().rev().take(arguments.weeks as usize).collect();
    let total: u64 = weeks.iter().flat_map(|(_, spent)| spent.values()).map(|ms| minutes(*ms)).sum();
    let this = Week::of(book.now()?.wall);
    let here: u64 = ledger.get(&this).map_or(0, |spent| spent.values().map(|ms| minutes(*ms)).sum());
    let reading = if weeks.is_empty() {
        "No time is on record yet.".to_owned()
    } else {
        format!("{here} minutes this week; {total} in the weeks shown.")
    };
    let mut page = Page::new(&reading, 10);
    if !weeks.is_empty() {
        let titles: Vec<String> = COLUMNS.iter().map(|spent| format!("{:>11}", words(*spent))).collect();
        page.line(&format!("{:10}  {}", "week", titles.join(" ")));
    }
    let mut rows: Vec<Value> = Vec::new();
    for (week, spent) in weeks {
        let of = |column: &Spent| spent.get(column).copied().map_or(0, minutes);
        let cells: Vec<String> = COLUMNS.iter().map(|column| format!("{:>11}", of(column))).collect();
        page.line(&format!("{:10}  {}", week.to_string(), cells.join(" ")));
        let by: serde_json::Map<String, Value> =
            COLUMNS.iter().map(|column| (words(*column).replace(' ', "_"), of(column).into())).collect();
        rows.push(json!({"week": week.to_string(), "minutes": by}));
    }
    page.print(source.json, &json!({"reading": reading, "weeks": rows}))
}

pub(super) fn study(arguments: &StudyArguments, source: &Source) -> Result<(), Failure> {
    let mut book = Book::open(source)?;
    book.note(|desk| desk.study(arguments.minutes, &arguments.line))?;
    let reading = format!("{} minutes of study noted.", arguments.minutes);
    Page::new(&reading, 0).print(source.json, &json!({"reading": reading}))
}
