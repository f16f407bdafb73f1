//! The log as JSON Lines: one event a line, nothing left out.

use std::fs::File;
use std::io::{BufRead, BufReader};
use std::path::Path;

use longrail_practice::event::Event;
use longrail_practice::event::may::coming_in;
use longrail_practice::log::Merged;
use longrail_store::EventStore;
use serde_json::json;

use super::super::book::{Book, Shelf, Source};
use super::{Out, told};
use crate::exit::Failure;
use crate::page::Page;

/// Events handed over at once.
const BATCH: u32 = 2_000;
/// Refused lines that are listed.
const LISTED: usize = 20;

pub(in super::super) fn export(file: &Path, all: bool, source: &Source) -> Result<(), Failure> {
    let (shelf, players) = if all {
        let shelf = Shelf::open(source)?;
        let players = shelf.wait(shelf.store.players())?;
        (std::rc::Rc::new(shelf), players)
    } else {
        let book = Book::open(source)?;
        (std::rc::Rc::clone(&book.shelf), vec![book.player()])
    };
    let mut out = Out::open(file)?;
    let mut events = 0_u64;
    for player in players {
        let mut after = 0;
        loop {
            let page = shelf.wait(shelf.store.read(player, after, BATCH))?;
            if let Some(tombstone) = page.tombstone.filter(|_| after == 0) {
                out.line(&tombstone.encode().map_err(|error| Failure::Input(error.to_string()))?)?;
                events += 1;
            }
            let Some((last, _)) = page.events.last() else { break };
            after = *last;
            for (_, event) in &page.events {
                out.line(&event.encode().map_err(|error| Failure::Input(error.to_string()))?)?;
                events += 1;
            }
        }
    }
    if out.done()? {
        let reading = format!("{events} events are in {}.", file.display());
        return Page::new(&reading, 0).print(source.json, &json!({"reading": reading, "events": events}));
    }
    Ok(())
}

pub(in super::super) fn import(file: &Path, source: &Source) -> Result<(), Failure> {
    let shelf = Shelf::open(source)?;
    let lines = BufReader::new(File::open(file).map_err(|error| told(file, &error))?).lines();
    let mut sum = Merged::default();
    let mut wrong: Vec<(usize, String)> = Vec::new();
    let mut batch = Vec::new();
    let take = |batch: &mut Vec<Event>, sum: &mut Merged| -> Result<(), Failure> {
        let merged = shelf.wait(shelf.store.merge(batch))?;
        sum.new += merged.new;
        sum.known += merged.known;
        sum.erased += merged.erased;
        sum.conflicts += merged.conflicts;
        batch.clear();
        Ok(())
    };
    for (number, line) in (1..).zip(lines) {
        let line = line.map_err(|error| told(file, &error))?;
        if line.trim().is_empty() {
            continue;
        }
        match coming_in(&line) {
            Err(why) => wrong.push((number, why)),
            Ok(event) => batch.push(event),
        }
        if batch.len() >= BATCH as usize {
            take(&mut batch, &mut sum)?;
        }
    }
    take(&mut batch, &mut sum)?;
    let reading = format!(
        "{} events are new, {} were there already, {} lines were refused.",
        sum.new,
        sum.known,
        wrong.len()
    );
    let mut page = Page::new(&reading, 8);
    if sum.erased > 0 {
        page.note(&format!("{} belong to erased records, or erase one.", sum.erased));
    }
    if sum.conflicts > 0 {
        page.note(&format!(
            "{} have the identifier of another event, as no sound device writes; of each two one is kept.",
            sum.conflicts
        ));
    }
    for (number, why) in wrong.iter().take(LISTED) {
        page.row(&format!("line {number}"), why);
    }
    if wrong.len() > LISTED {
        page.note(&format!("and {} lines more", wrong.len() - LISTED));
    }
    let rows: Vec<_> = wrong.iter().map(|(line, why)| json!({"line": line, "why": why})).collect();
    page.print(
        source.json,
        &json!({
            "reading": reading, "new": sum.new, "known": sum.known, "erased": sum.erased, "conflicts": sum.conflicts,
            "refused": rows,
        }),
    )?;
    if wrong.is_empty() {
        Ok(())
    } else {
        Err(Failure::Input(format!(
            "{} lines of {} were refused; the others are in",
            wrong.len(),
            file.display()
        )))
    }
}
