//! `longrail evidence`: what the record proves, rung by rung, and what the stroke says beside it.

use longrail_practice::advice::{judged, range};
use longrail_practice::constraints::Constraints;
use longrail_practice::drill::Setup;
use longrail_practice::event::{Aim, Task, Wall};
use longrail_practice::form::Standing;
use longrail_practice::guide::{Guide, Known, ladders_of, table};
use longrail_practice::id::EventId;
use longrail_practice::state::{Shots, State};
use longrail_scene::{Counted, LadderChart, RungOdds, ladder_svg};
use longrail_stats::Count;
use longrail_stats::promotion::{Rules, Verdict};
use longrail_stroke::infer::Parameter;
use serde_json::{Value, json};

use super::book::{Book, Source};
use super::lines;
use super::transfer::name_of;
use crate::exit::Failure;
use crate::library;
use crate::odds::say;
use crate::page::Page;
use crate::picture;

/// Below so many attempts only the interval is said.
const FEWEST: u32 = 5;

/// Arguments of `longrail evidence`.
#[derive(clap::Args)]
pub(crate) struct Arguments {
    /// The drill; all ladders are listed if it is left out.
    drill: Option<String>,
    /// Only on this table.
    #[arg(long, value_name = "NAME")]
    table: Option<String>,
    #[command(flatten)]
    sheet: picture::Sheet,
}

/// Sets with attempts, numbered from 1 in the order in which they began.
pub(super) fn numbered(state: &State) -> Vec<(u32, EventId)> {
    let shot = state.sets.iter().filter(|(_, set)| set.began.is_some() && set.seen.tried() > 0);
    (1..).zip(shot.map(|(id, _)| *id)).collect()
}

pub(super) fn run(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    arguments.sheet.check()?;
    let book = Book::open(source)?;
    let state = book.state();
    let wanted = |task: &Task| {
        arguments.drill.as_ref().is_none_or(|drill| task.drill == *drill)
            && arguments.table.as_ref().is_none_or(|name| table(book.state(), task) == *name)
    };
    let ladders: Vec<_> = ladders_of(state).into_values().filter(|rungs| wanted(rungs[0].0)).collect();
    if ladders.is_empty() {
        if let Some(drill) = &arguments.drill {
            // A name that no drill has is told as such.
            library::found(drill)?;
        }
        let reading = match &arguments.drill {
            Some(drill) => format!("Nothing is on record of {drill} there yet."),
            None => "Nothing is on record yet: `longrail set begin DRILL`.".to_owned(),
        };
        return Page::new(&reading, 0).print(source.json, &json!({"reading": reading, "ladders": []}));
    }
    let (made, tried) = ladders
        .iter()
        .flatten()
        .fold((0, 0), |(made, tried), (_, shots)| (made + shots.tally.made(), tried + shots.tally.tried()));
    let on = if ladders.len() == 1 { "one ladder".to_owned() } else { format!("{} ladders", ladders.len()) };
    let reading = format!("{made} of {tried} made, on {on}.");
    let mut page = Page::new(&reading, 10);
    let (rules, now) = (book.profile()?.proof.rules()?, book.now()?.wall);
    let mut guide = book.guide();
    let mut known = Known::of(&guide, |_| true)?;
    let (mut objects, mut standings) = (Vec::new(), Vec::new());
    for rungs in &ladders {
        let task = rungs[0].0;
        let standing = standing(&mut guide, &mut known, task);
        title(&mut page, &book, task, standing.as_ref());
        for (task, shots) in rungs {
            rung(&mut page, (*task, *shots), (&rules, now), standing.as_ref());
        }
        page.gap();
        objects.push(object(&book, rungs, (&rules, now), standing.as_ref()));
        standings.push(standing);
    }
    draw(&book, arguments, &ladders, &standings, &known)?;
    if arguments.drill.is_some() {
        sets(&mut page, &book, &wanted);
    }
    page.note(
        "Ranges are 80 %. What was made is counted; the chance now is modelled from your stroke. A count that a rule stopped \
         flatters: its range is the one that holds however often one looks.",
    );
    page.print(
        source.json,
        &json!({"reading": reading, "ladders": objects, "sets": set_objects(&book, &wanted)}),
    )
}

/// The picture of the one ladder that is shown: what was counted, and the odds that the stroke has on it.
fn draw(
    book: &Book,
    arguments: &Arguments,
    ladders: &[Vec<(&Task, &Shots)>],
    standings: &[Option<Standing>],
    known: &Known,
) -> Result<(), Failure> {
    if !arguments.sheet.any() {
        return Ok(());
    }
    let ([rungs], [standing]) = (ladders, standings) else {
        return Err(Failure::Input(
            "a picture has one ladder: name its drill, and with --table its table".to_owned(),
        ));
    };
    let task = rungs[0].0;
    let standing = standing.as_ref().ok_or_else(|| {
        Failure::Input(format!(
            "{} cannot be worked out on this table any more, so there is no picture",
            task.drill
        ))
    })?;
    let odds = |chance: &Option<Parameter>| {
        chance.map(|chance| RungOdds { made: chance.mean, low: chance.low, high: chance.high })
    };
    let counted = rungs.iter().filter_map(|(task, shots)| {
        let (made, tried) = (shots.tally.made(), shots.tally.tried());
        let range = range(Count::new(made, tried).ok().filter(|count| count.tried() > 0)?, shots.stopped());
        Some(Counted { rung: task.rung.value() - 1.0, made, tried, low: range.low, high: range.high })
    });
    let last = standing.chances.len();
    // Half a rung beyond either end stands for "not on this ladder".
    let inside = (1.0..=f64::from(u32::try_from(last).unwrap_or(u32::MAX))).contains(&standing.even.middle);
    let reading = format!(
        "{} on {}: even at rung {:.1} ({:.1} to {:.1}), as modelled.",
        task.drill,
        table(book.state(), task),
        standing.even.middle,
        standing.even.low,
        standing.even.high
    );
    let chart = LadderChart {
        rungs: standing.chances.iter().map(odds).collect(),
        counted: counted.collect(),
        target: standing.target,
        crossing: inside.then_some(standing.even.middle - 1.0),
        band: "80 % by what is known of the stroke".to_owned(),
        title: "Where the record puts you on a ladder".to_owned(),
        description: reading.clone(),
        reading,
        captions: vec![format!(
            "Modelled from the last {} attempts that say something of it; counted are made and tried of each rung, with their 80 % range.",
            book.guide().posed(task).map_or(0, |posed| known.rests_on(&posed))
        )],
    };
    arguments.sheet.draw(|style| ladder_svg(&chart, style))?.save()
}

/// Where the stroke puts the player on a ladder on record; none where it cannot be worked out any more.
fn standing(guide: &mut Guide<'_, Book>, known: &mut Known, task: &Task) -> Option<Standing> {
    let constraints: Constraints = task.constraints.parse().ok()?;
    let posed = guide.posed(task).ok()?;
    known.on(guide, &posed, &constraints).ok()
}

fn title(page: &mut Page, book: &Book, task: &Task, standing: Option<&Standing>) {
    let mut words = vec![format!("{} on {}", task.drill, table(book.state(), task))];
    if task.setup != Setup::Given {
        words.push(name_of(&task.setup));
    }
    if !task.constraints.is_empty() {
        words.push(task.constraints.clone());
    }
    page.line(&words.join(", "));
    if let Some(even) = standing.map(|standing| standing.even) {
        let text = format!("rung {:.1}, modelled ({:.1} to {:.1})", even.middle, even.low, even.high);
        page.row("even at", &text);
    }
    let ladder = task.ladder();
    if let Some(noted) = book.state().promotions.iter().rev().find(|noted| noted.what.task.ladder() == ladder)
    {
        let standing = book.state().standing(noted);
        let mut remarks = vec![format!("rung {} once, on {}", noted.what.task.rung, noted.wall.date())];
        if standing.now != (noted.what.made, noted.what.tried) {
            // Attempts of another device came later, or some were taken back.
            remarks.push(format!(
                "at {} of {} then, where its sheet has {} of {} now",
                noted.what.made, noted.what.tried, standing.now.0, standing.now.1
            ));
        }
        if standing.called_back {
            remarks.push("called back since".to_owned());
        }
        page.row("passed", &remarks.join(", "));
    }
}

fn counted(made: u32, tried: u32, stopped: bool) -> String {
    let Ok(count) = Count::new(made, tried) else { return format!("{made} of {tried}") };
    let range = range(count, stopped);
    let mark = if stopped { ", stopped by the rule" } else { "" };
    let rate = count.rate().filter(|_| tried >= FEWEST && !stopped);
    let rate = rate.map(|rate| format!("{}, ", say::percent(rate))).unwrap_or_default();
    format!("{made} of {tried} ({rate}{} to {}{mark})", say::percent(range.low), say::percent(range.high))
}

fn rung(
    page: &mut Page,
    (task, shots): (&Task, &Shots),
    (rules, now): (&Rules, Wall),
    standing: Option<&Standing>,
) {
    let tally = shots.tally;
    let mut parts = Vec::new();
    if tally.work_tried > 0 {
        parts.push(format!("work {}", counted(tally.work_made, tally.work_tried, false)));
    }
    if tally.proof_tried > 0 {
        parts.push(format!("proof {}", counted(tally.proof_made, tally.proof_tried, shots.stopped())));
    }
    if let Some(chance) = standing.map(|standing| standing.at(task.rung.value())) {
        parts.push(format!("now {}, modelled", say::percent(chance.mean)));
    }
    page.row(&format!("rung {}", task.rung), &parts.join("; "));
    if let Some(sheet) = shots.counting(now).and_then(|open| judged(open, rules).ok()) {
        let advice = sheet.advice(rules);
        let next = match advice.verdict {
            Verdict::Promote(_) => ": passed".to_owned(),
            _ => advice
                .makes_to_promote
                .map(|makes| format!("; {makes} makes in a row pass"))
                .unwrap_or_default(),
        };
        page.row("", &format!("open sheet: {} of {}{next}", advice.count.made(), advice.count.tried()));
    }
}

/// Corner and constraints of a task, as far as they are not the usual ones.
fn corner(task: &Task) -> String {
    let setup = if task.setup == Setup::Given { String::new() } else { name_of(&task.setup) };
    let parts: Vec<String> =
        [setup, task.constraints.clone()].into_iter().filter(|part| !part.is_empty()).collect();
    if parts.is_empty() { String::new() } else { format!(", {}", parts.join(", ")) }
}

/// The sets, numbered, for whoever wants to compare them.
fn sets(page: &mut Page, book: &Book, wanted: &dyn Fn(&Task) -> bool) {
    for (number, id) in numbered(book.state()) {
        let Some(set) = book.state().sets.get(&id) else { continue };
        let Some((wall, began)) = set.began.as_ref().filter(|(_, began)| wanted(&began.task)) else {
            continue;
        };
        let kind = if began.aim == Aim::Proof { "proof" } else { "work" };
        let count = set.count();
        page.row(
            &format!("set {number}"),
            &format!(
                "{} {} rung {}{} {kind}: {} of {}",
                wall.date(),
                table(book.state(), &began.task),
                began.task.rung,
                corner(&began.task),
                count.made(),
                count.tried()
            ),
        );
    }
}

fn set_objects(book: &Book, wanted: &dyn Fn(&Task) -> bool) -> Vec<Value> {
    let sets = numbered(book.state()).into_iter().filter_map(|(number, id)| {
        let set = book.state().sets.get(&id)?;
        let (wall, began) = set.began.as_ref().filter(|(_, began)| wanted(&began.task))?;
        let count = set.count();
        Some(json!({
            "number": number, "set": id, "date": wall.date(), "task": began.task, "aim": began.aim,
            "made": count.made(), "tried": count.tried(), "seen": set.seen,
        }))
    });
    sets.collect()
}

fn object(
    book: &Book,
    rungs: &[(&Task, &Shots)],
    (rules, now): (&Rules, Wall),
    standing: Option<&Standing>,
) -> Value {
    let task = rungs[0].0;
    let list: Vec<Value> = rungs
        .iter()
        .map(|(task, shots)| {
            let chance = standing.map(|standing| standing.at(task.rung.value()));
            let open = shots.counting(now).and_then(|open| judged(open, rules).ok());
            json!({
                "rung": task.rung, "tally": shots.tally, "stopped_by_rule": shots.stopped(),
                "open_sheet": open.map(|sheet| json!({"made": sheet.made(), "tried": sheet.tried(),
                    "verdict": lines::verdict_name(sheet.advice(rules).verdict)})),
                "chance_now": chance.map(|chance| json!({"mean": chance.mean, "low": chance.low, "high": chance.high})),
            })
        })
        .collect();
    json!({
        "drill": task.drill, "version": task.drill_version, "setup": task.setup, "constraints": task.constraints,
        "table": table(book.state(), task), "card": task.card, "rungs": list,
        "even_rung": standing.map(|standing| json!({"low": standing.even.low, "middle": standing.even.middle,
            "high": standing.even.high})),
    })
}
