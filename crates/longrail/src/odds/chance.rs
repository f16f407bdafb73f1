//! `longrail odds`: the chance of a goal with one hit.

use longrail_physics::Engine;
use longrail_stroke::Nodes;
use serde_json::json;

use super::posed::{self, FORM, Source};
use super::say;
use crate::exit::Failure;
use crate::page::Page;

/// Arguments of `longrail odds`.
#[derive(clap::Args)]
#[command(after_help = FORM)]
pub(crate) struct Arguments {
    #[command(flatten)]
    source: Source,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let posed = posed::posed(&arguments.source)?;
    let setting = posed.setting();
    let mut engine = Engine::new();
    let nodes = Nodes::usual(arguments.source.seed);
    let given = posed.problem.stroke.is_some();
    let hit = if let Some(hit) = posed.problem.stroke {
        setting.playable(&hit)?
    } else {
        let found = setting.best_hits(&mut engine, &nodes, 1)?;
        found.first().ok_or_else(|| Failure::OutOfReach("no hit makes this goal".to_owned()))?.hit
    };
    let odds = setting.odds(&mut engine, &hit, &nodes)?;
    let whose = if given { "the hit given" } else { "the best hit found" };
    let reading = format!("With {whose} this stroke makes it {} of the time.", say::percent(odds.made));
    let mut page = Page::new(&reading, 14);
    page.row("made", &format!("{} ± {:.1}", say::percent(odds.made), 100.0 * odds.standard_error));
    page.row("fails by", &say::failures(&odds));
    page.row("hit", &say::hit(&hit));
    say::basis(&mut page, &posed, &odds);
    let object = json!({
        "reading": reading, "odds": say::odds_object(&odds), "hit": say::hit_object(&hit), "hit_given": given,
        "posed": say::posed_object(&posed),
    });
    page.print(arguments.source.json, &object)
}
