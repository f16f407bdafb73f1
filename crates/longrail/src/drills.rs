//! `longrail drills`: the drills there are, and one of them rung by rung.
//!
//! **Knows** how a drill is listed and shown.
//! **Does not know** what a drill file means, nor how odds are found.

use longrail_physics::cue::Cue;
use longrail_physics::json::Problem;
use longrail_physics::{Ball, World};
use longrail_practice::card::Card;
use longrail_practice::constraints::Constraints;
use longrail_practice::drill::{Drill, Rung, Setup};
use longrail_practice::ladder::{Posed, frontier_rung, work_rung};
use longrail_stroke::curve;
use longrail_stroke::{Nodes, Player};
use serde_json::{Value, json};

use crate::exit::Failure;
use crate::library;
use crate::odds::posed::Named;
use crate::odds::{drawing, say};
use crate::page::Page;
use crate::picture;

/// How a drill is named, for `--help`.
const FORM: &str = r"A drill is named by its id; a file of your own by its path, ending in .toml (docs/drills.md has the form). One that you have
begun a set of is kept beside your record, and then has an id like the others.
  longrail drills
  longrail drills cut-thinner --table 7ft --stroke learning
  longrail drills my-drill.toml --rung 3 --svg rung.svg";

/// The chance that a rung must have to be the frontier.
const TARGET: f64 = 0.5;

/// Arguments of `longrail drills`.
#[derive(clap::Args)]
#[command(after_help = FORM)]
pub(crate) struct Arguments {
    /// The drill to show; all are listed if it is left out.
    drill: Option<String>,
    /// Size of the table.
    #[arg(long, value_name = "SIZE", default_value = "9ft")]
    table: String,
    /// Stroke for which the odds are computed. All four are assumptions, defined by their numbers.
    #[arg(long, value_enum, default_value = "regular")]
    stroke: Named,
    /// Turned by half a turn: head and foot, left and right change places.
    #[arg(long)]
    turned: bool,
    /// Mirrored from left to right.
    #[arg(long)]
    mirrored: bool,
    /// The rung that is drawn, from 1.
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    rung: u32,
    /// Seed of the nodes.
    #[arg(long, default_value_t = 1)]
    seed: u32,
    /// Write JSON instead of text.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    picture: picture::Wanted,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    arguments.picture.check()?;
    match &arguments.drill {
        Some(name) => show(arguments, &library::found(name)?),
        None => list(arguments),
    }
}

fn list(arguments: &Arguments) -> Result<(), Failure> {
    let (drills, own) = (library::shipped()?, library::own()?);
    let reading = match own.len() {
        0 => format!("{} drills come with the program.", drills.len()),
        count => format!("{} drills come with the program, and {count} are your own.", drills.len()),
    };
    let mut page = Page::new(&reading, 28);
    for drill in drills.iter().chain(&own) {
        page.row(&drill.id, &format!("{} ({} rungs)", drill.title, drill.rungs));
    }
    page.note(
        "`longrail drills NAME` shows one of them: how it is set up, rung by rung, and the odds there.",
    );
    let rows: Vec<Value> = drills.iter().chain(&own).map(about).collect();
    page.print(arguments.json, &json!({"reading": reading, "drills": rows}))
}

/// A drill on the table and for the stroke asked for.
struct Shown {
    world: World,
    player: Player,
    ladder: Vec<Rung>,
    odds: Vec<curve::Rung>,
}

impl Shown {
    fn new(arguments: &Arguments, drill: &Drill) -> Result<Self, Failure> {
        let card = Card::new(&arguments.table, &arguments.table);
        let world = card.world().map_err(|error| Failure::Input(error.to_string()))?;
        let setup = Setup::of(arguments.turned, arguments.mirrored);
        let ladder = drill
            .ladder(&world, card.cue_ball(), setup)
            .map_err(|error| Failure::Input(error.to_string()))?;
        let player = Player::with(arguments.stroke.reference().stroke());
        let posed = Posed::new(drill, &world, card.cue_ball(), setup, &player, &Constraints::default())
            .map_err(|error| Failure::Input(error.to_string()))?;
        let odds = posed.solved(&Nodes::usual(arguments.seed))?;
        Ok(Self { world, player, ladder, odds })
    }

    fn chances(&self) -> Vec<f64> {
        self.odds.iter().map(curve::Rung::made).collect()
    }
}

fn show(arguments: &Arguments, drill: &Drill) -> Result<(), Failure> {
    let shown = Shown::new(arguments, drill)?;
    let rung = arguments.rung;
    if !(1..=drill.rungs).contains(&rung) {
        return Err(Failure::Input(format!("rung is {rung}; {} has rungs 1 to {}", drill.id, drill.rungs)));
    }
    let drawn = draw(arguments, &shown)?;
    let chances = shown.chances();
    let name = arguments.stroke.reference().name();
    let work = work_rung(&chances);
    let frontier = frontier_rung(&chances, TARGET, None);
    let reading = match work {
        Some(work) => format!(
            "{}: for the stroke \"{name}\" on {}, rung {} of {} is the one to work at ({}).",
            drill.title,
            arguments.table,
            work.rung,
            drill.rungs,
            say::percent(work.chance)
        ),
        None => format!("{} has no rungs.", drill.title),
    };
    let mut page = Page::new(&reading, 14);
    page.row("why", &drill.why);
    if let Some(first) = shown.ladder.first() {
        page.row("goal", &first.goal.to_string());
    }
    page.row("harder", &drill.harder);
    page.row(
        "set-up",
        &format!(
            "{} balls, {} s to reset, about {} attempts an hour",
            drill.balls_needed(),
            drill.seconds_to_reset,
            drill.attempts_an_hour()
        ),
    );
    for caution in &drill.cautions {
        page.row("mind", caution);
    }
    page.gap();
    for ((number, rung), odds) in (1_u32..).zip(&shown.ladder).zip(&shown.odds) {
        let mark = match (work.map(|work| work.rung) == Some(number), frontier == Some(number)) {
            (true, true) => "  work, frontier",
            (true, false) => "  work",
            (false, true) => "  frontier",
            _ => "",
        };
        page.row(&format!("rung {number}"), &format!("{:>7}{mark}", say::percent(odds.made())));
        page.row("", &places(&shown.world, rung));
    }
    page.note(
        "Places are along/across in diamonds, from the head rail and from the right-hand long rail as seen from the head end. \
         Work is the rung nearest to 68 %, the frontier the outermost that is made more often than not.",
    );
    page.note(&format!(
        "The stroke \"{name}\" is an assumption defined by its numbers: no published spreads by level of play were found."
    ));
    drawn.save()?;
    page.print(arguments.json, &object(&reading, drill, &shown))
}

/// "cue 5.00/1.00, 1 6.50/2.50".
fn places(world: &World, rung: &Rung) -> String {
    let place = |ball: &Ball| format!("{} {}", ball.id, say::place(world.table().spec(), ball));
    rung.layout.balls().iter().map(place).collect::<Vec<_>>().join(", ")
}

/// The rung asked for with its best hit.
fn draw<'a>(arguments: &'a Arguments, shown: &Shown) -> Result<picture::Drawn<'a>, Failure> {
    if !arguments.picture.any() {
        return Ok(picture::Drawn::default());
    }
    let index = usize::try_from(arguments.rung).unwrap_or(usize::MAX).saturating_sub(1);
    let (Some(rung), Some(odds)) = (shown.ladder.get(index), shown.odds.get(index)) else {
        return Ok(picture::Drawn::default());
    };
    let Some((hit, _)) = &odds.best else {
        return Err(Failure::OutOfReach(format!(
            "no hit makes rung {}, so there is none to draw",
            index + 1
        )));
    };
    let cue: Cue = shown.player.cue();
    let problem = Problem { world: shown.world.clone(), layout: rung.layout.clone(), stroke: None, cue };
    drawing::of_shot(&arguments.picture, &problem, &rung.goal, hit)
}

fn about(drill: &Drill) -> Value {
    json!({
        "id": drill.id, "version": drill.version, "family": drill.family, "title": drill.title, "why": drill.why,
        "harder": drill.harder, "rungs": drill.rungs, "goal": drill.goal, "balls_needed": drill.balls_needed(),
        "seconds_to_reset": drill.seconds_to_reset, "attempts_an_hour": drill.attempts_an_hour(),
        "cautions": drill.cautions, "sizes": drill.sizes,
    })
}

fn object(reading: &str, drill: &Drill, shown: &Shown) -> Value {
    let chances = shown.chances();
    let rungs: Vec<Value> = shown
        .ladder
        .iter()
        .zip(&shown.odds)
        .map(|(rung, odds)| {
            let balls = say::balls_object(shown.world.table().spec(), rung.layout.balls());
            json!({
                "rung": rung.number, "balls": balls, "made": odds.made(),
                "hit": odds.best.as_ref().map(|(hit, _)| say::hit_object(hit)),
            })
        })
        .collect();
    json!({
        "reading": reading, "drill": about(drill), "rungs": rungs, "work_rung": work_rung(&chances).map(|work| work.rung),
        "frontier_rung": frontier_rung(&chances, TARGET, None),
    })
}
