//! `longrail compare`: is the change real?

use longrail_stats::change::{
    Collection, Comparison, Direction, Picked, Sample, Settle, Word, attempts_to_settle, compare, threshold,
};
use serde_json::{Value, json};

use super::typed;
use super::words::{bar as bar_text, ends, number, of, percent, points};
use crate::exit::Failure;
use crate::page::Page;

/// Arguments of `longrail compare`.
#[derive(clap::Args)]
pub(crate) struct Arguments {
    /// Two or more sets, made of tried, in the order in which they were shot; each is held against the first.
    #[arg(value_name = "MADE/TRIED", required = true, num_args = 2..)]
    sets: Vec<String>,
    /// The sets were picked after looking at the results, not named beforehand.
    #[arg(long)]
    picked_after: bool,
    /// Comparisons that you have opened elsewhere; each raises the bar for all.
    #[arg(long, value_name = "K", default_value_t = 0, value_parser = clap::value_parser!(u32).range(0..=400))]
    comparisons: u32,
    /// A set that a rule stopped, such as a promotion: 2 is the second. Repeat it for more.
    #[arg(long, value_name = "SET")]
    stopped: Vec<usize>,
    /// Write JSON instead of text.
    #[arg(long)]
    json: bool,
}

/// Sets in one call, at most: with more the bar is out of reach.
const MOST_SETS: usize = 100;

/// One comparison and what would settle it.
struct Held {
    /// The number of the later set, from 1.
    second: usize,
    result: Comparison,
    settle: Settle,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let samples = samples(arguments)?;
    let own = u32::try_from(samples.len() - 1).unwrap_or(u32::MAX);
    let opened = own + arguments.comparisons;
    let picked = if arguments.picked_after { Picked::AfterLooking } else { Picked::Beforehand };
    let Some((&first, later)) = samples.split_first() else { return Ok(()) };
    let mut held = Vec::new();
    for (index, &second) in later.iter().enumerate() {
        let result = compare(first, second, opened, picked)?;
        let settle = attempts_to_settle(first.count, second.count, result.bar)?;
        held.push(Held { second: index + 2, result, settle });
    }
    let bar = threshold(0.05, opened);
    let reading = reading(&held, bar, picked);
    let mut page = Page::new(&reading, 22);
    for one in &held {
        rows(&mut page, one, bar);
        page.gap();
    }
    page.row("comparisons opened", &opened_text(own, arguments.comparisons, opened));
    if picked == Picked::AfterLooking {
        page.note(
            "Picked after looking: out of many pairs the most striking one is no surprise, and the words promise \
             too much. Name the next comparison beforehand, or give the number of pairs you looked through as \
             --comparisons.",
        );
    }
    let list: Vec<Value> = held.iter().map(object).collect();
    let sets: Vec<Value> = samples.iter().map(|sample| {
        let count = sample.count;
        json!({"made": count.made(), "missed": count.missed(), "tried": count.tried(), "rate": count.rate()})
    }).collect();
    page.print(
        arguments.json,
        &json!({
            "reading": reading, "sets": sets, "comparisons": list,
            "comparisons_opened": opened, "comparisons_elsewhere": arguments.comparisons,
            "leaning_from": threshold(0.10, opened), "likely_from": bar, "clear_from": threshold(0.01, opened),
            "picked_after_looking": arguments.picked_after,
        }),
    )
}

fn samples(arguments: &Arguments) -> Result<Vec<Sample>, Failure> {
    if arguments.sets.len() > MOST_SETS {
        return Err(Failure::Input(format!(
            "{} sets; at most {MOST_SETS} are compared",
            arguments.sets.len()
        )));
    }
    let mut samples = Vec::new();
    for text in &arguments.sets {
        samples.push(Sample::fixed(typed::count(text)?));
    }
    for &set in &arguments.stopped {
        let sets = samples.len();
        let sample = set.checked_sub(1).and_then(|index| samples.get_mut(index)).ok_or_else(|| {
            Failure::Input(format!("--stopped {set}: there is no such set; they are numbered 1 to {sets}"))
        })?;
        sample.collection = Collection::StoppedByRule;
    }
    Ok(samples)
}

fn reading(held: &[Held], bar: f64, picked: Picked) -> String {
    let caution =
        if picked == Picked::AfterLooking { "; picked after looking, so this promises too much" } else { "" };
    if let [Held { result, .. }] = held {
        return format!(
            "{}, then {}: {}, with a chance of {} that the later rate is the better one (\"likely\" takes \
             {}){caution}.",
            of(result.first),
            of(result.second),
            result.word.text(),
            percent(result.chance_greater),
            bar_text(bar),
        );
    }
    let each: Vec<String> =
        held.iter().map(|one| format!("{} is {}", of(one.result.second), one.result.word.text())).collect();
    let first = held.first().map(|one| of(one.result.first)).unwrap_or_default();
    format!("Held against the first set, {first}: {}{caution}.", each.join("; "))
}

fn rows(page: &mut Page, one: &Held, bar: f64) {
    let Comparison { first, second, difference, chance_greater, fisher, word, .. } = one.result;
    page.row(&format!("set {} against set 1", one.second), &format!("{} against {}", of(second), of(first)));
    page.row("  in a word", word.text());
    page.row("  later is better", &format!("chance {}", percent(chance_greater)));
    page.row(
        "  difference",
        &format!(
            "{} points, 95 % interval {} to {}",
            points(seen(one)),
            points(difference.low),
            points(difference.high)
        ),
    );
    let p = if fisher < 1e-4 { "p under 0.0001".to_owned() } else { format!("p = {fisher:.4}") };
    page.row("  Fisher, two-sided", &format!("{p} (a cross-check)"));
    page.row("  what would settle it", &settle(one, bar));
}

/// Difference of the rates seen, second less first.
fn seen(one: &Held) -> f64 {
    // Counts of none are refused when they are read.
    one.result.second.rate().unwrap_or(0.0) - one.result.first.rate().unwrap_or(0.0)
}

fn settle(one: &Held, bar: f64) -> String {
    let many = |more: u32| number(more, "more attempt");
    match one.settle {
        Settle { both: Some(0), .. } | Settle { second_alone: Some(0), .. } => {
            format!("nothing more: it has passed {}", bar_text(bar))
        }
        Settle { both: Some(both), second_alone } => format!(
            "about {} in each set{} for {}, if both rates go on as seen; fix the number beforehand",
            many(both),
            second_alone.map(|more| format!(" (or {more} in the later alone)")).unwrap_or_default(),
            bar_text(bar)
        ),
        Settle { both: None, .. } => "no number within reach, at the rates seen".to_owned(),
    }
}

fn opened_text(own: u32, elsewhere: u32, opened: u32) -> String {
    let bars = |error| bar_text(threshold(error, opened));
    let from = if elsewhere > 0 { format!(" ({own} here, {elsewhere} elsewhere)") } else { String::new() };
    format!("{opened}{from}, so leaning takes {}, likely {}, clear {}", bars(0.10), bars(0.05), bars(0.01))
}

fn object(one: &Held) -> Value {
    let Comparison { difference, chance_greater, fisher, word, .. } = one.result;
    let (level, direction) = match word {
        Word::NotSettled(direction) => ("not_settled", direction),
        Word::Leaning(direction) => ("leaning", Some(direction)),
        Word::Likely(direction) => ("likely", Some(direction)),
        Word::Clear(direction) => ("clear", Some(direction)),
    };
    let direction = direction.map(|direction| match direction {
        Direction::Up => "up",
        Direction::Down => "down",
    });
    json!({
        "first_set": 1, "second_set": one.second,
        "chance_second_greater": chance_greater,
        "difference": seen(one), "difference_interval_95": ends(difference),
        "fisher_two_sided_p": fisher,
        "words": word.text(), "verdict": level, "direction": direction,
        "more_attempts_each": one.settle.both, "more_attempts_second_alone": one.settle.second_alone,
    })
}
