//! `longrail score` and `longrail undo`: what was shot.

use clap::ValueEnum;
use longrail_practice::event::{Correction, CueEnd, Outcome, Payload};
use longrail_practice::guide;
use longrail_practice::state::What;
use longrail_stats::Count;
use serde_json::json;

use super::book::{Book, Source};
use super::lines::verdict_name;
use super::table_side::TableSide;
use crate::evidence::{entries, typed};
use crate::exit::Failure;
use crate::page::Page;
use crate::scoring;

/// How attempts are scored, for `--help`.
const FORM: &str = "\
  longrail score                    a full screen, one key an attempt; ? lists the keys
  longrail score 36/50              a count; also: longrail score 36 of 50
  longrail score left --cue short   one attempt: made, missed, left, right, not-seen
  longrail score --shots 1101       shot by shot: 1 made, 0 missed

A proof looks after each attempt of its own, and once at a count. Left and right are
the side of the pocket's centre on which the object ball passed, seen from the ball.";

/// Arguments of `longrail score`.
#[derive(clap::Args)]
#[command(after_help = FORM)]
pub(crate) struct Arguments {
    /// A count, or how one attempt went; the full screen if it is left out.
    #[arg(value_name = "WHAT", num_args = 0..=3)]
    what: Vec<String>,
    /// Attempts in their order: 1 or + made, 0 or - missed.
    #[arg(long, value_name = "SHOTS", allow_hyphen_values = true, conflicts_with = "what")]
    shots: Option<String>,
    /// Where the cue ball ended, against where it should have; for one attempt that was missed.
    #[arg(long, value_enum, value_name = "END")]
    cue: Option<End>,
    /// Other players who share the table, taking turns; each needs an open set (`--player NAME`).
    #[arg(long, value_name = "NAME")]
    with: Vec<String>,
    /// Attempts in a row before the next one's turn.
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=100))]
    each: u32,
}

/// Arguments of `longrail undo`.
#[derive(clap::Args)]
pub(crate) struct UndoArguments {
    /// Calls back the last accepted promotion instead. It stays on record, and says from now on that it was called back.
    #[arg(long)]
    promotion: bool,
}

/// Where the cue ball ended.
#[derive(Clone, Copy, ValueEnum)]
enum End {
    Short,
    Long,
    Off,
}

impl End {
    const fn event(self) -> CueEnd {
        match self {
            Self::Short => CueEnd::Short,
            Self::Long => CueEnd::Long,
            Self::Off => CueEnd::Off,
        }
    }
}

/// What was typed.
enum Typed {
    One(Outcome),
    Many(Count),
}

/// "36/50", "36 of 50", "left".
fn typed(words: &[String]) -> Result<Typed, Failure> {
    let joined = words.join(" ");
    let outcome = match joined.as_str() {
        "made" => Some(Outcome::Made),
        "missed" => Some(Outcome::Missed),
        "left" => Some(Outcome::MissedLeft),
        "right" => Some(Outcome::MissedRight),
        "not-seen" => Some(Outcome::MissedNotSeen),
        _ => None,
    };
    if let Some(outcome) = outcome {
        return Ok(Typed::One(outcome));
    }
    if !joined.starts_with(|c: char| c.is_ascii_digit()) {
        return Err(Failure::Input(format!(
            "{joined:?} is neither a count, such as 36/50, nor one of made, missed, left, right, not-seen"
        )));
    }
    typed::count(&joined.replace(" of ", "/")).map(Typed::Many)
}

pub(super) fn run(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    if !arguments.with.is_empty() && (arguments.shots.is_some() || !arguments.what.is_empty()) {
        return Err(Failure::Input(
            "--with is for the full screen: enter each one's attempts by themselves, with --player NAME"
                .to_owned(),
        ));
    }
    if let Some(shots) = &arguments.shots {
        let visits = entries::shots(shots)?;
        let mut book = Book::open(source)?;
        for entry in visits.into_iter().flatten() {
            let outcome = match entry {
                entries::Entry::Shot(true) => Outcome::Made,
                _ => Outcome::Missed,
            };
            book.note(|desk| desk.attempt(outcome, None))?;
        }
        return told(&book, "", source);
    }
    if arguments.what.is_empty() {
        return on_screen(arguments, source);
    }
    let typed = typed(&arguments.what)?;
    let mut book = Book::open(source)?;
    let end = arguments.cue.map(End::event);
    match typed {
        Typed::One(outcome) => {
            if end.is_some() && outcome.made() {
                return Err(Failure::Input(
                    "--cue says how the cue ball missed its place, so the attempt was not made".to_owned(),
                ));
            }
            book.note(|desk| desk.attempt(outcome, end))?;
        }
        Typed::Many(_) if end.is_some() => {
            return Err(Failure::Input("--cue goes with one attempt, not with a count".to_owned()));
        }
        Typed::Many(count) => {
            book.note(|desk| desk.batch(count))?;
        }
    }
    told(&book, "", source)
}

/// The full screen.
fn on_screen(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    let mut desk = TableSide::open(source, &arguments.with, arguments.each)?;
    let lines = scoring::run(&mut desk)?;
    crate::print(&format!("{}\n", lines.join("\n")))
}

pub(super) fn undo(arguments: &UndoArguments, source: &Source) -> Result<(), Failure> {
    let mut book = Book::open(source)?;
    if arguments.promotion {
        return call_back(&mut book, source);
    }
    let back = book.undo()?;
    told(&book, &format!("Took back: {}. ", what_words(back)), source)
}

/// Calls back the last promotion that stands.
fn call_back(book: &mut Book, source: &Source) -> Result<(), Failure> {
    let state = book.state();
    let standing = state.promotions.iter().rev().find(|noted| !state.standing(noted).called_back);
    let Some(last) = standing.cloned() else {
        return Err(Failure::Input("there is no promotion that could be called back".to_owned()));
    };
    book.note_one(Payload::Correction(Correction { of: last.event }))?;
    let reading = format!(
        "The pass of rung {} of {} on {} is called back; it stays on record with that remark.",
        last.what.task.rung,
        last.what.task.drill,
        last.wall.date()
    );
    Page::new(&reading, 0).print(source.json, &json!({"reading": reading, "promotion": last.event}))
}

/// An entry in words.
pub(super) fn what_words(what: What) -> String {
    match what {
        What::Batch { made, tried } => format!("{made} of {tried}"),
        What::Attempt { outcome, .. } => outcome_words(outcome).to_owned(),
    }
}

pub(super) const fn outcome_words(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Made => "made",
        Outcome::Missed => "missed",
        Outcome::MissedLeft => "missed left",
        Outcome::MissedRight => "missed right",
        Outcome::MissedNotSeen => "missed, side not seen",
    }
}

/// The tally, and how the evidence stands.
fn told(book: &Book, done: &str, source: &Source) -> Result<(), Failure> {
    let Some((id, set)) = book.state().set_now() else { return Ok(()) };
    let Some((_, began)) = &set.began else { return Ok(()) };
    let count = set.count();
    let warm = match set.warm_up_left {
        0 => String::new(),
        left => format!("; {left} of the warm-up to come"),
    };
    let reading = format!("{done}This set: {} of {}{warm}.", count.made(), count.tried());
    let (stands, next, advice) = guide::so_far(book.state(), book.profile()?, began, book.now()?.wall)?;
    let mut page = Page::new(&reading, 0);
    page.note(&stands);
    page.note(&next);
    let sheet = advice.map(|advice| {
        json!({
            "verdict": verdict_name(advice.verdict), "made": advice.count.made(), "tried": advice.count.tried(),
            "makes_to_promote": advice.makes_to_promote, "misses_to_step_back": advice.misses_to_step_back,
        })
    });
    page.print(
        source.json,
        &json!({
            "reading": reading, "set": id, "made": count.made(), "tried": count.tried(), "seen": set.seen,
            "warm_up_left": set.warm_up_left, "stands": stands, "next": next, "sheet": sheet,
        }),
    )
}
