//! A set that ends: what it says, and what the player decides.

use longrail_practice::event::Payload;
use longrail_practice::guide::{self, Decided};
use longrail_stats::promotion::Verdict;

use super::book::Book;
use crate::exit::Failure;

/// A set that has ended, and what was decided.
pub(super) struct Ended {
    pub(super) said: guide::Ended,
    pub(super) promoted: bool,
    pub(super) stepped_back: bool,
}

/// Ends the open set, takes what was decided, and says the three lines.
pub(super) fn end(book: &mut Book, decided: Decided) -> Result<Ended, Failure> {
    let set = book.end_set()?;
    let said = book.guide().ended(set)?;
    // Who scores for somebody else decides nothing for them.
    let note = said.note(decided).filter(|_| book.is_own());
    let promoted = matches!(note, Some(Payload::PromotionAccepted(_)));
    let stepped_back = matches!(&note, Some(Payload::StepBackAnswered(answer)) if answer.accepted);
    if let Some(note) = note {
        book.note_one(note)?;
    }
    Ok(Ended { said, promoted, stepped_back })
}

/// A verdict's name in JSON.
pub(super) const fn verdict_name(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Promote(_) => "promote",
        Verdict::StepBack(_) => "step_back",
        Verdict::Stay => "stay",
        Verdict::Undecided => "undecided",
    }
}
