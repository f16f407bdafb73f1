//! `longrail session`: a visit to the table, its purpose first.

use std::collections::BTreeMap;

use clap::Subcommand;
use longrail_practice::desk::purpose_words;
use longrail_practice::event::{Purpose, Wall};
use longrail_practice::guide::{BREAK, caution};
use longrail_practice::id::EventId;
use longrail_practice::state::{Session, State};
use serde_json::{Value, json};

use super::book::{Book, Source};
use super::{For, moment, table};
use crate::exit::Failure;
use crate::page::Page;

/// How a visit goes, for `--help`.
const FORM: &str = "\
  longrail session begin drill-work --minutes 60 --table \"Table 4\"
  longrail set begin straight-stop-lengthening
  longrail score
  longrail session block match-play
  longrail session end --focus 4 --line \"calmer on the last stroke\"";

/// Arguments of `longrail session`.
#[derive(clap::Args)]
#[command(after_help = FORM, args_conflicts_with_subcommands = true)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    what: Option<What>,
    /// How many earlier visits are listed.
    #[arg(long, value_name = "N", default_value_t = 5)]
    last: usize,
}

#[derive(Subcommand)]
enum What {
    /// Begins a visit, and its first block.
    Begin {
        /// What the visit is for.
        #[arg(value_enum)]
        purpose: For,
        /// Minutes at hand.
        #[arg(long, value_name = "N")]
        minutes: u32,
        /// On which table; may be left out if there is one, or is said with the set.
        #[arg(long, value_name = "NAME")]
        table: Option<String>,
    },
    /// Goes over to another purpose: each block has exactly one.
    Block {
        /// What the block is for.
        #[arg(value_enum)]
        purpose: For,
    },
    /// Ends the visit, with what is open in it.
    End {
        /// How well your mind was on it, 1 to 5.
        #[arg(long, value_name = "1-5")]
        focus: Option<u8>,
        /// One line on it.
        #[arg(long, value_name = "TEXT", default_value = "")]
        line: String,
    },
}

pub(super) fn run(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    let mut book = Book::open(source)?;
    match &arguments.what {
        None => show(&book, arguments.last, source),
        Some(What::Begin { purpose, minutes, table }) => {
            begin(&mut book, *purpose, *minutes, table.as_deref(), source)
        }
        Some(What::Block { purpose }) => {
            let purpose = purpose.purpose();
            book.note(|desk| desk.begin_block(purpose))?;
            let reading = format!("A block for {} has begun.", purpose_words(purpose));
            Page::new(&reading, 0).print(source.json, &json!({"reading": reading, "purpose": purpose}))
        }
        Some(What::End { focus, line }) => end(&mut book, *focus, line, source),
    }
}

fn begin(
    book: &mut Book,
    purpose: For,
    minutes: u32,
    table: Option<&str>,
    source: &Source,
) -> Result<(), Failure> {
    let purpose = purpose.purpose();
    let only = || {
        let mut offered = table::offered(book);
        let first = offered.next().map(|(id, card)| (id, card.clone()));
        first.filter(|_| offered.next().is_none())
    };
    let card = match table {
        Some(name) => Some(table::shared(book, name)?),
        None => only(),
    };
    let on = card.as_ref().map(|(_, card)| format!(" on {}", card.name)).unwrap_or_default();
    let session = book.note(|desk| desk.begin_session(purpose, minutes, card.map(|(id, _)| id)))?;
    let reading = format!("A visit for {} has begun{on}: {minutes} minutes.", purpose_words(purpose));
    let mut page = Page::new(&reading, 0);
    let next = match purpose {
        Purpose::MatchPlay => "`longrail session end` ends it.",
        _ => "`longrail set begin DRILL` begins a set; `longrail drills` lists what there is.",
    };
    page.note(next);
    page.note(&format!(
        "A break each {BREAK} minutes is a good default. Pain, numbness or tingling is a reason to stop for the day, and if it \
         stays, to see somebody licensed to treat it."
    ));
    page.print(
        source.json,
        &json!({"reading": reading, "session": session, "purpose": purpose, "minutes": minutes}),
    )
}

fn end(book: &mut Book, focus: Option<u8>, line: &str, source: &Source) -> Result<(), Failure> {
    let left = book.left_at()?;
    if let Some(last) = left {
        book.dated(last);
    }
    let session = book.note(|desk| desk.end_session(focus, line))?;
    let state = book.state();
    let reading = state.sessions.get(&session).map_or_else(String::new, |ended| {
        format!("The visit has ended: {}.", words(&shot(state), session, ended, book_now(book)))
    });
    let mut page = Page::new(&reading, 0);
    if let Some(last) = left {
        page.note(&format!(
            "It was left open, so it ends with its last entry, {} {}; `--at` says another time.",
            last.date(),
            last.time()
        ));
    }
    page.note("`longrail journal add` takes three lines on it; `longrail ledger` has the hours.");
    page.print(source.json, &json!({"reading": reading, "session": session}))
}

fn book_now(book: &Book) -> Wall {
    book.now().map(|now| now.wall).unwrap_or_default()
}

/// "52 minutes, 74 of 120 made in 3 sets".
fn words(shot: &Shot, id: EventId, session: &Session, now: Wall) -> String {
    let began = session.began.as_ref().map_or(now, |(wall, _)| *wall);
    let until = session.ended.as_ref().map_or(now, |(wall, _)| *wall);
    let (sets, made, tried) = shot.get(&id).copied().unwrap_or_default();
    let shots = match sets {
        0 => "no sets".to_owned(),
        1 => format!("{made} of {tried} made in one set"),
        sets => format!("{made} of {tried} made in {sets} sets"),
    };
    let minutes = match moment::minutes(began, until) {
        1 => "1 minute".to_owned(),
        minutes => format!("{minutes} minutes"),
    };
    format!("{minutes}, {shots}")
}

/// Sets, made and tried, by visit.
type Shot = BTreeMap<EventId, (usize, u32, u32)>;

/// What was shot in each visit.
fn shot(state: &State) -> Shot {
    let mut shot = Shot::new();
    for set in state.sets.values().filter(|set| set.count().tried() > 0) {
        let block = set.began.as_ref().and_then(|(_, began)| state.blocks.get(&began.block));
        if let Some((_, block)) = block.and_then(|block| block.began.as_ref()) {
            let (sets, made, tried) = shot.entry(block.session).or_default();
            *sets += 1;
            *made += set.count().made();
            *tried += set.count().tried();
        }
    }
    shot
}

fn show(book: &Book, last: usize, source: &Source) -> Result<(), Failure> {
    let (state, now) = (book.state(), book.now()?.wall);
    let (open, shot) = (state.open_session(), shot(state));
    let reading = match open {
        Some((id, session)) => {
            let purpose =
                session.began.as_ref().map(|(_, began)| purpose_words(began.purpose)).unwrap_or_default();
            format!("A visit for {purpose} is open: {}.", words(&shot, id, session, now))
        }
        None => "No visit is open: `longrail session begin PURPOSE --minutes N` begins one.".to_owned(),
    };
    let mut page = Page::new(&reading, 16);
    if let Some((_, session)) = open {
        for block in session.blocks.iter().filter_map(|id| state.blocks.get(id)) {
            let Some((began, what)) = &block.began else { continue };
            let until =
                if block.ended { minutes_of(block.lasted_ms()) } else { moment::minutes(*began, now) };
            page.row(&began.time(), &format!("{}, {until} minutes", purpose_words(what.purpose)));
        }
        if let Some(caution) =
            session.began.as_ref().and_then(|(wall, _)| caution(moment::minutes(*wall, now)))
        {
            page.note(&caution);
        }
    }
    let mut ended: Vec<_> =
        state.sessions.iter().rev().filter(|(_, session)| session.ended.is_some()).take(last).collect();
    ended.reverse();
    for (id, session) in &ended {
        let Some((began, what)) = &session.began else { continue };
        let text = format!("{}: {}", purpose_words(what.purpose), words(&shot, **id, session, now));
        page.row(&format!("{} {}", began.date(), began.time()), &text);
        if let Some((_, reflection)) = session.ended.as_ref().filter(|(_, ended)| !ended.line.is_empty()) {
            page.row("", &reflection.line);
        }
    }
    let rows: Vec<Value> = ended.iter().map(|(id, session)| object(&shot, **id, session)).collect();
    let open = open.map(|(id, session)| object(&shot, id, session));
    page.print(source.json, &json!({"reading": reading, "open": open, "ended": rows}))
}

fn minutes_of(ms: u64) -> u32 {
    u32::try_from(ms / 60_000).unwrap_or(u32::MAX)
}

fn object(shot: &Shot, id: EventId, session: &Session) -> Value {
    let (sets, made, tried) = shot.get(&id).copied().unwrap_or_default();
    json!({
        "session": id, "began": session.began.as_ref().map(|(wall, what)| json!({"at": wall, "what": what})),
        "ended": session.ended.as_ref().map(|(wall, what)| json!({"at": wall, "what": what})),
        "sets": sets, "made": made, "tried": tried,
    })
}
