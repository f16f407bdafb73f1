//! `longrail odds`: the chance of a goal with one hit.

use longrail_stroke::Nodes;
use longrail_stroke::json::chance;
use serde_json::{Value, json};

use super::drawing;
use super::elsewhere::{self, Elsewhere};
use super::posed::{self, FORM, Source};
use super::{rails, say};
use crate::exit::Failure;
use crate::page::Page;
use crate::picture;

/// Arguments of `longrail odds`.
#[derive(clap::Args)]
#[command(after_help = FORM)]
pub(crate) struct Arguments {
    #[command(flatten)]
    source: Source,
    /// The same diamonds on a table of this size too, with the hit solved anew; may be given several times.
    #[arg(long, value_name = "SIZE")]
    on: Vec<String>,
    /// The same with another pocket, cloth or ball set: what is different, as a JSON merge patch (RFC 7396) of the
    /// file, such as '{"physics": {"rolling_friction": 0.006}}', or the name of a file with one; may be given several
    /// times.
    #[arg(long, value_name = "PATCH")]
    what_if: Vec<String>,
    /// The picture is that of the hit, played as intended, on the table of the file.
    #[command(flatten)]
    picture: picture::Wanted,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    arguments.picture.check()?;
    let posed = posed::posed(&arguments.source)?;
    let nodes = Nodes::usual(arguments.source.seed);
    let given = posed.problem.stroke;
    let (hit, odds) = chance(&posed, given, &nodes)?;
    let drawn = drawing::of_hit(&arguments.picture, &posed, &hit)?;
    let elsewhere = elsewhere::all(&posed, &arguments.on, &arguments.what_if, &nodes)?;
    let rails = if posed.rails_known() {
        None
    } else {
        rails::open(&posed.task(), given, (&hit, odds.made), &nodes)?
    };

    let whose = if given.is_some() { "the hit given" } else { "the best hit found" };
    let reading = format!("With {whose} this stroke makes it {} of the time.", say::percent(odds.made));
    let mut page = Page::new(&reading, 14);
    page.row("made", &format!("{} ± {:.1}", say::percent(odds.made), 100.0 * odds.standard_error));
    page.row("fails by", &say::failures(&odds));
    page.row("hit", &say::hit(&hit, &posed.problem.world, &posed.problem.layout, false));
    if let Some(open) = &rails {
        page.row("rails", &open.words());
    }
    for other in &elsewhere {
        page.row(&other.label, &other.words());
    }
    say::basis(&mut page, &posed, &odds);
    if !elsewhere.is_empty() {
        page.note(
            "The ranges carry what is lost or gained with a stroke between tables (sd 0.10 on its spread, from the \
             study of progression); what is uncertain about the stroke itself comes on top.",
        );
    }
    let tables: Vec<Value> = elsewhere.iter().map(Elsewhere::object).collect();
    let object = json!({
        "reading": reading, "odds": say::odds_object(&odds), "hit": say::hit_object(&hit),
        "hit_given": given.is_some(), "elsewhere": tables, "rails": rails, "posed": say::posed_object(&posed),
    });
    drawn.save()?;
    page.print(arguments.source.json, &object)
}
