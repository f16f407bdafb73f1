//! `longrail changes`: is it really better? Two parts of the record, named beforehand, like with like.

use std::collections::BTreeSet;

use longrail_practice::advice::{self, Label, Recorded};
use longrail_practice::constraints::Constraints;
use longrail_practice::drill::RungNumber;
use longrail_practice::event::{Aim, ComparisonOpened, Payload, Task, Wall};
use longrail_practice::guide::{Known, table};
use longrail_practice::id::EventId;
use longrail_practice::player::Profile;
use longrail_practice::state::{Shots, Week};
use longrail_stats::change::{Collection, Picked, Sample, attempts_to_settle};
use longrail_stats::{Count, Level, rate};
use serde_json::json;

use super::book::{Book, Source};
use super::evidence::numbered;
use crate::exit::Failure;
use crate::odds::say;
use crate::page::Page;

/// How parts are named, for `--help`.
const FORM: &str = "\
  longrail changes 12 15                                two sets by their numbers (`longrail evidence DRILL`)
  longrail changes 2026-W44 2026-W47 --drill cut-thinner --rung 4
  longrail changes 2026-09 2026-11 --drill cut-thinner --rung 4 --table \"Table 4\"
  longrail changes 12 15 --by-stroke                    what the stroke of the first predicts for the second

Name what you compare before you look: each comparison raises the bar for all, and is
counted on record. Only like is compared with like: drill, rung, corner, constraints, table.";

/// Arguments of `longrail changes`.
#[derive(clap::Args)]
#[command(after_help = FORM)]
pub(crate) struct Arguments {
    /// The earlier part: a set's number, a week (2026-W44) or a month (2026-09).
    first: String,
    /// The later part.
    second: String,
    /// Only this drill.
    #[arg(long)]
    drill: Option<String>,
    /// Only this rung.
    #[arg(long)]
    rung: Option<RungNumber>,
    /// Only this table.
    #[arg(long, value_name = "NAME")]
    table: Option<String>,
    /// The two were picked after looking at the results.
    #[arg(long)]
    picked_after: bool,
    /// Carries the first over by the stroke, where the two are not like with like.
    #[arg(long)]
    by_stroke: bool,
}

/// A part of the record at one task.
struct Part {
    name: String,
    sets: BTreeSet<EventId>,
    /// When its first set began.
    began: Wall,
    task: Task,
    sample: Sample,
}

/// Whether a moment is in the part that is named; `None` if that is no name of one.
fn within(name: &str, wall: Wall) -> Option<bool> {
    let date = wall.date();
    let (year, rest) = name.split_once('-')?;
    let digits = |text: &str, length| text.len() == length && text.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(year, 4) {
        return None;
    }
    match rest.strip_prefix('W') {
        Some(week) if digits(week, 2) => Some(Week::of(wall).to_string() == name),
        None if digits(rest, 2) => Some(date.starts_with(name)),
        _ => None,
    }
}

impl Part {
    fn of(book: &Book, name: &str, arguments: &Arguments) -> Result<Self, Failure> {
        let state = book.state();
        let all = numbered(state);
        let number: Option<u32> = name.parse().ok();
        if number.is_none() && within(name, Wall::default()).is_none() {
            return Err(Failure::Input(format!(
                "{name:?} is neither a set's number, a week such as 2026-W44, nor a month such as 2026-09"
            )));
        }
        let mut sets = BTreeSet::new();
        let mut tasks = BTreeSet::new();
        let (mut made, mut tried, mut by_rule) = (0, 0, false);
        let mut began_at = Wall { ms: u64::MAX, offset_min: 0 };
        for (at, id) in all {
            let Some(set) = state.sets.get(&id) else { continue };
            let Some((wall, began)) = &set.began else { continue };
            let task = &began.task;
            let named = number.map_or_else(|| within(name, *wall) == Some(true), |number| number == at);
            let wanted = arguments.drill.as_ref().is_none_or(|drill| *drill == task.drill)
                && arguments.rung.is_none_or(|rung| rung == task.rung)
                && (number.is_some()
                    || arguments.table.as_ref().is_none_or(|name| *name == table(book.state(), task)));
            if !named || !wanted {
                continue;
            }
            sets.insert(id);
            began_at = began_at.min(*wall);
            tasks.insert(task.clone());
            made += set.count().made();
            tried += set.count().tried();
            by_rule |= began.aim == Aim::Proof && state.shots(task).is_some_and(Shots::stopped);
        }
        let mut tasks = tasks.into_iter();
        let Some(task) = tasks.next() else {
            return Err(Failure::Input(format!(
                "there is no attempt in {name} for this; `longrail evidence DRILL` lists the sets"
            )));
        };
        if let Some(other) = tasks.next() {
            return Err(Failure::Input(format!(
                "{name} holds more than one thing: {} rung {} on {}, and {} rung {} on {}; say which with --drill, --rung or --table",
                task.drill,
                task.rung,
                table(book.state(), &task),
                other.drill,
                other.rung,
                table(book.state(), &other)
            )));
        }
        let collection = if by_rule { Collection::StoppedByRule } else { Collection::Fixed };
        Ok(Self {
            name: name.to_owned(),
            sets,
            began: began_at,
            task,
            sample: Sample { count: Count::new(made, tried)?, collection },
        })
    }

    fn recorded(&self, book: &Book) -> Result<Recorded, Failure> {
        let told = |error: &dyn std::fmt::Display| Failure::Input(error.to_string());
        let card =
            book.state().cards.get(&self.task.card).ok_or_else(|| told(&"its table is not on record yet"))?;
        let constraints: Constraints = self.task.constraints.parse().map_err(|error| told(&error))?;
        let label = Label {
            drill: self.task.drill.clone(),
            version: self.task.drill_version,
            rung: self.task.rung.value(),
            setup: self.task.setup,
            constraints,
            table: card.card.key().map_err(|error| told(&error))?,
        };
        Ok(Recorded { label, sample: self.sample })
    }

    fn words(&self, book: &Book) -> String {
        let count = self.sample.count;
        format!(
            "{} of {} ({}, {} rung {} on {})",
            count.made(),
            count.tried(),
            if self.name.contains('-') { self.name.clone() } else { format!("set {}", self.name) },
            self.task.drill,
            self.task.rung,
            table(book.state(), &self.task)
        )
    }
}

pub(super) fn run(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    let mut book = Book::open(source)?;
    let first = Part::of(&book, &arguments.first, arguments)?;
    let second = Part::of(&book, &arguments.second, arguments)?;
    if first.sets.intersection(&second.sets).next().is_some() {
        return Err(Failure::Input(
            "the two parts hold the same set: name parts that have nothing in common".to_owned(),
        ));
    }
    if first.began > second.began {
        return Err(Failure::Input(format!(
            "{} was shot after {}: name the earlier one first",
            first.name, second.name
        )));
    }
    if arguments.by_stroke {
        return by_stroke(&book, &first, &second, source);
    }
    let (before, after) = (first.recorded(&book)?, second.recorded(&book)?);
    let imperial = book.profile().is_ok_and(Profile::imperial);
    // What cannot be compared is told, and counts as no comparison.
    let told = |error: advice::CompareError| match error {
        error @ advice::CompareError::NotAlike { .. } => {
            Failure::Input(format!("{} (--by-stroke)", error.words(imperial)))
        }
        other => Failure::Input(other.to_string()),
    };
    advice::compare(&before, &after, 1, Picked::Beforehand).map_err(told)?;
    let what = format!(
        "{} {} rung {}: {} and {}",
        first.task.card, first.task.drill, first.task.rung, first.name, second.name
    );
    if book.is_own() && !book.state().comparisons.contains(&what) {
        book.note_one(Payload::ComparisonOpened(ComparisonOpened { what }))?;
    }
    let opened = u32::try_from(book.state().comparisons.len()).unwrap_or(u32::MAX).max(1);
    let picked = if arguments.picked_after { Picked::AfterLooking } else { Picked::Beforehand };
    let result = advice::compare(&before, &after, opened, picked).map_err(told)?;
    let settle = attempts_to_settle(result.first, result.second, result.bar)?;
    let caution =
        if arguments.picked_after { "; picked after looking, so this promises too much" } else { "" };
    let reading =
        format!("{}, then {}: {}{caution}.", first.words(&book), second.words(&book), result.word.text());
    let mut page = Page::new(&reading, 20);
    page.row("later is better", &format!("chance {}", say::percent(result.chance_greater)));
    page.row(
        "difference",
        &format!(
            "95 % interval {:+.0} to {:+.0} points",
            100.0 * result.difference.low,
            100.0 * result.difference.high
        ),
    );
    let would = match settle.both {
        Some(0) => "nothing more".to_owned(),
        Some(both) => format!("about {both} more attempts in each, if both rates go on as seen"),
        None => "no number within reach, at the rates seen".to_owned(),
    };
    page.row("what would settle it", &would);
    page.row(
        "comparisons opened",
        &format!(
            "{opened}, so \"likely\" takes a chance of {}",
            say::percent(longrail_stats::change::threshold(0.05, opened))
        ),
    );
    page.print(
        source.json,
        &json!({
            "reading": reading,
            "first": {"name": first.name, "task": first.task, "made": result.first.made(), "tried": result.first.tried()},
            "second": {"name": second.name, "task": second.task, "made": result.second.made(), "tried": result.second.tried()},
            "chance_second_greater": result.chance_greater, "words": result.word.text(),
            "difference_interval_95": [result.difference.low, result.difference.high],
            "comparisons_opened": opened, "picked_after_looking": arguments.picked_after,
            "more_attempts_each": settle.both,
        }),
    )
}

/// What the stroke of the first part predicts for the second, beside what was shot there.
fn by_stroke(book: &Book, first: &Part, second: &Part, source: &Source) -> Result<(), Failure> {
    let mut guide = book.guide();
    let mut known = Known::of(&guide, |set| first.sets.contains(&set))?;
    let posed = guide.posed(&second.task)?;
    let constraints: Constraints = second.task.constraints.parse().map_err(
        |error: longrail_practice::constraints::ConstraintsError| Failure::Input(error.to_string()),
    )?;
    let chance = known.on(&mut guide, &posed, &constraints)?.at(second.task.rung.value());
    let seen = rate::jeffreys(second.sample.count, Level::P80);
    let relation = if seen.low > chance.high {
        "more than it predicts"
    } else if seen.high < chance.low {
        "less than it predicts"
    } else {
        "within what it predicts"
    };
    let reading = format!(
        "The stroke of {} predicts {} (80 %: {} to {}) for the second; {} was shot there, {relation}.",
        first.words(book),
        say::percent(chance.mean),
        say::percent(chance.low),
        say::percent(chance.high),
        second.words(book)
    );
    let mut page = Page::new(&reading, 0);
    page.note("A prediction by the model, and no comparison of like with like: attempts there replace it.");
    page.print(
        source.json,
        &json!({
            "reading": reading, "predicted": {"mean": chance.mean, "low": chance.low, "high": chance.high},
            "seen": {"made": second.sample.count.made(), "tried": second.sample.count.tried(),
                     "low": seen.low, "high": seen.high},
            "relation": relation,
        }),
    )
}
