//! A table of attempts taken in: sheets of paper, or what another program wrote. First it is shown what would be taken.

use std::path::Path;

use jiff::civil::{Date, Time};
use longrail_practice::constraints::Constraints;
use longrail_practice::drill::{RungNumber, Setup};
use longrail_practice::event::{Aim, Outcome, Purpose, Task, Wall};
use longrail_practice::id::EventId;
use longrail_stats::Count;
use serde::de::DeserializeOwned;
use serde_json::{Value, json};

use super::super::book::{Book, Source};
use super::super::moment;
use super::super::score::outcome_words;
use super::super::table as cards;
use super::table::Row;
use crate::exit::Failure;
use crate::files;
use crate::library;
use crate::page::Page;

/// Rows that are read, at most.
const MOST: usize = 100_000;
/// Refused rows that are listed.
const LISTED: usize = 20;
/// When it was, where a row has no time.
const NOON: &str = "12:00";
/// Minutes of a visit that nobody wrote down, for the form's sake.
const MINUTES: u32 = 60;

/// A row that can be taken.
struct Taken {
    wall: Wall,
    day: String,
    task: Task,
    aim: Aim,
    entry: Entry,
}

#[derive(Clone, Copy)]
enum Entry {
    One(Outcome),
    Many(Count),
}

impl Entry {
    fn count(self) -> (u32, u32) {
        match self {
            Self::One(outcome) => (u32::from(outcome.made()), 1),
            Self::Many(count) => (count.made(), count.tried()),
        }
    }
}

/// A table whose columns stand between semicolons is told as such, before its header is taken for one name.
fn with_commas(file: &Path) -> Result<(), Failure> {
    let text = std::fs::read(file).map_err(|error| Failure::File(format!("{}: {error}", file.display())))?;
    let header = text.split(|byte| *byte == b'\n').next().unwrap_or_default();
    if header.contains(&b';') && !header.contains(&b',') {
        return Err(Failure::Input(format!(
            "{}: its columns stand between semicolons; save it as CSV with commas",
            file.display()
        )));
    }
    if !header.windows(4).any(|part| part == b"made") {
        return Err(Failure::Input(format!(
            "{}: its first line must name the columns, at least date,table,drill,rung,made,tried",
            file.display()
        )));
    }
    Ok(())
}

/// A value by its name, as JSON has it.
fn by_name<T: DeserializeOwned>(name: &str) -> Option<T> {
    serde_json::from_value(Value::String(name.to_owned())).ok()
}

pub(in super::super) fn import(file: &Path, take: bool, source: &Source) -> Result<(), Failure> {
    with_commas(file)?;
    let mut book = Book::open(source)?;
    let (mut taken, mut wrong): (Vec<Taken>, Vec<(usize, String)>) = (Vec::new(), Vec::new());
    // Rows that this very record wrote.
    let mut on_record = 0_u32;
    for row in files::rows::<Row>(file, MOST)? {
        // A row with a column too many tells nothing of the others: the table is of another form.
        let (line, row) = row?;
        if row.set.parse().is_ok_and(|set: EventId| book.state().sets.contains_key(&set)) {
            on_record += 1;
            continue;
        }
        match read(&book, &row) {
            Ok(row) => taken.push(row),
            Err(why) => wrong.push((line, why)),
        }
    }
    taken.sort_by_key(|row| row.wall);
    let groups: Vec<&[Taken]> =
        taken.chunk_by(|a, b| a.day == b.day && a.task == b.task && a.aim == b.aim).collect();
    let (known, new): (Vec<&[Taken]>, Vec<&[Taken]>) =
        groups.into_iter().partition(|group| is_known(&book, group));
    let sum = |groups: &[&[Taken]]| {
        groups.iter().flat_map(|group| group.iter()).fold((0, 0), |(made, tried), row| {
            let count = row.entry.count();
            (made + count.0, tried + count.1)
        })
    };
    let (made, tried) = sum(&new);
    if take {
        write(&mut book, &new)?;
    }
    let would = if take { "are taken in" } else { "would be taken in: say --take" };
    let reading =
        format!("{} sets, {made} of {tried} made, {would}; {} rows are refused.", new.len(), wrong.len());
    let mut page = Page::new(&reading, 12);
    for group in &new {
        let first = &group[0];
        let (made, tried) = sum(&[group]);
        page.row(&first.day, &format!("{} rung {}: {made} of {tried}", first.task.drill, first.task.rung));
    }
    if !known.is_empty() {
        page.note(&format!(
            "{} sets are left out: the same count of the same rung is on record for that day already.",
            known.len()
        ));
    }
    if on_record > 0 {
        page.note(&format!("{on_record} rows are left out: they were exported from this record."));
    }
    for (line, why) in wrong.iter().take(LISTED) {
        page.row(&format!("line {line}"), why);
    }
    if wrong.len() > LISTED {
        page.note(&format!("and {} rows more", wrong.len() - LISTED));
    }
    let refused: Vec<Value> = wrong.iter().map(|(line, why)| json!({"line": line, "why": why})).collect();
    page.print(
        source.json,
        &json!({
            "reading": reading, "taken": take, "sets": new.len(), "made": made, "tried": tried, "known": known.len(), "own": on_record,
            "refused": refused,
        }),
    )
}

/// What a row says, or why it cannot be taken.
fn read(book: &Book, row: &Row) -> Result<Taken, String> {
    let date: Date =
        row.date.parse().map_err(|_| format!("date {:?} is none: write it as 2026-11-03", row.date))?;
    let time = if row.time.is_empty() { NOON } else { row.time.as_str() };
    let time: Time = time.parse().map_err(|_| format!("time {time:?} is none: write it as 18:30"))?;
    let wall =
        moment::at(date.to_datetime(time)).ok_or_else(|| format!("{date} {time} is no moment here"))?;
    let (card, _) = cards::named(book, &row.table).map_err(|failure| failure.to_string())?;
    let drill = library::found(&row.drill).map_err(|failure| failure.to_string())?;
    if let Some(version) = row.version.filter(|version| *version != drill.version) {
        return Err(format!(
            "version {version} of {} is not at hand; there is version {}",
            drill.id, drill.version
        ));
    }
    let rung: RungNumber = row.rung.parse().map_err(|error| format!("{error}"))?;
    if rung.value() > f64::from(drill.rungs) {
        return Err(format!("{} has the rungs 1 to {}, and this is {rung}", drill.id, drill.rungs));
    }
    let or = |text: &str, usual: &str| if text.is_empty() { usual.to_owned() } else { text.to_owned() };
    let setup: Setup = by_name(&or(&row.setup, "given")).ok_or_else(|| {
        format!("setup {:?} is none of given, turned, mirrored, turned-mirrored", row.setup)
    })?;
    let constraints: Constraints = row.constraints.parse().map_err(|error| format!("{error}"))?;
    let aim: Aim = by_name(&or(&row.aim, "work"))
        .ok_or_else(|| format!("aim {:?} is neither work nor proof", row.aim))?;
    if row.warm_up == "yes" {
        return Err("warm-up is left out of a table: it counts nowhere".to_owned());
    }
    let (Some(made), Some(tried)) = (row.made, row.tried) else {
        return Err("made and tried are needed".to_owned());
    };
    let count = Count::new(made, tried).map_err(|error| error.to_string())?;
    if !(1..=10_000).contains(&tried) {
        return Err(format!("tried is {tried}; it must be 1 to 10000"));
    }
    let entry = match outcome(row)? {
        Some(outcome) if tried == 1 && u32::from(outcome.made()) == made => Entry::One(outcome),
        Some(_) => return Err("an outcome goes with one attempt, and must agree with made".to_owned()),
        None if tried == 1 => Entry::One(if made == 1 { Outcome::Made } else { Outcome::Missed }),
        None => Entry::Many(count),
    };
    let task = Task {
        drill: drill.id,
        drill_version: drill.version,
        rung,
        setup,
        constraints: constraints.to_string(),
        card,
    };
    Ok(Taken { wall, day: date.to_string(), task, aim, entry })
}

fn outcome(row: &Row) -> Result<Option<Outcome>, String> {
    const ALL: [Outcome; 5] =
        [Outcome::Made, Outcome::Missed, Outcome::MissedLeft, Outcome::MissedRight, Outcome::MissedNotSeen];
    if row.outcome.is_empty() {
        return Ok(None);
    }
    let known = ALL.into_iter().find(|outcome| outcome_words(*outcome) == row.outcome);
    known.map(Some).ok_or_else(|| {
        let names: Vec<&str> = ALL.into_iter().map(outcome_words).collect();
        format!("outcome {:?} is none of {}", row.outcome, names.join("; "))
    })
}

/// Is a set with this count of this task on record for this day?
fn is_known(book: &Book, group: &[Taken]) -> bool {
    let Some(first) = group.first() else { return true };
    let (made, tried) = group.iter().fold((0, 0), |(made, tried), row| {
        let count = row.entry.count();
        (made + count.0, tried + count.1)
    });
    book.state().sets.values().any(|set| {
        set.began.as_ref().is_some_and(|(wall, began)| {
            began.task == first.task
                && began.aim == first.aim
                && wall.date() == first.day
                && (set.count().made(), set.count().tried()) == (made, tried)
        })
    })
}

/// A visit a day, a set a group.
fn write(book: &mut Book, groups: &[&[Taken]]) -> Result<(), Failure> {
    for day in groups.chunk_by(|a, b| a[0].day == b[0].day) {
        book.dated(day[0][0].wall);
        book.note(|desk| desk.begin_session(Purpose::DrillWork, MINUTES, None))?;
        for group in day {
            let first = &group[0];
            book.dated(first.wall);
            book.note(|desk| desk.begin_set(first.task.clone(), first.aim))?;
            for row in *group {
                book.dated(row.wall);
                match row.entry {
                    Entry::One(outcome) => book.note(|desk| desk.attempt(outcome, None))?,
                    Entry::Many(count) => book.note(|desk| desk.batch(count))?,
                };
            }
            book.end_set()?;
        }
        book.note(|desk| desk.end_session(None, ""))?;
    }
    Ok(())
}
