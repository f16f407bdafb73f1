//! `longrail placement`: where a newcomer starts, from a few blocks of five.

use std::path::{Path, PathBuf};

use longrail_math::fx;
use longrail_stroke::infer::placement::{BLOCK, Ladder, POSITIONS, Position, Start};
use longrail_stroke::infer::{Inferred, Offset, Posterior, Prior, Seen, Tally};
use serde::Deserialize;
use serde_json::{Value, json};

use super::posed::{self, Posed, Source};
use super::rungs::Rungs;
use super::say;
use crate::exit::Failure;
use crate::files;
use crate::page::Page;

/// How it goes, for `--help`.
const FORM: &str = r"Each file is a ladder as in `longrail ladder`, best of another family of shots each. The first call, without
results, names the first position; shoot five attempts there, write them down, and ask again:
  longrail placement straight.json cut.json --results results.csv
The results are CSV with a header: ladder,rung,seen,count. ladder is the number of the file in the order given, from 1;
rung and seen are as in `longrail infer`; count is 1 where it is left out. After six positions, or whenever you stop, it
tells the stroke and where to start on every ladder.";

/// The most ladders, and rows of results.
const MOST_LADDERS: usize = 40;
const MOST_ROWS: usize = 10_000;

/// The chance of the rung to work at, and of the outermost one that a player more likely makes than not (study, 3.5).
const WORK: f64 = 0.68;
const EVEN: f64 = 0.5;

/// Arguments of `longrail placement`.
#[derive(clap::Args)]
#[command(after_help = FORM)]
pub(crate) struct Arguments {
    /// Ladders, as JSON files.
    #[arg(required = true)]
    ladders: Vec<PathBuf>,
    /// CSV file with the attempts so far.
    #[arg(long, value_name = "CSV")]
    results: Option<PathBuf>,
    /// Only made or missed will be written down: neither the side of a miss nor the cue ball's end.
    #[arg(long)]
    no_sides: bool,
    /// Seed of the nodes.
    #[arg(long, default_value_t = 1)]
    seed: u32,
    /// Write JSON instead of text.
    #[arg(long)]
    json: bool,
}

/// A row of the results.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    ladder: usize,
    rung: usize,
    seen: Seen,
    #[serde(default)]
    count: Option<u32>,
}

/// A ladder with its file.
struct Posted {
    name: String,
    posed: Posed,
    rungs: Rungs,
    family: Offset,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    if arguments.ladders.len() > MOST_LADDERS {
        return Err(Failure::Input(format!(
            "{} ladders are given; {MOST_LADDERS} at most",
            arguments.ladders.len()
        )));
    }
    let posted: Vec<Posted> =
        arguments.ladders.iter().map(|path| posted(path, arguments.seed)).collect::<Result<_, _>>()?;
    let shot = match &arguments.results {
        Some(path) => results(path, &posted)?,
        None => Vec::new(),
    };
    let mut posterior = Posterior::new(Prior::default())?;
    let surface = |position: &Position| posted[position.ladder].rungs.surfaces[position.rung].as_ref();
    posterior.take_all(
        shot.iter().filter_map(|(position, tally)| Some((surface(position)?, tally, None::<&Offset>))),
    );
    let positions: Vec<Position> = shot.iter().map(|(position, _)| *position).collect();
    // Of a family without attempts it is not known by how much it differs.
    let known = |number: usize| positions.iter().any(|position| position.ladder == number);
    let ladders: Vec<Ladder<'_>> = posted
        .iter()
        .enumerate()
        .map(|(number, one)| Ladder {
            rungs: &one.rungs.surfaces,
            family: (!known(number)).then_some(&one.family),
        })
        .collect();
    let next = posterior.next_position(&ladders, &positions, !arguments.no_sides);
    let starts: Vec<[Start; 2]> =
        ladders.iter().map(|one| [WORK, EVEN].map(|target| posterior.start(one, target))).collect();
    let tried: u32 = shot.iter().map(|(_, tally)| tally.tried()).sum();
    say(arguments, &posted, next, (positions.len(), tried), &posterior.inferred(), &starts)
}

fn posted(path: &Path, seed: u32) -> Result<Posted, Failure> {
    let name =
        path.file_stem().map_or_else(|| "ladder".to_owned(), |stem| stem.to_string_lossy().into_owned());
    let within = |failure: Failure| match failure {
        Failure::Input(what) => Failure::Input(format!("{}: {what}", path.display())),
        other => other,
    };
    let posed = posed::posed(&Source::of(path.to_owned(), seed)).map_err(within)?;
    let rungs = Rungs::of(&posed, seed).map_err(within)?;
    let family = Offset::family(&name);
    Ok(Posted { name, posed, rungs, family })
}

/// The attempts by position, in the order in which positions come first.
fn results(path: &Path, posted: &[Posted]) -> Result<Vec<(Position, Tally)>, Failure> {
    let name = path.display();
    let mut shot: Vec<(Position, Tally)> = Vec::new();
    for row in files::rows::<Row>(path, MOST_ROWS)? {
        let (line, row) = row?;
        let wrong = |what: String| Failure::Input(format!("{name}, line {line}: {what}"));
        let Some((ladder, one)) =
            row.ladder.checked_sub(1).and_then(|ladder| Some((ladder, posted.get(ladder)?)))
        else {
            return Err(wrong(format!("ladder is {}; it must be 1 to {}", row.ladder, posted.len())));
        };
        let surfaces = &one.rungs.surfaces;
        let Some((rung, surface)) =
            row.rung.checked_sub(1).and_then(|rung| Some((rung, surfaces.get(rung)?)))
        else {
            return Err(wrong(format!(
                "rung is {}; {} has rungs 1 to {}",
                row.rung,
                one.name,
                surfaces.len()
            )));
        };
        if surface.is_none() {
            return Err(wrong(format!(
                "no hit makes rung {} of {}, and yet it was tried",
                row.rung, one.name
            )));
        }
        let position = Position { ladder, rung };
        let known = shot.iter().position(|(known, _)| *known == position).unwrap_or_else(|| {
            shot.push((position, Tally::default()));
            shot.len() - 1
        });
        shot[known].1.add_many(row.seen, row.count.unwrap_or(1));
    }
    Ok(shot)
}

fn say(
    arguments: &Arguments,
    posted: &[Posted],
    next: Option<Position>,
    (positions, tried): (usize, u32),
    inferred: &Inferred,
    starts: &[[Start; 2]],
) -> Result<(), Failure> {
    let reading = match next {
        Some(Position { ladder, rung }) => format!(
            "Next, {BLOCK} attempts at rung {} of ladder {}, {} (position {} of at most {POSITIONS}).",
            rung + 1,
            ladder + 1,
            posted[ladder].name,
            positions + 1
        ),
        None => format!("After {tried} attempts at {positions} positions you are placed."),
    };
    let mut page = Page::new(&reading, 14);
    if let Some(position) = next {
        shown(&mut page, &posted[position.ladder], position.rung);
        page.gap();
    }
    if inferred.ln_spread.shown {
        let [low, mean, high] =
            [inferred.ln_spread.low, inferred.ln_spread.mean, inferred.ln_spread.high].map(fx::exp);
        page.row("spread of aim", &format!("{mean:.2}° (80 %: {low:.2} to {high:.2})"));
    } else {
        page.row("spread of aim", &format!("{tried} attempts say too little to show it"));
    }
    page.gap();
    page.line("ladder                    work at rung    even at rung    (80 %)");
    for (one, [work, even]) in posted.iter().zip(starts) {
        let rungs = one.rungs.surfaces.len();
        page.line(&format!("{:<24}  {:<14}  {}", cut(&one.name, 24), range(work, rungs), range(even, rungs)));
    }
    page.note(
        "Work is where you make it 68 % of the time, even where you make it every other time. A wide range says that \
         little is known yet. Where a ladder has no attempts, its family of shots may differ by 0.28 on the logarithm \
         of the spread, an assumption. The chances suppose the hit that is best for each file's stroke.",
    );
    let ladders: Vec<Value> = posted
        .iter()
        .zip(starts)
        .map(|(one, [work, even])| json!({"name": one.name, "rungs": one.rungs.surfaces.len(), "work": work, "even": even}))
        .collect();
    let object = json!({
        "reading": reading, "attempts": tried, "positions": positions, "inferred": inferred, "ladders": ladders,
        "next": next.map(|next| next_object(&posted[next.ladder], next)),
    });
    page.print(arguments.json, &object)
}

/// How a rung is set up and hit.
fn shown(page: &mut Page, one: &Posted, rung: usize) {
    let (layout, spec) = (&one.rungs.layouts[rung], one.posed.problem.world.table().spec());
    for ball in layout.balls() {
        let label = if ball.id == "cue" { "cue ball".to_owned() } else { format!("ball {}", ball.id) };
        page.row(&label, &format!("{} (along/across, in diamonds)", say::place(spec, ball)));
    }
    page.row("goal", &one.posed.goal.to_string());
    if let Some((hit, _)) = &one.rungs.solved[rung].best {
        page.row("intend", &say::hit(hit, &one.posed.problem.world, layout, false));
    }
}

fn next_object(one: &Posted, next: Position) -> Value {
    let layout = &one.rungs.layouts[next.rung];
    let balls = say::balls_object(one.posed.problem.world.table().spec(), layout.balls());
    let hit = one.rungs.solved[next.rung].best.as_ref().map(|(hit, _)| say::hit_object(hit));
    json!({
        "ladder": next.ladder + 1, "rung": next.rung + 1, "name": one.name, "attempts": BLOCK, "balls": balls,
        "goal": one.posed.goal, "hit": hit,
    })
}

/// Rungs from 1, the lower rounded down and the upper to the nearest: "2 to 4", "before 1", "beyond 8".
fn range(start: &Start, rungs: usize) -> String {
    // A small whole number.
    #[allow(clippy::cast_precision_loss)]
    let last = rungs as f64;
    let name = |place: f64| match place + 1.0 {
        place if place < 1.0 => "before 1".to_owned(),
        place if place > last => format!("beyond {rungs}"),
        place => format!("{place:.0}"),
    };
    // What lies before the first rung is not rounded down further.
    let low = if start.low < 0.0 { start.low } else { start.low.floor() };
    let (low, high) = (name(low), name(start.high));
    if low == high { low } else { format!("{low} to {high}") }
}

/// At most so many characters.
fn cut(text: &str, most: usize) -> String {
    text.chars().take(most).collect()
}
