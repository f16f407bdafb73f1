//! Attempts as a table, one entry a row.

use std::collections::BTreeMap;
use std::path::Path;

use longrail_practice::event::{Attempt, CueEnd, Event, Payload, SetBegan, Wall};
use longrail_practice::guide;
use longrail_practice::id::EventId;
use longrail_store::EventStore;
use serde::{Deserialize, Serialize};
use serde_json::json;

use super::super::book::{Book, Source};
use super::super::score::outcome_words;
use super::Out;
use crate::exit::Failure;
use crate::page::Page;

/// Events read at once.
const BATCH: u32 = 4_000;

/// A row. What is read needs only date, table, drill, rung, made and tried.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct Row {
    pub(super) date: String,
    pub(super) time: String,
    pub(super) table: String,
    pub(super) drill: String,
    pub(super) version: Option<u32>,
    pub(super) rung: String,
    pub(super) setup: String,
    pub(super) constraints: String,
    pub(super) aim: String,
    pub(super) made: Option<u32>,
    pub(super) tried: Option<u32>,
    pub(super) outcome: String,
    pub(super) cue_end: String,
    pub(super) warm_up: String,
    pub(super) scored_by: String,
    pub(super) set: String,
}

/// A setup or an aim by its name.
pub(in super::super) fn name_of<T: Serialize>(value: &T) -> String {
    serde_json::to_value(value).ok().and_then(|value| value.as_str().map(str::to_owned)).unwrap_or_default()
}

/// A set as it is read past.
struct Reading {
    began: SetBegan,
    warm_up_left: u32,
}

/// An entry and the events that bear on it.
struct Entered {
    wall: Wall,
    set: EventId,
    made: u32,
    tried: u32,
    outcome: &'static str,
    warm_up: bool,
    other: bool,
}

pub(in super::super) fn export(file: &Path, source: &Source) -> Result<(), Failure> {
    let book = Book::open(source)?;
    let mut ends: BTreeMap<EventId, CueEnd> = BTreeMap::new();
    each(&book, |event| {
        match event.payload() {
            Some(Payload::CueEndNoted(noted)) => {
                ends.insert(noted.of, noted.cue_end);
            }
            Some(Payload::Attempt(Attempt { cue_end: Some(end), .. })) => {
                ends.insert(event.head.id, *end);
            }
            _ => {}
        }
        Ok(())
    })?;
    let mut out = Out::open(file)?;
    let mut sets: BTreeMap<EventId, Reading> = BTreeMap::new();
    let mut rows = 0_u64;
    each(&book, |event| {
        if let Some(entered) = entered(event, &mut sets) {
            let row = row(&book, &entered, &sets, ends.get(&event.head.id).copied());
            out.line(&csv_line(&row, rows == 0)?)?;
            rows += 1;
        }
        Ok(())
    })?;
    if out.done()? {
        let reading = format!("{rows} entries are in {}.", file.display());
        return Page::new(&reading, 0).print(source.json, &json!({"reading": reading, "entries": rows}));
    }
    Ok(())
}

/// Goes through the events of a record in their order; those that were taken back are left out.
fn each(book: &Book, mut take: impl FnMut(&Event) -> Result<(), Failure>) -> Result<(), Failure> {
    let (shelf, player) = (&book.shelf, book.player());
    let corrected = shelf.wait(shelf.store.corrected(player, None))?;
    let mut last = None;
    loop {
        let events = shelf.wait(shelf.store.since(player, last, BATCH))?;
        let Some((_, end)) = events.last() else { return Ok(()) };
        last = Some(end.head.position());
        for (_, event) in events.iter().filter(|(_, event)| !corrected.contains(&event.head.id)) {
            take(event)?;
        }
    }
}

/// The entry that an event is, if it is one; other events are remembered as far as entries need them.
fn entered(event: &Event, sets: &mut BTreeMap<EventId, Reading>) -> Option<Entered> {
    let (set, made, tried, outcome) = match event.payload()? {
        Payload::SetBegan(began) => {
            sets.insert(event.head.id, Reading { began: began.clone(), warm_up_left: 0 });
            return None;
        }
        Payload::WarmUpDeclared(declared) => {
            if let Some(set) = sets.get_mut(&declared.set) {
                set.warm_up_left += declared.attempts;
            }
            return None;
        }
        Payload::Attempt(x) => (x.set, u32::from(x.outcome.made()), 1, outcome_words(x.outcome)),
        Payload::Batch(x) => (x.set, x.made, x.tried, ""),
        _ => return None,
    };
    let mut warm_up = false;
    if let Some(reading) = sets.get_mut(&set) {
        warm_up = reading.warm_up_left > 0 && tried <= reading.warm_up_left;
        reading.warm_up_left = if warm_up { reading.warm_up_left - tried } else { 0 };
    }
    let other = event.head.author != event.head.player;
    Some(Entered { wall: event.head.wall, set, made, tried, outcome, warm_up, other })
}

fn row(book: &Book, entered: &Entered, sets: &BTreeMap<EventId, Reading>, end: Option<CueEnd>) -> Row {
    let mut row = Row {
        date: entered.wall.date(),
        time: entered.wall.time(),
        made: Some(entered.made),
        tried: Some(entered.tried),
        outcome: entered.outcome.to_owned(),
        cue_end: end.map(|end| name_of(&end)).unwrap_or_default(),
        warm_up: if entered.warm_up { "yes" } else { "" }.to_owned(),
        scored_by: if entered.other { "somebody else" } else { "" }.to_owned(),
        set: entered.set.to_string(),
        ..Row::default()
    };
    if let Some(Reading { began, .. }) = sets.get(&entered.set) {
        let task = &began.task;
        row.table = guide::table(book.state(), task);
        row.drill.clone_from(&task.drill);
        row.version = Some(task.drill_version);
        row.rung = task.rung.to_string();
        row.setup = name_of(&task.setup);
        row.constraints.clone_from(&task.constraints);
        row.aim = name_of(&began.aim);
    }
    row
}

/// A row as a line, with the names of the columns before it if asked.
fn csv_line(row: &Row, header: bool) -> Result<String, Failure> {
    let told = |error: &dyn std::fmt::Display| Failure::File(format!("a row cannot be written: {error}"));
    let mut writer = csv::WriterBuilder::new().has_headers(header).from_writer(Vec::new());
    writer.serialize(row).map_err(|error| told(&error))?;
    let bytes = writer.into_inner().map_err(|error| told(&error))?;
    let text = String::from_utf8(bytes).map_err(|error| told(&error))?;
    Ok(text.trim_end_matches('\n').to_owned())
}
