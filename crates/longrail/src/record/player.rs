//! `longrail player`: who you are, and how far you go.

use clap::Subcommand;
use longrail_practice::event::{Payload, ProfileChanged};
use longrail_practice::id::PlayerId;
use longrail_practice::player::{Bounds, Hand, Profile, Units};
use serde_json::json;

use super::book::{Book, Shelf, Source};
use super::random;
use crate::exit::Failure;
use crate::odds::posed::Named;
use crate::page::Page;

/// How to begin, for `--help`.
const FORM: &str = "\
  longrail player add Ann --start regular
  longrail player change --cue-g 7 --reach-m 0.8 --units imperial
  longrail player change --today-most-draw 0.2     (a sore wrist; `--today-as-usual` ends it)
  longrail player use Ben";

/// Arguments of `longrail player`.
#[derive(clap::Args)]
#[command(after_help = FORM, args_conflicts_with_subcommands = true)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    what: Option<What>,
}

#[derive(Subcommand)]
enum What {
    /// Adds a player; commands are about them from now on.
    Add {
        /// Name or pseudonym.
        name: String,
        #[command(flatten)]
        changes: Box<Changes>,
    },
    /// Changes what is known of the player.
    Change {
        /// A new name.
        #[arg(long)]
        name: Option<String>,
        #[command(flatten)]
        changes: Box<Changes>,
    },
    /// Commands are about this player from now on.
    Use {
        /// Whose record.
        name: String,
    },
    /// Lists the players.
    List,
}

/// What may be known of a player.
#[derive(clap::Args)]
struct Changes {
    /// What you would say of your own game; where to start follows from it until your record says more.
    #[arg(long, value_enum, value_name = "WORD")]
    start: Option<Named>,
    /// How lengths are shown.
    #[arg(long, value_enum)]
    units: Option<UnitsNamed>,
    /// The hand that holds the cue.
    #[arg(long, value_enum)]
    hand: Option<HandNamed>,
    /// Effective end mass of the cue's shaft, in grams, 0 to 100.
    #[arg(long, value_name = "GRAMS")]
    cue_g: Option<f64>,
    /// Diameter of the tip, in millimetres, 8 to 15.
    #[arg(long, value_name = "MM")]
    tip_mm: Option<f64>,
    /// Distance from the nearest rail at which you reach a ball, in metres, 0.3 to 2.
    #[arg(long, value_name = "M")]
    reach_m: Option<f64>,
    /// Hardest comfortable hit, in m/s of the cue ball, 0.5 to 20.
    #[arg(long, value_name = "MPS")]
    hardest_mps: Option<f64>,
    /// Most draw, in radii of the ball below the middle, 0 to 0.5.
    #[arg(long, value_name = "R")]
    most_draw: Option<f64>,
    /// Most follow, in radii above the middle, 0 to 0.5.
    #[arg(long, value_name = "R")]
    most_follow: Option<f64>,
    /// Most side, in radii, 0 to 0.5.
    #[arg(long, value_name = "R")]
    most_side: Option<f64>,
    /// Steepest cue, in degrees, 0 to 85.
    #[arg(long, value_name = "DEG")]
    steepest_deg: Option<f64>,
    /// Not today: no harder than this.
    #[arg(long, value_name = "MPS")]
    today_hardest_mps: Option<f64>,
    /// Not today: no more draw than this.
    #[arg(long, value_name = "R")]
    today_most_draw: Option<f64>,
    /// Not today: no steeper than this.
    #[arg(long, value_name = "DEG")]
    today_steepest_deg: Option<f64>,
    /// Today is like any other day again.
    #[arg(long)]
    today_as_usual: bool,
    /// The chance that a proof asks you to exceed, 0.3 to 0.9.
    #[arg(long, value_name = "CHANCE")]
    target: Option<f64>,
    /// The stricter rule for proofs (true or false): half as many false promotions, more attempts.
    #[arg(long, value_name = "BOOL")]
    strict: Option<bool>,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum UnitsNamed {
    Metric,
    Imperial,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum HandNamed {
    Left,
    Right,
}

impl Changes {
    fn on(&self, profile: &mut Profile) {
        fn instead<T>(field: &mut Option<T>, given: Option<T>) {
            if given.is_some() {
                *field = given;
            }
        }
        instead(&mut profile.start, self.start.map(Named::reference));
        if let Some(units) = self.units {
            profile.units = match units {
                UnitsNamed::Metric => Units::Metric,
                UnitsNamed::Imperial => Units::Imperial,
            };
        }
        if let Some(hand) = self.hand {
            profile.hand = match hand {
                HandNamed::Left => Hand::Left,
                HandNamed::Right => Hand::Right,
            };
        }
        instead(&mut profile.cue.end_mass_g, self.cue_g);
        instead(&mut profile.cue.tip_mm, self.tip_mm);
        instead(&mut profile.reach_m, self.reach_m);
        instead(&mut profile.usual.hardest_mps, self.hardest_mps);
        instead(&mut profile.usual.most_draw, self.most_draw);
        instead(&mut profile.usual.most_follow, self.most_follow);
        instead(&mut profile.usual.most_side, self.most_side);
        instead(&mut profile.usual.steepest_deg, self.steepest_deg);
        if self.today_as_usual {
            profile.today = Bounds::default();
        }
        instead(&mut profile.today.hardest_mps, self.today_hardest_mps);
        instead(&mut profile.today.most_draw, self.today_most_draw);
        instead(&mut profile.today.steepest_deg, self.today_steepest_deg);
        profile.proof.target = self.target.unwrap_or(profile.proof.target);
        profile.proof.strict = self.strict.unwrap_or(profile.proof.strict);
    }
}

pub(super) fn run(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    match &arguments.what {
        None => show(&Book::open(source)?, source, ""),
        Some(What::Add { name, changes }) => add(name, changes, source),
        Some(What::Change { name, changes }) => {
            let mut book = Book::open(source)?;
            let mut profile = book.state().profile.clone().unwrap_or_else(|| Profile::new(""));
            if let Some(name) = name {
                unused(&book.shelf, name, Some(book.player()))?;
                name.clone_into(&mut profile.name);
            }
            changes.on(&mut profile);
            write(&mut book, profile)?;
            show(&book, source, "Changed. ")
        }
        Some(What::Use { name }) => {
            let mut shelf = Shelf::open(source)?;
            shelf.device.using = Some(shelf.named(name)?);
            shelf.home.keep(&shelf.device)?;
            let reading = format!("Commands are about {name} from now on.");
            Page::new(&reading, 0).print(source.json, &json!({"reading": reading, "player": name}))
        }
        Some(What::List) => list(source),
    }
}

/// A name tells players apart on the command line.
fn unused(shelf: &Shelf, name: &str, own: Option<PlayerId>) -> Result<(), Failure> {
    if shelf.players()?.iter().any(|(player, known)| known == name && Some(*player) != own) {
        return Err(Failure::Input(format!("somebody is called {name:?} already: choose another name")));
    }
    Ok(())
}

fn add(name: &str, changes: &Changes, source: &Source) -> Result<(), Failure> {
    let mut shelf = Shelf::open(source)?;
    unused(&shelf, name, None)?;
    let mut profile = Profile::new(name);
    changes.on(&mut profile);
    profile.check().map_err(|error| Failure::Input(error.to_string()))?;
    let player = PlayerId::from_bits(random()?);
    let first = shelf.device.using.is_none();
    shelf.device.using = Some(player);
    let device = shelf.device.clone();
    let mut book = Book::of(shelf, player, source)?;
    write(&mut book, profile)?;
    // Once the record is there: a device that names nobody's record would stand in the way.
    book.shelf.home.keep(&device)?;
    let place = if first { format!("The record is {}. ", book.shelf.place) } else { String::new() };
    show(&book, source, &format!("Added. {place}"))
}

fn write(book: &mut Book, profile: Profile) -> Result<(), Failure> {
    profile.check().map_err(|error| Failure::Input(error.to_string()))?;
    book.note_one(Payload::ProfileChanged(ProfileChanged { profile: Box::new(profile) }))
}

fn show(book: &Book, source: &Source, done: &str) -> Result<(), Failure> {
    let profile = book.profile()?;
    let reading = format!("{done}Commands are about {}.", profile.name);
    let mut page = Page::new(&reading, 12);
    let proof = profile.proof;
    let rule = if proof.strict { ", the stricter rule" } else { "" };
    page.row("a proof", &format!("asks for a chance above {:.0} %{rule}", 100.0 * proof.target));
    if let Some(start) = profile.start {
        page.row("to start", &format!("\"{}\"", longrail_practice::ladder::in_words(start)));
    }
    for assumed in profile.unmeasured() {
        page.row("assumed", &assumed);
    }
    if profile.today != Bounds::default() {
        page.row("today", "narrower than usual (`longrail player change --today-as-usual` ends it)");
    }
    page.print(source.json, &json!({"reading": reading, "player": book.player(), "profile": profile}))
}

fn list(source: &Source) -> Result<(), Failure> {
    let shelf = Shelf::open(source)?;
    let players = shelf.players()?;
    let names: Vec<&str> = players.iter().map(|(_, name)| name.as_str()).collect();
    let reading = match names.as_slice() {
        [] => "There is no player yet: begin with `longrail player add NAME`.".to_owned(),
        names => format!("{}.", names.join(", ")),
    };
    let rows: Vec<_> = players.iter().map(|(player, name)| json!({"player": player, "name": name})).collect();
    Page::new(&reading, 0).print(source.json, &json!({"reading": reading, "players": rows}))
}
