//! `longrail hits`: the hits with the best odds, and how far each may stray.

use longrail_physics::Engine;
use longrail_stroke::Nodes;
use longrail_stroke::solve::Found;
use serde_json::{Value, json};

use super::drawing;
use super::posed::{self, FORM, Source};
use super::say;
use crate::exit::Failure;
use crate::page::Page;
use crate::picture;

/// Arguments of `longrail hits`.
#[derive(clap::Args)]
#[command(after_help = FORM)]
pub(crate) struct Arguments {
    #[command(flatten)]
    source: Source,
    /// How many hits to show, at most; no two are of a kind.
    #[arg(long, default_value_t = 3, value_parser = clap::value_parser!(u8).range(1..=10))]
    most: u8,
    /// The picture is that of the best hit, played as intended.
    #[command(flatten)]
    picture: picture::Wanted,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    arguments.picture.check()?;
    let posed = posed::posed(&arguments.source)?;
    let mut engine = Engine::new();
    let nodes = Nodes::usual(arguments.source.seed);
    let found = posed.setting().best_hits(&mut engine, &nodes, usize::from(arguments.most))?;
    let best = found.first().ok_or_else(|| Failure::OutOfReach("no hit makes this goal".to_owned()))?;
    let drawn = drawing::of_hit(&arguments.picture, &posed, &best.hit)?;
    let reading =
        format!("Best is {}: this stroke makes it {} of the time.", best.kind, say::percent(best.odds.made));
    let mut page = Page::new(&reading, 14);
    for (place, one) in (1..).zip(&found) {
        page.row(
            &format!("{place}"),
            &format!(
                "{} ± {:.1}: {}",
                say::percent(one.odds.made),
                100.0 * one.odds.standard_error,
                one.kind
            ),
        );
        page.row("  hit", &say::hit(&one.hit, &posed.problem.world, &posed.problem.layout, false));
        let windows = &one.windows;
        page.row(
            "  may stray",
            &format!(
                "aim {}° ({} mm at the first ball), speed {} %, tip {} mm up, {} mm right",
                say::between(windows.aim_deg, 2),
                say::between(windows.aim_mm, 1),
                say::between(windows.speed_percent, 0),
                say::between(windows.tip_up_mm, 1),
                say::between(windows.tip_right_mm, 1)
            ),
        );
        page.row("  fails by", &say::failures(&one.odds));
        page.gap();
    }
    say::basis(&mut page, &posed, &best.odds);
    drawn.save()?;
    page.print(arguments.source.json, &object(&reading, &posed, &found))
}

fn object(reading: &str, posed: &posed::Posed, found: &[Found]) -> Value {
    let hits: Vec<Value> = found
        .iter()
        .map(|one| {
            json!({
                "hit": say::hit_object(&one.hit), "kind": one.kind, "kind_in_words": one.kind.to_string(),
                "odds": say::odds_object(&one.odds), "windows": say::windows_object(&one.windows),
            })
        })
        .collect();
    json!({"reading": reading, "hits": hits, "posed": say::posed_object(posed)})
}
