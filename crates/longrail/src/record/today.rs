//! `longrail today`: where you stand, and what to do next, each with its reason.

use longrail_practice::constraints::Constraints;
use longrail_practice::desk::purpose_words;
use longrail_practice::drill::Setup;
use longrail_practice::event::{Aim, Wall};
use longrail_practice::guide::{self, Known};
use serde_json::{Value, json};

use super::book::{Book, Source};
use super::table;
use crate::exit::Failure;
use crate::page::Page;

/// Arguments of `longrail today`.
#[derive(clap::Args)]
pub(crate) struct Arguments {}

/// Something to do.
struct Proposal {
    command: String,
    why: String,
}

pub(super) fn run(_: &Arguments, source: &Source) -> Result<(), Failure> {
    let Some(book) = Book::open_if_any(source)? else { return begin(source) };
    let now = book.now()?.wall;
    let proposals = proposals(&book, now)?;
    let reading = reading(&book, &proposals);
    let mut page = Page::new(&reading, 0);
    for proposal in &proposals {
        page.note(&proposal.why);
        page.line(&format!("  {}", proposal.command));
    }
    let rows: Vec<Value> =
        proposals.iter().map(|one| json!({"why": one.why, "command": one.command})).collect();
    page.print(source.json, &json!({"reading": reading, "proposals": rows}))
}

/// The way to the first attempt.
fn begin(source: &Source) -> Result<(), Failure> {
    let reading = "Nobody is on record yet. Five commands lead to the first attempt:";
    let commands = [
        "longrail player add NAME --start regular",
        "longrail table add TABLE --size 9ft",
        "longrail session begin drill-work --minutes 60",
        "longrail set begin straight-stop-lengthening",
        "longrail score",
    ];
    let mut page = Page::new(reading, 0);
    for command in commands {
        page.line(&format!("  {command}"));
    }
    page.note(
        "`longrail player add --help` has the sentences for --start; `longrail drills` lists the drills.",
    );
    page.print(source.json, &json!({"reading": reading, "commands": commands}))
}

fn reading(book: &Book, proposals: &[Proposal]) -> String {
    let state = book.state();
    if let Some((_, set)) = state.set_now()
        && let Some((_, began)) = &set.began
    {
        let count = set.count();
        return format!(
            "A set is open: {} of {} at rung {} of {}. `longrail score` goes on.",
            count.made(),
            count.tried(),
            began.task.rung,
            began.task.drill
        );
    }
    if let Some((_, session)) = state.open_session() {
        let purpose = session.began.as_ref().map_or("", |(_, began)| purpose_words(began.purpose));
        return format!("A visit for {purpose} is open.");
    }
    if proposals.len() == 1 {
        "One thing to do next.".to_owned()
    } else {
        format!("{} things to choose from.", proposals.len())
    }
}

fn proposals(book: &Book, now: Wall) -> Result<Vec<Proposal>, Failure> {
    let mut proposals = Vec::new();
    if book.state().open_session().is_none() {
        proposals.push(Proposal {
            command: "longrail session begin drill-work --minutes 60".to_owned(),
            why: "First say what the visit is for.".to_owned(),
        });
    }
    let mut guide = book.guide();
    let mut known = Known::of(&guide, |_| true)?;
    let found = guide.proposals(&mut known, now)?;
    let tables = table::offered(book).count();
    proposals.extend(
        found.iter().map(|found| Proposal { command: command(found, tables > 1), why: found.why.clone() }),
    );
    if found.is_empty() {
        proposals.push(Proposal {
            command: "longrail set begin straight-stop-lengthening".to_owned(),
            why: "No ladder is being worked on. The straight stop shot is where most begin; `longrail drills` lists the others."
                .to_owned(),
        });
    }
    Ok(proposals)
}

/// What begins it.
fn command(found: &guide::Proposal, several_tables: bool) -> String {
    let task = &found.task;
    let prove = if found.aim == Aim::Proof { " --prove" } else { "" };
    let corner = match task.setup {
        Setup::Given => "",
        Setup::Turned => " --turned",
        Setup::Mirrored => " --mirrored",
        Setup::TurnedMirrored => " --turned --mirrored",
    };
    // A text that is on record was read once; one that a newer program wrote is not proposed.
    let constraints = task.constraints.parse::<Constraints>().unwrap_or_default();
    let constraints: Vec<String> =
        constraints.all().iter().map(|constraint| format!(" --constraint \"{constraint}\"")).collect();
    let on = if several_tables { format!(" --table \"{}\"", found.table) } else { String::new() };
    format!(
        "longrail set begin {} --rung {}{prove}{corner}{}{on}",
        task.drill,
        task.rung,
        constraints.concat()
    )
}
