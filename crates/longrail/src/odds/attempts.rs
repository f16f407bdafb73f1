//! Attempts on record, as CSV: by session, table and rung.

use std::path::Path;

use longrail_stroke::infer::{Seen, Tally};
use serde::Deserialize;

use super::day::days;
use crate::exit::Failure;
use crate::files;

/// What the attempts look like, for `--help`.
pub(super) const FORM: &str = r"The attempts are CSV with a header: rung,seen,count,day,table,family; all but rung and seen may be
left out.
A rung is numbered as in `longrail ladder` (1 where the file has no ladder); seen is one of
  made
  left, right       the side of the pocket's middle on which the ball passed, seen from the ball
  missed            the ball missed, side not seen
  short, long, off  the ball potted, the cue ball short, too far, or wrong in another way
  strayed           the ball potted, the cue ball not where it should be, how not seen
  failed            not made, nothing more is known
count is 1 where it is left out. day is a date (2026-11-25) or a number of days; the rows of one day are
one session, between which the spread of aim drifts. table is a size (7ft) other than the file's, on
which the same diamonds were shot. family is a word of your own for another family of shots than the
ladder's (jacked-up, other-hand): there the spread may differ, and attempts tell by how much.

Each rung's hit is that which is best for the file's stroke; what is inferred supposes that it was
intended.";

/// The longest file of attempts, in rows.
const MOST_ROWS: usize = 1_000_000;

/// The longest name of a family, in characters.
const LONGEST: usize = 60;

/// A row of the attempts.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    rung: usize,
    seen: Seen,
    #[serde(default)]
    count: Option<u32>,
    #[serde(default)]
    day: Option<String>,
    #[serde(default)]
    table: Option<String>,
    #[serde(default)]
    family: Option<String>,
}

/// Attempts of one family of shots at one rung of one table on one day.
pub(super) struct Entry {
    /// `None` where the file has no days.
    pub(super) day: Option<f64>,
    /// `None` for the file's own table.
    pub(super) table: Option<String>,
    /// `None` for the ladder's own family.
    pub(super) family: Option<String>,
    /// From 0.
    pub(super) rung: usize,
    pub(super) tally: Tally,
    /// Line in the file on which this rung is named first.
    pub(super) line: usize,
}

impl Entry {
    /// Whether it is of the same table and family.
    fn is_at(&self, other: &Self) -> bool {
        self.table == other.table && self.family == other.family
    }
}

/// Reads the attempts; days in their order, and each rung of a table and family once a day. `own` is the file's own table.
pub(super) fn read(path: &Path, own: Option<&str>) -> Result<Vec<Entry>, Failure> {
    let name = path.display();
    let mut entries: Vec<Entry> = Vec::new();
    for row in files::rows::<Row>(path, MOST_ROWS)? {
        let (line, row) = row?;
        let wrong = |what: String| Failure::Input(format!("{name}, line {line}: {what}"));
        let day = row.day.as_deref().map(days).transpose().map_err(wrong)?;
        if entries.first().is_some_and(|first| first.day.is_some() != day.is_some()) {
            return Err(wrong("some rows have a day and others have none; give all of them one".to_owned()));
        }
        let rung =
            row.rung.checked_sub(1).ok_or_else(|| wrong("rung is 0; the first rung is 1".to_owned()))?;
        let table = row.table.filter(|table| Some(table.as_str()) != own);
        let mut tally = Tally::default();
        tally.add_many(row.seen, row.count.unwrap_or(1));
        let family = row.family.map(|family| family.trim().to_owned()).filter(|family| !family.is_empty());
        if family.as_ref().is_some_and(|family| family.chars().count() > LONGEST) {
            return Err(wrong(format!("the family's name is longer than {LONGEST} characters; shorten it")));
        }
        entries.push(Entry { day, table, family, rung, tally, line });
    }
    entries.sort_by(|a, b| {
        let days = a.day.unwrap_or(0.0).total_cmp(&b.day.unwrap_or(0.0));
        days.then_with(|| a.table.cmp(&b.table))
            .then_with(|| a.family.cmp(&b.family))
            .then_with(|| a.rung.cmp(&b.rung))
    });
    entries.dedup_by(|next, kept| {
        let same = next.day == kept.day && next.is_at(kept) && next.rung == kept.rung;
        if same {
            kept.tally.merge(&next.tally);
        }
        same
    });
    Ok(entries)
}
