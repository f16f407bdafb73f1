//! `longrail infer`: a stroke from attempts on record.

use std::path::PathBuf;

use longrail_stroke::infer::{Offset, Parameter, Posterior, Prior, Seen, Surface, Tally};

use super::attempts::{self, Entry, FORM};
use super::inferred;
use super::posed::{self, Posed, Source};
use super::rungs::Rungs;
use crate::exit::Failure;

/// Arguments of `longrail infer`.
#[derive(clap::Args)]
#[command(after_help = FORM)]
pub(crate) struct Arguments {
    #[command(flatten)]
    pub(super) source: Source,
    /// CSV file with the attempts.
    #[arg(long, value_name = "CSV")]
    attempts: PathBuf,
    /// Predict the rungs on a table of this size too; may be given several times.
    #[arg(long, value_name = "SIZE")]
    on: Vec<String>,
}

/// The rungs on one table, for one family of shots.
pub(super) struct Table {
    /// `None` for the file's own.
    pub(super) size: Option<String>,
    /// `None` for the ladder's own.
    pub(super) family: Option<String>,
    /// What each rung's hit says of a stroke; `None` where no hit makes it.
    surfaces: Vec<Option<Surface>>,
    /// Attempts by rung, of all days.
    pub(super) tallies: Vec<Tally>,
    /// The chance now, by rung.
    pub(super) chances: Vec<Option<Parameter>>,
}

impl Table {
    fn new(posed: &Posed, size: Option<&str>, seed: u32) -> Result<Self, Failure> {
        let elsewhere = size.map(|size| posed.on(size)).transpose()?;
        let posed = elsewhere.as_ref().unwrap_or(posed);
        let surfaces = Rungs::of(posed, seed)?.surfaces;
        let tallies = vec![Tally::default(); surfaces.len()];
        Ok(Self { size: size.map(str::to_owned), family: None, surfaces, tallies, chances: Vec::new() })
    }

    /// The same for another family of shots.
    fn of_family(&self, family: &str) -> Self {
        Self {
            size: self.size.clone(),
            family: Some(family.to_owned()),
            surfaces: self.surfaces.clone(),
            tallies: vec![Tally::default(); self.surfaces.len()],
            chances: Vec::new(),
        }
    }

    /// Whether an entry was made here.
    fn holds(&self, entry: &Entry) -> bool {
        self.size == entry.table && self.family == entry.family
    }

    /// By how much a stroke may be off here.
    fn offset(&self) -> Option<Offset> {
        Offset::of(self.size.as_deref(), self.family.as_deref())
    }

    /// Attempts made here.
    pub(super) fn attempts(&self) -> u32 {
        self.tallies.iter().fold(0, |sum, tally| sum.saturating_add(tally.tried()))
    }

    /// The surface of an entry's rung, or why there is none.
    fn surface(&self, entry: &Entry) -> Result<&Surface, Failure> {
        let Entry { rung, line, .. } = entry;
        let number = rung + 1;
        match self.surfaces.get(*rung) {
            Some(Some(surface)) => Ok(surface),
            Some(None) => Err(Failure::Input(format!("rung {number} has attempts, and no hit makes it"))),
            None => Err(Failure::Input(format!(
                "line {line}: rung {number} is not on the ladder, which has {}",
                self.surfaces.len()
            ))),
        }
    }
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let posed = posed::posed(&arguments.source)?;
    let entries = attempts::read(&arguments.attempts, posed.size())?;
    let mut tables = tables(&posed, &entries, arguments)?;
    for entry in &entries {
        if let Some(table) = tables.iter_mut().find(|table| table.holds(entry)) {
            table.surface(entry)?;
            table.tallies[entry.rung].merge(&entry.tally);
        }
    }
    let posterior = posterior(&tables, &entries)?;
    for table in &mut tables {
        let offset = table.offset();
        let chance = |surface: &Surface| posterior.predicted_under(surface, Seen::Made, offset.as_ref());
        table.chances = table.surfaces.iter().map(|surface| surface.as_ref().map(chance)).collect();
    }
    let sessions = sessions(&entries).len();
    inferred::say(arguments, &posed, &tables, sessions, &posterior.inferred())
}

/// The file's own table, those with attempts, and those asked for; then the families with attempts.
fn tables(posed: &Posed, entries: &[Entry], arguments: &Arguments) -> Result<Vec<Table>, Failure> {
    let tried = entries.iter().filter_map(|entry| entry.table.as_deref());
    let asked = arguments.on.iter().map(String::as_str).filter(|size| Some(*size) != posed.size());
    let mut sizes: Vec<Option<&str>> = vec![None];
    for size in tried.chain(asked) {
        if !sizes.contains(&Some(size)) {
            sizes.push(Some(size));
        }
    }
    let mut tables = sizes
        .into_iter()
        .map(|size| Table::new(posed, size, arguments.source.seed))
        .collect::<Result<Vec<_>, _>>()?;
    for entry in entries {
        let Some(family) = entry.family.as_deref().filter(|_| !tables.iter().any(|table| table.holds(entry)))
        else {
            continue;
        };
        let own = tables.iter().find(|table| table.size == entry.table).map(|table| table.of_family(family));
        tables.extend(own);
    }
    Ok(tables)
}

/// Entries of one day after the other.
fn sessions(entries: &[Entry]) -> Vec<&[Entry]> {
    entries.chunk_by(|a, b| a.day == b.day).collect()
}

fn posterior(tables: &[Table], entries: &[Entry]) -> Result<Posterior, Failure> {
    let mut posterior = Posterior::new(Prior::default())?;
    let offsets: Vec<Option<Offset>> = tables.iter().map(Table::offset).collect();
    let mut last: Option<f64> = None;
    for session in sessions(entries) {
        let day = session.first().and_then(|entry| entry.day);
        if let (Some(last), Some(day)) = (last, day) {
            posterior.session(day - last)?;
        }
        last = day;
        let mut attempts = Vec::new();
        for entry in session {
            for (table, offset) in tables.iter().zip(&offsets).filter(|(table, _)| table.holds(entry)) {
                attempts.push((table.surface(entry)?, &entry.tally, offset.as_ref()));
            }
        }
        posterior.take_all(attempts);
    }
    Ok(posterior)
}
