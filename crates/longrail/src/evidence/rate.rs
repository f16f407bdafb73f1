//! `longrail rate`: one rate, and what it says.

use longrail_stats::rate::{Prior, against, clopper_pearson, jeffreys, posterior_mean, wilson};
use longrail_stats::{Count, Interval, Level, sequence};
use serde_json::json;

use super::typed;
use super::words::{chosen, ends, number, of, percent, range};
use crate::exit::Failure;
use crate::page::Page;

/// Below this many attempts a rate is not said, only its interval.
const FEWEST: u32 = 5;

/// Arguments of `longrail rate`.
#[derive(clap::Args)]
pub(crate) struct Arguments {
    /// Made of tried, such as 34/50.
    #[arg(value_name = "MADE/TRIED")]
    count: String,
    /// Rate to hold it against, such as 0.6 or 60%.
    #[arg(long, default_value = "0.5", allow_negative_numbers = true)]
    target: String,
    /// What share of intervals is meant to hold the true rate.
    #[arg(long, default_value = "0.80", allow_negative_numbers = true)]
    level: String,
    /// A rule that looked at the results ended the collection, such as a promotion.
    #[arg(long)]
    stopped: bool,
    /// Write JSON instead of text.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let count = typed::count(&arguments.count)?;
    let target = typed::share("target", &arguments.target)?;
    let level = Level::new(typed::share("level", &arguments.level)?)?;
    let always = sequence::uniform(count, level);
    if arguments.stopped {
        stopped(arguments, count, target, level, always)
    } else {
        fixed(arguments, count, target, level, always)
    }
}

/// The number of tries was settled without regard to the results.
fn fixed(
    arguments: &Arguments,
    count: Count,
    target: f64,
    level: Level,
    always: Interval,
) -> Result<(), Failure> {
    let above = against(count, Prior::JEFFREYS, target)?.above;
    let mean = posterior_mean(count, Prior::JEFFREYS);
    let (plain, score, exact) = (jeffreys(count, level), wilson(count, level), clopper_pearson(count, level));
    let thin = count.tried() < FEWEST;
    let reading = format!(
        "{} made {} {} ({} interval); the chance that it is above {} is {}.",
        of(count),
        if thin { "is too few for a rate, which may be anywhere from" } else { "puts the rate at" },
        range(plain),
        chosen(level.share()),
        chosen(target),
        percent(above),
    );
    let mut page = Page::new(&reading, 22);
    let tried = number(count.tried(), "attempt");
    if let Some(rate) = count.rate().filter(|_| !thin) {
        page.row("made", &format!("{}, {:.1} %", of(count), 100.0 * rate));
    } else {
        page.row("made", &of(count));
    }
    page.row("posterior mean", &format!("{} (Jeffreys prior, {tried})", percent(mean)));
    page.row(&format!("above {}", chosen(target)), &format!("chance {} ({tried})", percent(above)));
    page.gap();
    page.line(&format!("{} intervals from {tried}", chosen(level.share())));
    page.row("  Jeffreys", &range(plain));
    page.row("  Wilson", &range(score));
    page.row("  Clopper-Pearson", &format!("{} (exact, wider than it must be)", range(exact)));
    page.row("  confidence sequence", &format!("{} (holds however often you look)", range(always)));
    page.note("The first three hold for a number of attempts that was settled beforehand.");
    page.print(
        arguments.json,
        &json!({
            "reading": reading,
            "made": count.made(), "missed": count.missed(), "tried": count.tried(),
            "stopped_by_rule": false,
            "target": target, "level": level.share(),
            "rate": count.rate(), "posterior_mean": mean, "chance_above_target": above,
            "jeffreys": ends(plain), "wilson": ends(score), "clopper_pearson": ends(exact),
            "confidence_sequence": ends(always),
        }),
    )
}

/// A rule ended it: the plain rate flatters, and only the confidence sequence keeps its promise.
fn stopped(
    arguments: &Arguments,
    count: Count,
    target: f64,
    level: Level,
    always: Interval,
) -> Result<(), Failure> {
    let reading = format!(
        "{} was collected until a rule stopped it, so the plain rate flatters; the range that holds all the \
         same is {} ({}).",
        of(count),
        range(always),
        chosen(level.share()),
    );
    let side = if always.low > target {
        "the whole range lies above it"
    } else if always.high < target {
        "the whole range lies below it"
    } else {
        "the range holds it, so neither side is shown"
    };
    let mut page = Page::new(&reading, 22);
    page.row("made", &format!("{}, stopped by a rule", of(count)));
    page.row("confidence sequence", &format!("{} ({})", range(always), chosen(level.share())));
    page.row(&format!("target {}", chosen(target)), side);
    page.note(
        "No other interval is shown: they suppose a number of attempts that was settled beforehand. \
         For a level to go by, use attempts made after the stop.",
    );
    page.print(
        arguments.json,
        &json!({
            "reading": reading,
            "made": count.made(), "missed": count.missed(), "tried": count.tried(),
            "stopped_by_rule": true,
            "target": target, "level": level.share(),
            "rate": null, "posterior_mean": null, "chance_above_target": null,
            "jeffreys": null, "wilson": null, "clopper_pearson": null,
            "confidence_sequence": ends(always),
        }),
    )
}
