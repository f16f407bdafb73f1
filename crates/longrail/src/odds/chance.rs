//! `longrail odds`: the chance of a goal with one hit.

use longrail_math::fx;
use longrail_physics::Engine;
use longrail_stroke::stroke::USUAL_MPS;
use longrail_stroke::{Hit, Nodes, Odds, Player, Setting};
use serde_json::{Value, json};

use super::drawing;
use super::posed::{self, FORM, Posed, Source};
use super::say;
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
    /// The picture is that of the hit, played as intended, on the table of the file.
    #[command(flatten)]
    picture: picture::Wanted,
}

/// What the study of progression (3.4) adds to ln σ where a stroke is carried to another table.
const TRANSFER_SD: f64 = 0.10;

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    arguments.picture.check()?;
    let posed = posed::posed(&arguments.source)?;
    let nodes = Nodes::usual(arguments.source.seed);
    let given = posed.problem.stroke;
    let (hit, odds) = chance(&posed, given, &nodes)?;
    let drawn = drawing::of_hit(&arguments.picture, &posed, &hit)?;
    let elsewhere: Vec<Elsewhere> =
        arguments.on.iter().map(|size| elsewhere(&posed, size, &nodes)).collect::<Result<_, _>>()?;

    let whose = if given.is_some() { "the hit given" } else { "the best hit found" };
    let reading = format!("With {whose} this stroke makes it {} of the time.", say::percent(odds.made));
    let mut page = Page::new(&reading, 14);
    page.row("made", &format!("{} ± {:.1}", say::percent(odds.made), 100.0 * odds.standard_error));
    page.row("fails by", &say::failures(&odds));
    page.row("hit", &say::hit(&hit));
    for other in &elsewhere {
        page.row(
            &format!("on {}", other.size),
            &format!(
                "{} (80 %: {:.0} to {:.0}), a prediction and not a measurement",
                say::percent(other.odds.made),
                100.0 * other.low,
                100.0 * other.high
            ),
        );
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
        "hit_given": given.is_some(), "elsewhere": tables, "posed": say::posed_object(&posed),
    });
    drawn.save()?;
    page.print(arguments.source.json, &object)
}

/// The odds of a hit, or of the best one.
fn chance(posed: &Posed, given: Option<Hit>, nodes: &Nodes) -> Result<(Hit, Odds), Failure> {
    let setting = posed.setting();
    let mut engine = Engine::new();
    let hit = if let Some(hit) = given {
        setting.playable(&hit)?
    } else {
        let found = setting.best_hits(&mut engine, nodes, 1)?;
        found.first().ok_or_else(|| Failure::OutOfReach("no hit makes this goal".to_owned()))?.hit
    };
    Ok((hit, setting.odds(&mut engine, &hit, nodes)?))
}

/// The same on another table.
struct Elsewhere {
    size: String,
    hit: Hit,
    odds: Odds,
    /// Four times in five the chance lies between these, if the stroke is what it is said to be.
    low: f64,
    high: f64,
}

fn elsewhere(posed: &Posed, size: &str, nodes: &Nodes) -> Result<Elsewhere, Failure> {
    let there = posed.on(size)?;
    let (hit, odds) = chance(&there, None, nodes)?;
    // A wider or narrower stroke keeps the hit: nobody knows beforehand which of the two it will be.
    let scaled = |factor: f64| -> Result<f64, Failure> {
        let stroke = there.player.stroke.at(USUAL_MPS, factor);
        let player = Player { stroke, ..there.player };
        let setting = Setting { player: &player, ..there.setting() };
        Ok(setting.odds(&mut Engine::new(), &hit, nodes)?.made)
    };
    let (wide, narrow) =
        (scaled(fx::exp(say::TENTH * TRANSFER_SD))?, scaled(fx::exp(-say::TENTH * TRANSFER_SD))?);
    let (low, high) = if wide < narrow { (wide, narrow) } else { (narrow, wide) };
    Ok(Elsewhere { size: size.to_owned(), hit, odds, low, high })
}

impl Elsewhere {
    fn object(&self) -> Value {
        json!({
            "size": self.size, "hit": say::hit_object(&self.hit), "odds": say::odds_object(&self.odds),
            "low": self.low, "high": self.high, "level": 0.8,
        })
    }
}
