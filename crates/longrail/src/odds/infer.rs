//! `longrail infer`: a stroke from attempts on record.

use std::path::PathBuf;

use longrail_math::fx;
use longrail_physics::Layout;
use longrail_stroke::Nodes;
use longrail_stroke::Setting;
use longrail_stroke::curve::{Rung, along};
use longrail_stroke::infer::{Inferred, Parameter, Posterior, Prior, Seen, Surface, Tally};
use serde::Deserialize;
use serde_json::{Value, json};

use super::ladder;
use super::posed::{self, Posed, Source};
use super::say;
use crate::exit::Failure;
use crate::page::Page;

/// What the attempts look like, for `--help`.
const FORM: &str = r"The attempts are CSV with a header: rung,seen,count. A rung is numbered as in `longrail ladder`
(1 where the file has no ladder); seen is made, left, right, missed, strayed or failed:
  left, right  the side of the pocket's middle on which the ball passed, seen from the ball
  missed       the ball missed, side not seen
  strayed      the ball potted, the cue ball not where it should be
  failed       not made, nothing more is known
count may be left out, and is 1 then.

Each rung's hit is that which is best for the file's stroke; what is inferred supposes that it was
intended.";

/// The longest file of attempts, in rows.
const MOST_ROWS: usize = 1_000_000;

/// Arguments of `longrail infer`.
#[derive(clap::Args)]
#[command(after_help = FORM)]
pub(crate) struct Arguments {
    #[command(flatten)]
    source: Source,
    /// CSV file with the attempts.
    #[arg(long, value_name = "CSV")]
    attempts: PathBuf,
}

/// A row of the attempts.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    rung: usize,
    seen: Seen,
    #[serde(default = "one")]
    count: u32,
}

fn one() -> u32 {
    1
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let posed = posed::posed(&arguments.source)?;
    let layouts = match &posed.ladder {
        Some(ladder) => ladder::layouts(&posed, ladder)?,
        None => vec![posed.problem.layout.clone()],
    };
    let tallies = tallies(arguments, layouts.len())?;
    let nodes = Nodes::usual(arguments.source.seed);
    let rungs = along(&posed.problem.world, &posed.player, &posed.goal, &layouts, &nodes)?;
    let surfaces: Vec<Option<Surface>> = rungs
        .iter()
        .zip(&layouts)
        .map(|(rung, layout)| surface(&posed, layout, rung))
        .collect::<Result<_, Failure>>()?;
    let mut posterior = Posterior::new(Prior::default())?;
    for (number, (tally, surface)) in (1..).zip(tallies.iter().zip(&surfaces)) {
        match surface {
            Some(surface) => posterior.take(surface, tally),
            None if *tally == Tally::default() => {}
            None => return Err(Failure::Input(format!("rung {number} has attempts, and no hit makes it"))),
        }
    }
    let inferred = posterior.inferred();
    let predicted: Vec<Option<Parameter>> = surfaces
        .iter()
        .map(|surface| surface.as_ref().map(|surface| posterior.predicted(surface, Seen::Made)))
        .collect();
    say(arguments, &posed, &tallies, &inferred, &predicted)
}

/// The attempts by rung.
fn tallies(arguments: &Arguments, rungs: usize) -> Result<Vec<Tally>, Failure> {
    let name = arguments.attempts.display();
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .from_path(&arguments.attempts)
        .map_err(|error| Failure::File(format!("{name}: {error}")))?;
    let mut tallies = vec![Tally::default(); rungs];
    for (line, row) in (2..).zip(reader.deserialize::<Row>().take(MOST_ROWS)) {
        let row = row.map_err(|error| Failure::Input(format!("{name}: {error}")))?;
        let Some(tally) = row.rung.checked_sub(1).and_then(|rung| tallies.get_mut(rung)) else {
            return Err(Failure::Input(format!(
                "{name}, line {line}: rung {} is not on the ladder, which has {rungs}",
                row.rung
            )));
        };
        let count = &mut tally.counts[row.seen as usize];
        *count = count.saturating_add(row.count);
    }
    Ok(tallies)
}

fn surface(posed: &Posed, layout: &Layout, rung: &Rung) -> Result<Option<Surface>, Failure> {
    let Some((hit, _)) = &rung.best else { return Ok(None) };
    let plan = posed.goal.plan(&posed.problem.world, layout)?;
    let setting = Setting { layout, plan: &plan, ..posed.setting() };
    Ok(Some(Surface::of(&setting, hit)?))
}

fn say(
    arguments: &Arguments,
    posed: &Posed,
    tallies: &[Tally],
    inferred: &Inferred,
    predicted: &[Option<Parameter>],
) -> Result<(), Failure> {
    let attempts: u32 = tallies.iter().flat_map(|tally| tally.counts).sum();
    let spread = [inferred.ln_spread.low, inferred.ln_spread.mean, inferred.ln_spread.high].map(fx::exp);
    let name = if inferred.effective_only { "effective spread of aim" } else { "spread of aim" };
    let reading = if inferred.ln_spread.shown {
        format!("After {attempts} attempts the {name} is {:.2} to {:.2} degrees.", spread[0], spread[2])
    } else {
        format!("{attempts} attempts say too little about the {name} to show it.")
    };
    let mut page = Page::new(&reading, 14);
    if inferred.ln_spread.shown {
        page.row(
            if inferred.effective_only { "effective" } else { "spread" },
            &format!("{:.2}° (80 %: {:.2} to {:.2})", spread[1], spread[0], spread[2]),
        );
    }
    if inferred.effective_only {
        page.row("bias", "not to be told apart from the spread: no side of a miss is on record");
    } else if inferred.bias_deg.shown {
        let bias = &inferred.bias_deg;
        page.row(
            "bias",
            &format!("{:+.2}° (80 %: {:+.2} to {:+.2}), + is left", bias.mean, bias.low, bias.high),
        );
    } else {
        page.row("bias", "too little is known to show it");
    }
    page.gap();
    page.line("rung  made of tried   chance now (80 %)");
    for (number, (tally, chance)) in (1..).zip(tallies.iter().zip(predicted)) {
        let tried: u32 = tally.counts.iter().sum();
        let seen = if tried == 0 { "–".to_owned() } else { format!("{} of {tried}", tally.counts[0]) };
        let chance = match chance {
            Some(chance) => format!(
                "{:>5.1} % ({:.0} to {:.0})",
                100.0 * chance.mean,
                100.0 * chance.low,
                100.0 * chance.high
            ),
            None => "no hit makes it".to_owned(),
        };
        page.line(&format!("{number:>4}  {seen:>13}   {chance}"));
    }
    page.note(
        "The chances suppose the hit that is best for the file's stroke, and its spreads of speed and tip, on the same \
         table; on another they would be a prediction with 0.10 more on the spread.",
    );
    let rungs: Vec<Value> = tallies
        .iter()
        .zip(predicted)
        .map(|(tally, chance)| json!({"counts": tally.counts, "chance": chance}))
        .collect();
    let object = json!({
        "reading": reading, "attempts": attempts, "inferred": inferred, "rungs": rungs,
        "posed": say::posed_object(posed),
    });
    page.print(arguments.source.json, &object)
}
