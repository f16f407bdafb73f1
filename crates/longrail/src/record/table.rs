//! `longrail table`: table cards.

use clap::Subcommand;
use longrail_physics::table::PocketId;
use longrail_practice::card::{
    Card, Change, CueBall, Difference, Mouth, Mouths, Potted, Rebound, Size, Stopwatch,
};
use longrail_practice::event::{CardAdded, CardChanged, CardRetired, Payload};
use longrail_practice::id::EventId;
use longrail_practice::player::Profile;
use serde_json::{Value, json};

use super::book::{Book, Source};
use crate::exit::Failure;
use crate::page::Page;

/// How to begin, for `--help`.
const FORM: &str = "\
  longrail table add \"Table 4\" --size 9ft --place \"the club\"
  longrail table how                     how mouths, cloth and rails are measured in a few minutes
  longrail table change \"Table 4\" --corners 114 --cloth 2.54 7.2
  longrail table change \"Table 4\" --pocket foot-left=2+3.5";

/// How things are measured.
const HOW: &str = "\
Mouths, with a ruler: from jaw point to jaw point at the height of the noses, in
millimetres. `--corners 114` is all four, `--sides 127` both, `--pocket
foot-left=112.5` one alone.
Mouths, without one: set two balls side by side between the jaw points, touching
each other, one of them touching its jaw. Fill what is left to the other jaw, at
the height of the nose, with coins or cards and measure those: `--corners 2+3.5`
is two balls and 3.5 mm. Where two do not go in, `1+48` is one ball and the room
beside it.

Cloth: roll a ball; from any moment at which it rolls without sliding, measure
how far it still goes and how long that takes. Roll there and back again and take
the means. `--cloth 2.54 7.2` is 2.54 m in 7.2 s.

Rails: roll a ball straight at the foot rail, one diamond from a long rail. Start
the watch at a mark, stop it at the rail, then measure how far it comes back.
`--rails 1.27 1.6 1.0` is: the mark 1.27 m from the nose, 1.6 s, back 1.0 m; all
to the ball's centre. Measure the cloth first.

Cue ball: `--cue-ball 29.4 180` if it is an odd one: radius in mm, mass in g.";

/// Arguments of `longrail table`.
#[derive(clap::Args)]
#[command(after_help = FORM, args_conflicts_with_subcommands = true)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    what: Option<What>,
}

#[derive(Subcommand)]
enum What {
    /// Adds a table; a name and a size are enough.
    Add {
        /// What you call it.
        name: String,
        /// Its size by name: 7ft, 8ft, 9ft …
        #[arg(long, default_value = "9ft")]
        size: String,
        #[command(flatten)]
        fields: Box<Fields>,
    },
    /// Shows a table: what is measured, and what is assumed.
    Show {
        /// Which table.
        name: String,
    },
    /// Changes a card. What makes it another table begins a new card, and says so.
    Change {
        /// Which table.
        name: String,
        /// A new name.
        #[arg(long, value_name = "NAME")]
        rename: Option<String>,
        /// Its size by name.
        #[arg(long)]
        size: Option<String>,
        #[command(flatten)]
        fields: Box<Fields>,
    },
    /// A table that is no longer offered; what was shot on it stays.
    Retire {
        /// Which table.
        name: String,
    },
    /// Says how mouths, cloth and rails are measured.
    How,
}

/// What may be known of a table.
#[derive(clap::Args)]
struct Fields {
    /// Where it stands.
    #[arg(long)]
    place: Option<String>,
    /// Playing surface as measured, nose to nose, in metres.
    #[arg(long, num_args = 2, value_names = ["LENGTH", "WIDTH"])]
    surface: Option<Vec<f64>>,
    /// Mouths of all corners: millimetres, or balls and room, as 2+3.5.
    #[arg(long, value_name = "MOUTH")]
    corners: Option<String>,
    /// Mouths of both sides.
    #[arg(long, value_name = "MOUTH")]
    sides: Option<String>,
    /// The mouth of one pocket, as foot-left=112; may be given several times.
    #[arg(long, value_name = "POCKET=MOUTH")]
    pocket: Vec<String>,
    /// A ball's way until it stops, in metres and seconds.
    #[arg(long, num_args = 2, value_names = ["METRES", "SECONDS"])]
    cloth: Option<Vec<f64>>,
    /// A ball rolled at the foot rail: mark to nose in metres, seconds, way back in metres.
    #[arg(long, num_args = 3, value_names = ["METRES", "SECONDS", "BACK"])]
    rails: Option<Vec<f64>>,
    /// An odd cue ball: radius in millimetres, mass in grams.
    #[arg(long, num_args = 2, value_names = ["MM", "GRAMS"])]
    cue_ball: Option<Vec<f64>>,
    /// What becomes of potted balls.
    #[arg(long, value_enum)]
    potted: Option<PottedNamed>,
    /// Where balls roll off, in your words.
    #[arg(long, value_name = "TEXT")]
    roll_off: Option<String>,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum PottedNamed {
    Returned,
    Kept,
}

impl Fields {
    fn on(&self, card: &mut Card) -> Result<(), Failure> {
        if let Some(place) = &self.place {
            place.clone_into(&mut card.place);
        }
        if let Some([length_m, width_m]) = self.surface.as_deref() {
            card.size = Size::Measured { length_m: *length_m, width_m: *width_m };
        }
        let corners = self.corners.as_deref().map(mouth).transpose()?;
        let sides = self.sides.as_deref().map(mouth).transpose()?;
        card.mouths.update(&Mouths::alike(corners, sides));
        for text in &self.pocket {
            let (name, given) = text.split_once('=').unwrap_or((text.as_str(), ""));
            let given = mouth(given)?;
            *card.mouths.named_mut(name).ok_or_else(|| {
                Failure::Input(format!(
                    "--pocket {text}: {name:?} is no pocket; there are head-left, head-right, side-left, side-right, \
                     foot-left, foot-right"
                ))
            })? = Some(given);
        }
        if let Some([distance_m, seconds]) = self.cloth.as_deref() {
            card.cloth = Some(Stopwatch { distance_m: *distance_m, seconds: *seconds });
        }
        if let Some([away_m, seconds, back_m]) = self.rails.as_deref() {
            card.rails = Some(Rebound { away_m: *away_m, seconds: *seconds, back_m: *back_m });
        }
        if let Some([radius_mm, grams]) = self.cue_ball.as_deref() {
            card.cue_ball = Some(CueBall { radius_m: 1e-3 * radius_mm, mass_kg: 1e-3 * grams });
        }
        if let Some(potted) = self.potted {
            card.potted = Some(match potted {
                PottedNamed::Returned => Potted::Returned,
                PottedNamed::Kept => Potted::Kept,
            });
        }
        if let Some(words) = &self.roll_off {
            words.clone_into(&mut card.roll_off);
        }
        Ok(())
    }
}

/// "114" in millimetres, or "2+3.5": two balls and 3.5 mm.
fn mouth(text: &str) -> Result<Mouth, Failure> {
    Mouth::read(text, 1.0).ok_or_else(|| {
        Failure::Input(format!(
            "{text:?} is no mouth: give millimetres, as 114, or balls and the room beside them, as 2+3.5"
        ))
    })
}

pub(super) fn run(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    match &arguments.what {
        None => list(&Book::open(source)?, source),
        Some(What::How) => crate::print(&format!("{HOW}\n")),
        Some(What::Show { name }) => {
            let book = Book::open(source)?;
            let (id, card) = named(&book, name)?;
            show("", id, &card, source)
        }
        Some(What::Add { name, size, fields }) => {
            let mut book = Book::open(source)?;
            if offered(&book).any(|(_, card)| card.name == *name) {
                return Err(Failure::Input(format!(
                    "there is a table {name:?} already: `longrail table change` changes it"
                )));
            }
            let mut card = Card::new(name, size);
            fields.on(&mut card)?;
            let id = add(&mut book, &card)?;
            show("Added. ", id, &card, source)
        }
        Some(What::Change { name, rename, size, fields }) => {
            let mut book = Book::open(source)?;
            let (id, before) = named(&book, name)?;
            let mut card = before.clone();
            if let Some(name) = rename {
                name.clone_into(&mut card.name);
            }
            if let Some(size) = size {
                card.size = Size::Named(size.clone());
            }
            fields.on(&mut card)?;
            change(&mut book, id, &card, source)
        }
        Some(What::Retire { name }) => {
            let mut book = Book::open(source)?;
            let (of, _) = named(&book, name)?;
            book.note_one(Payload::CardRetired(CardRetired { of }))?;
            let reading = format!("{name} is no longer offered; what was shot on it stays.");
            Page::new(&reading, 0).print(source.json, &json!({"reading": reading}))
        }
    }
}

fn checked(card: &Card) -> Result<(), Failure> {
    card.check().map_err(|error| Failure::Input(error.to_string()))
}

fn add(book: &mut Book, card: &Card) -> Result<EventId, Failure> {
    checked(card)?;
    book.note(|desk| desk.note(Payload::CardAdded(CardAdded { card: Box::new(card.clone()) })))
}

fn change(book: &mut Book, of: EventId, card: &Card, source: &Source) -> Result<(), Failure> {
    checked(card)?;
    // Against the card as it first was: many small changes add up.
    let first = book.state().cards.get(&of).map_or_else(|| card.clone(), |known| known.first.clone());
    match first.change(card).map_err(|error| Failure::Input(error.to_string()))? {
        Change::Keeps { .. } => {
            book.note_one(Payload::CardChanged(CardChanged { of, card: Box::new(card.clone()) }))?;
            show("Changed; what was shot on it stays comparable. ", of, card, source)
        }
        Change::NewCard { why } => {
            let id = book.note(|desk| {
                desk.note(Payload::CardRetired(CardRetired { of }))?;
                desk.note(Payload::CardAdded(CardAdded { card: Box::new(card.clone()) }))
            })?;
            let done = format!(
                "This is another table now, so it has a new card ({}); what was shot on the old one stays with it. ",
                Difference::all(&why, book.profile().is_ok_and(Profile::imperial))
            );
            show(&done, id, card, source)
        }
    }
}

/// The tables that are offered.
pub(super) fn offered(book: &Book) -> impl Iterator<Item = (EventId, &Card)> {
    let cards = book.state().cards.iter().filter(|(_, known)| !known.retired);
    cards.map(|(id, known)| (*id, &known.card))
}

/// The table of this name. Who scores for somebody else brings along the card of a table where both stand.
pub(super) fn shared(book: &mut Book, name: &str) -> Result<(EventId, Card), Failure> {
    let told = match named(book, name) {
        Err(told) if !book.is_own() => told,
        found => return found,
    };
    let Some(card) = book.card_of_author(name)? else { return Err(told) };
    let id = add(book, &card)?;
    Ok((id, card))
}

/// The table of this name.
pub(super) fn named(book: &Book, name: &str) -> Result<(EventId, Card), Failure> {
    offered(book).find(|(_, card)| card.name == name).map(|(id, card)| (id, card.clone())).ok_or_else(|| {
        let known: Vec<&str> = offered(book).map(|(_, card)| card.name.as_str()).collect();
        let known = if known.is_empty() { "none yet".to_owned() } else { known.join(", ") };
        Failure::Input(format!("no table is called {name:?}; there is {known} (`longrail table add NAME`)"))
    })
}

fn list(book: &Book, source: &Source) -> Result<(), Failure> {
    let tables: Vec<_> = offered(book).collect();
    let reading = match tables.len() {
        0 => "There is no table yet: `longrail table add NAME --size 9ft`.".to_owned(),
        1 => "One table.".to_owned(),
        count => format!("{count} tables."),
    };
    let mut page = Page::new(&reading, 20);
    for (_, card) in &tables {
        let assumed = card.unmeasured(false).len();
        let measured = if assumed == 0 { "measured".to_owned() } else { format!("{assumed} fields assumed") };
        let place = if card.place.is_empty() { String::new() } else { format!("{}, ", card.place) };
        page.row(&card.name, &format!("{place}{}, {measured}", size_words(card)));
    }
    let rows: Vec<Value> = tables.iter().map(|(id, card)| json!({"id": id, "card": card})).collect();
    page.print(source.json, &json!({"reading": reading, "tables": rows}))
}

fn size_words(card: &Card) -> String {
    match &card.size {
        Size::Named(name) => name.clone(),
        Size::Measured { length_m, width_m } => format!("{length_m} × {width_m} m"),
    }
}

fn show(done: &str, id: EventId, card: &Card, source: &Source) -> Result<(), Failure> {
    let unmeasured = card.unmeasured(false);
    let reading = format!("{done}{}, {}.", card.name, size_words(card));
    let mut page = Page::new(&reading, 10);
    let labelled = [("place", card.place.clone()), ("roll-off", card.roll_off.clone())];
    for (label, text) in labelled.into_iter().filter(|(_, text)| !text.is_empty()) {
        page.row(label, &text);
    }
    let world = card.world().map_err(|error| Failure::Input(error.to_string()))?;
    let mouths = PocketId::ALL.into_iter().zip(world.table().spec().mouths_m);
    let mouths: Vec<String> =
        mouths.filter_map(|(id, mouth)| Some(format!("{} {:.1} mm", id.name(), 1e3 * mouth?))).collect();
    if !mouths.is_empty() {
        page.row("mouths", &format!("{}, measured", mouths.join(", ")));
    }
    if let Some(cloth) = card.cloth {
        let friction = cloth.rolling_friction().map_err(|error| Failure::Input(error.to_string()))?;
        page.row("cloth", &format!("rolling friction {friction:.4}, measured"));
    }
    if card.rails.is_some() {
        page.row("rails", &format!("restitution {:.2}, measured", world.conditions().cushion.restitution));
    }
    for assumed in &unmeasured {
        page.row("assumed", assumed);
    }
    if !unmeasured.is_empty() {
        page.note(
            "`longrail table how` says how each is measured in a few minutes. Odds name what they assume.",
        );
    }
    page.print(source.json, &json!({"reading": reading, "id": id, "card": card, "assumed": unmeasured}))
}
