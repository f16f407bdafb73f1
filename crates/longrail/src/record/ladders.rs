//! Ladders worked out: from the store where they are kept, or now, with progress told, and kept.

use std::rc::Rc;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};
use longrail_practice::drill::Drill;
use longrail_practice::guide::{Guide, Host, Wanted};
use longrail_practice::ladder::{Posed as Ladder, WorkError, Worked, Working};

use super::book::Book;
use crate::exit::Failure;
use crate::library;

/// Steps after which what is done so far is kept: a stop in between loses less than half a second of work.
const KEPT_EACH: u32 = 8;

impl Host for Book {
    type Error = Failure;

    fn drill(&self, id: &str) -> Result<Option<Drill>, Failure> {
        library::of_id(id)
    }

    fn worked(&self, drill: &Drill, wanted: &Wanted) -> Result<Rc<Worked>, Failure> {
        worked(self, wanted.ladder(drill)?, drill).map(Rc::new)
    }
}

impl Book {
    /// What the record says and proposes.
    pub(super) fn guide(&self) -> Guide<'_, Self> {
        Guide::new(self.state(), self)
    }
}

fn worked(book: &Book, ladder: Ladder, drill: &Drill) -> Result<Worked, Failure> {
    let key = format!("ladder {}", ladder.key());
    let told = |error: WorkError| Failure::Input(error.to_string());
    // What is damaged, or of another version, is worked out again.
    let kept = book.computed(&key)?.and_then(|text| Worked::decode(&text).ok());
    let mut working = match kept {
        Some(worked) if worked.is_complete() => return Ok(worked),
        Some(worked) => Working::resume(ladder.clone(), worked).or_else(|_| Working::new(ladder)),
        None => Working::new(ladder),
    }
    .map_err(told)?;
    let bar = ProgressBar::new(0);
    if let Ok(style) = ProgressStyle::with_template("{msg} {wide_bar} {pos}/{len}") {
        bar.set_style(style);
    }
    bar.set_message(format!("working out {}", drill.id));
    bar.enable_steady_tick(Duration::from_millis(200));
    while let Some(progress) = working.next_rung().map_err(told)? {
        bar.set_length(progress.of.into());
        bar.set_position(progress.done.into());
        if progress.done.is_multiple_of(KEPT_EACH) {
            book.keep_computed(&key, &working.so_far().encode())?;
        }
    }
    bar.finish_and_clear();
    let worked = working.finish().map_err(told)?;
    book.keep_computed(&key, &worked.encode())?;
    Ok(worked)
}
