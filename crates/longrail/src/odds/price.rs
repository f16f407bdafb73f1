//! `longrail price`: what constraints cost in odds.

use longrail_physics::json::Problem;
use longrail_stroke::Nodes;
use longrail_stroke::constraint::{Constraint, Priced, prices};
use serde_json::{Value, json};

use super::posed::{self, PRICE_FORM, Source};
use super::say;
use crate::exit::Failure;
use crate::page::Page;

/// The most constraints in a file.
const MOST: usize = 12;

/// Arguments of `longrail price`.
#[derive(clap::Args)]
#[command(after_help = PRICE_FORM)]
pub(crate) struct Arguments {
    #[command(flatten)]
    source: Source,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let posed = posed::constrained(&arguments.source)?;
    let count = posed.constraints.len();
    if count == 0 || count > MOST {
        return Err(Failure::Input(format!(
            "the file has {count} \"constraints\"; it must have 1 to {MOST}, for instance \"constraints\": [{{\"narrower_pocket\": 0.9}}]"
        )));
    }
    let nodes = Nodes::usual(arguments.source.seed);
    let priced = prices(&posed.task(), &posed.constraints, &nodes)?;
    let [plain, rest @ ..] = priced.as_slice() else { return Ok(()) };
    let Ok((_, odds)) = &plain.best else {
        let why = plain.best.as_ref().err().cloned().unwrap_or_default();
        return Err(Failure::OutOfReach(format!("even without constraints no hit reaches the goal: {why}")));
    };
    let hardest = rest.last().unwrap_or(plain);
    let reading = format!(
        "Without constraints this stroke makes it {} of the time, with {} {}.",
        say::percent(plain.chance()),
        if count == 1 { "the one asked for" } else { "all of them" },
        say::percent(hardest.chance())
    );
    let problem = &posed.problem;
    let mut page = Page::new(&reading, 28);
    page.row("as it is", &line(plain, plain, problem));
    for one in rest {
        page.row(&label(one), &line(one, plain, problem));
    }
    page.gap();
    say::basis(&mut page, &posed, odds);
    if posed.constraints.iter().any(|one| matches!(one, Constraint::Streak(_))) {
        page.note(
            "A streak is priced as if attempts did not depend on each other. Runs of makes and misses are longer than \
             that on some days: your own record beside it says more.",
        );
    }
    let rows: Vec<Value> = priced.iter().map(object).collect();
    let object = json!({"reading": reading, "prices": rows, "posed": say::posed_object(&posed)});
    page.print(arguments.source.json, &object)
}

/// What is asked, in words.
fn label(priced: &Priced) -> String {
    match priced.constraints.as_slice() {
        [one] => one.words(),
        _ => "all together".to_owned(),
    }
}

/// "45.2 % ± 0.5, 12.0 points less, 2.40 m/s, …".
fn line(priced: &Priced, plain: &Priced, problem: &Problem) -> String {
    match &priced.best {
        Err(why) => format!("out of reach: {why}"),
        Ok((hit, odds)) => {
            let points = 100.0 * (plain.chance() - priced.chance());
            let cost = match points {
                _ if priced.constraints.is_empty() => String::new(),
                points if points < 0.05 => ", costs nothing".to_owned(),
                points => format!(", costs {points:.1} points"),
            };
            format!(
                "{} ± {:.1}{cost}; {}",
                say::percent(priced.chance()),
                100.0 * error(priced, odds.made, odds.standard_error),
                say::short_hit(hit, &problem.world, &problem.layout)
            )
        }
    }
}

/// Standard error of what is asked: of a streak it grows with the slope of the power.
fn error(priced: &Priced, made: f64, standard_error: f64) -> f64 {
    if made <= 0.0 {
        return standard_error;
    }
    let times = |constraint: &Constraint| {
        if let Constraint::Streak(count) = constraint { f64::from(*count) } else { 1.0 }
    };
    let power: f64 = priced.constraints.iter().map(times).product();
    power * priced.chance() / made * standard_error
}

fn object(priced: &Priced) -> Value {
    let mut object = json!({"constraints": priced.constraints, "chance": priced.chance()});
    match &priced.best {
        Ok((hit, odds)) => {
            object["hit"] = say::hit_object(hit);
            object["odds_of_one_attempt"] = say::odds_object(odds);
        }
        Err(why) => object["out_of_reach"] = json!(why),
    }
    object
}
