//! `longrail today`: where you stand, and what to do next, each with its reason.

use longrail_practice::constraints::Constraints;
use longrail_practice::desk::purpose_words;
use longrail_practice::drill::Setup;
use longrail_practice::event::{Task, Wall};
use longrail_practice::ladder::Fit;
use longrail_practice::state::Shots;
use longrail_stats::promotion::{Rules, Verdict};
use serde_json::{Value, json};

use super::book::{Book, Source};
use super::evidence::ladders_of;
use super::ladders::Ladders;
use super::stand::{Known, passed};
use super::table;
use super::task::Posed;
use crate::exit::Failure;
use crate::odds::say;
use crate::page::Page;

/// Days after which a ladder is not counted among those being worked on. An assumption.
const ACTIVE_DAYS: i64 = 60;
/// Days after which a passed rung is looked at again, and attempts for that (study of progression, 5.2).
const RECHECK_DAYS: i64 = 30;
const RECHECK_ATTEMPTS: u32 = 10;
/// Ladders that are gone through, the latest first.
const MOST: usize = 4;

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
    let state = book.state();
    let mut proposals = Vec::new();
    if state.open_session().is_none() {
        proposals.push(Proposal {
            command: "longrail session begin drill-work --minutes 60".to_owned(),
            why: "First say what the visit is for.".to_owned(),
        });
    }
    // The latest ladders first.
    let mut active: Vec<(Wall, Vec<(&Task, &Shots)>)> = ladders_of(state)
        .into_values()
        .filter_map(|rungs| {
            let sets = rungs.iter().flat_map(|(_, shots)| &shots.sets);
            let last = sets.filter_map(|id| state.sets.get(id)?.last).max()?;
            (now.day() - last.day() <= ACTIVE_DAYS).then_some((last, rungs))
        })
        .collect();
    active.sort_by_key(|(last, _)| std::cmp::Reverse(*last));
    active.truncate(MOST);
    let rules = book.profile()?.proof.rules()?;
    let mut ladders = Ladders::default();
    let mut known = Known::of(book, |_| true)?;
    let begun = proposals.len();
    for (_, rungs) in &active {
        of_ladder(book, now, &mut ladders, &mut known, rungs, &rules, &mut proposals)?;
    }
    if proposals.len() == begun {
        proposals.push(Proposal {
            command: "longrail set begin straight-stop-lengthening".to_owned(),
            why: "No ladder is being worked on. The straight stop shot is where most begin; `longrail drills` lists the others."
                .to_owned(),
        });
    }
    Ok(proposals)
}

/// How a layout is set up, if not as the drill says.
const fn corner_words(setup: Setup) -> &'static str {
    match setup {
        Setup::Given => "",
        Setup::Turned => "turned",
        Setup::Mirrored => "mirrored",
        Setup::TurnedMirrored => "turned and mirrored",
    }
}

fn of_ladder(
    book: &Book,
    now: Wall,
    ladders: &mut Ladders,
    known: &mut Known,
    rungs: &[(&Task, &Shots)],
    rules: &Rules,
    proposals: &mut Vec<Proposal>,
) -> Result<(), Failure> {
    let task = rungs[0].0;
    let (Ok(posed), Ok(constraints)) = (Posed::of(book, task), task.constraints.parse::<Constraints>())
    else {
        // A drill that is not at hand, or a newer program's constraints: nothing to propose.
        return Ok(());
    };
    let tables = table::offered(book).count();
    if table::offered(book).all(|(id, _)| id != task.card) {
        // A table that is no longer there.
        return Ok(());
    }
    let mut place = format!("{} on {}", posed.drill.title, posed.card.name);
    for more in [corner_words(task.setup), task.constraints.as_str()] {
        if !more.is_empty() {
            place = format!("{place}, {more}");
        }
    }
    let command = |rung: &str, more: &str| {
        let constraints: Vec<String> =
            constraints.all().iter().map(|constraint| format!(" --constraint \"{constraint}\"")).collect();
        let corner = match task.setup {
            Setup::Given => "",
            Setup::Turned => " --turned",
            Setup::Mirrored => " --mirrored",
            Setup::TurnedMirrored => " --turned --mirrored",
        };
        let on = if tables > 1 { format!(" --table \"{}\"", posed.card.name) } else { String::new() };
        format!("longrail set begin {} --rung {rung}{more}{corner}{}{on}", task.drill, constraints.concat())
    };
    // A sheet that is open is resumed.
    let before = proposals.len();
    for (task, shots) in rungs {
        let Some(sheet) = shots.going_on(now) else { continue };
        let advice = longrail_practice::advice::judged(sheet, rules)?.advice(rules);
        if let (Verdict::Undecided | Verdict::StepBack(_), Some(makes)) =
            (advice.verdict, advice.makes_to_promote)
        {
            proposals.push(Proposal {
                command: command(&task.rung.to_string(), " --prove"),
                why: format!(
                    "Go on proving rung {} of {place}: the sheet stands at {} of {}, and {makes} makes in a row would pass.",
                    task.rung,
                    advice.count.made(),
                    advice.count.tried()
                ),
            });
        }
    }
    let standing = known.on(book, ladders, &posed, &constraints)?;
    if let Some(work) = standing.work() {
        let chance = standing.at(f64::from(work.rung));
        proposals.push(Proposal {
            command: command(&work.rung.to_string(), ""),
            why: format!(
                "Work at rung {} of {place}: you make {} there, as modelled ({} to {}){}.",
                work.rung,
                say::percent(chance.mean),
                say::percent(chance.low),
                say::percent(chance.high),
                match work.fit {
                    Fit::Good => ", which is where learning shows most",
                    Fit::TooHard => "; its first rung is still hard for you",
                    Fit::TooEasy => "; its last rung has become easy",
                    Fit::Between => "; its steps are long for you",
                }
            ),
        });
    }
    if proposals.len() == before + usize::from(standing.work().is_some())
        && let Some(rung) = standing.frontier(passed(book.state(), task))
    {
        let chance = standing.at(f64::from(rung));
        proposals.push(Proposal {
            command: command(&rung.to_string(), " --prove"),
            why: format!(
                "Prove rung {rung} of {place}, the next to be passed: you make {} there, as modelled.",
                say::percent(chance.mean)
            ),
        });
    }
    if let Some(rung) = passed(book.state(), task) {
        let at = rungs.iter().find(|(task, _)| task.rung.is_whole() && task.rung.below() == rung);
        let last = at
            .and_then(|(_, shots)| shots.sets.iter().filter_map(|id| book.state().sets.get(id)?.last).max());
        if let Some(days) = last.map(|last| now.day() - last.day()).filter(|days| *days >= RECHECK_DAYS) {
            proposals.push(Proposal {
                command: command(&rung.to_string(), ""),
                why: format!(
                    "Look again at rung {rung} of {place}, passed once: {days} days without it; {RECHECK_ATTEMPTS} attempts tell \
                     whether it is still there."
                ),
            });
        }
    }
    Ok(())
}
