//! Reading what can be read of a damaged file into a new one.
//!
//! The file's pages are read one by one, without asking whether a way leads to them: a page that is damaged loses what stands
//! on it and nothing else. Names and players stand on two pages each, as rows and in an index, and one is enough. What was
//! erased is not found: its bytes were overwritten.

use crate::open::log_of;
use crate::pages::{Leaf, Pages, Value};
use crate::row::{Numbered, Row};
use crate::{EventStore, SqlStore, StoreError};
use longrail_practice::event::Event;
use longrail_practice::id::{EventId, PlayerId};
use std::collections::BTreeMap;
use std::fs;
use std::io::ErrorKind;
use std::path::Path;

/// Events written in one transaction.
const BATCH: usize = 1_000;

/// What was rescued.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Rescued {
    /// Events that are in the new file.
    pub events: usize,
    /// Events that were found but cannot be read: damaged, or what they name is lost.
    pub unreadable: usize,
}

/// Reads what can be read of the file `from` into the new file `to`. `from` is not changed.
///
/// # Errors
/// If `to` is there already or cannot be written, or `from` cannot be read at all.
pub async fn rescue(from: &Path, to: &Path) -> Result<Rescued, StoreError> {
    if to.exists() {
        return Err(StoreError::Exists(to.to_owned()));
    }
    let closed = |file: &Path, error: std::io::Error| StoreError::Closed {
        place: file.display().to_string(),
        why: error.to_string(),
    };
    let bytes = fs::read(from).map_err(|error| closed(from, error))?;
    let log = match fs::read(log_of(from)) {
        Err(error) if error.kind() == ErrorKind::NotFound => Vec::new(),
        log => log.map_err(|error| closed(from, error))?,
    };
    let mut found = Found::default();
    for (leaf, row) in Pages::of(&bytes, &log).rows() {
        found.take(leaf, &row);
    }
    let (events, unreadable) = found.events();
    let store = SqlStore::in_file(to).await?;
    let mut rescued = Rescued { events: 0, unreadable };
    for batch in events.chunks(BATCH) {
        let merged = store.merge(batch).await?;
        rescued.events += merged.new + merged.erased;
    }
    store.close().await;
    Ok(rescued)
}

/// What stood on the pages.
#[derive(Default)]
struct Found {
    players: BTreeMap<i64, PlayerId>,
    names: BTreeMap<i64, Numbered>,
    rows: Vec<(i64, Row)>,
    tombstones: Vec<Event>,
}

impl Found {
    /// Takes a row, by the shape that those of a table or an index have.
    fn take(&mut self, leaf: Leaf, row: &[Value]) {
        use Value::{Int, Null, Text};
        match (leaf, row) {
            (Leaf::Table, [Int(player), Text(uuid), Int(number)])
            | (Leaf::Index, [Int(player), Int(number), Text(uuid), Int(_)]) => {
                if let Ok(id) = uuid.parse::<EventId>() {
                    self.names.entry(*player).or_default().insert(*number, id.bits());
                }
            }
            (Leaf::Table, [Int(player), Text(uuid), Int(_), Int(_), Int(_), Null])
            | (Leaf::Index, [Text(uuid), Int(player), Int(_)]) => {
                if let Ok(id) = uuid.parse() {
                    self.players.insert(*player, id);
                }
            }
            (Leaf::Table, [Int(_), Text(_), Int(_), Int(_), Int(_), Text(tombstone)]) => {
                self.tombstones.extend(Event::decode(tombstone));
            }
            (Leaf::Table, [Int(player), Int(_), event @ ..]) => {
                if let Some(row) = row_of(event) {
                    self.rows.push((*player, row));
                }
            }
            _ => {}
        }
    }

    /// The events, and how many rows gave none.
    fn events(self) -> (Vec<Event>, usize) {
        let mut events = self.tombstones;
        let mut unreadable = 0;
        let nobody = Numbered::new();
        for (player, row) in &self.rows {
            let names = self.names.get(player).unwrap_or(&nobody);
            match self.players.get(player).map(|player| row.event(*player, names)) {
                Some(Ok(event)) => events.push(event),
                _ => unreadable += 1,
            }
        }
        (events, unreadable)
    }
}

/// A row of events, behind the player and the place.
fn row_of(values: &[Value]) -> Option<Row> {
    let [numbers @ .., Value::Text(kind), set_number, body, line] = values else { return None };
    let numbers: Vec<i64> = numbers
        .iter()
        .map(|value| match value {
            Value::Int(number) => Some(*number),
            _ => None,
        })
        .collect::<Option<_>>()?;
    let [id_high, id_low, device, author, sequence, clock_ms, clock_count, wall_ms, wall_offset_min] =
        numbers.try_into().ok()?;
    let text = |value: &Value| match value {
        Value::Text(text) => Some(Some(text.clone())),
        Value::Null => Some(None),
        _ => None,
    };
    let set_number = match set_number {
        Value::Int(number) => Some(*number),
        Value::Null => None,
        _ => return None,
    };
    Some(Row {
        id_high,
        id_low,
        device,
        author,
        sequence,
        clock_ms,
        clock_count,
        wall_ms,
        wall_offset_min,
        kind: kind.clone(),
        set_number,
        body: text(body)?,
        line: text(line)?,
    })
}
