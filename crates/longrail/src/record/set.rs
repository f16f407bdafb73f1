//! `longrail set`: consecutive attempts at one rung.

use clap::Subcommand;
use longrail_practice::constraints::Constraints;
use longrail_practice::drill::{Rung, RungNumber, Setup};
use longrail_practice::event::{Aim, Task};
use longrail_practice::form::Standing;
use longrail_practice::guide::{self, Decided, Known, Posed, passed, prescribed_for};
use longrail_practice::ladder::FIRST_SET;
use longrail_practice::state::State;
use longrail_stroke::{Hit, Nodes};
use serde_json::{Value, json};

use super::book::{Book, Source};
use super::lines;
use super::task;
use crate::exit::Failure;
use crate::odds::{rails, say};
use crate::page::Page;

/// How a set goes, for `--help`.
const FORM: &str = r#"
  longrail set begin straight-stop-lengthening
  longrail set begin cut-thinner --prove --warm-up 5
  longrail set begin zone-by-one-rail --rung 2 --constraint "zone 0.5" --mirrored
  longrail score
  longrail set end"#;

/// Arguments of `longrail set`.
#[derive(clap::Args)]
#[command(after_help = FORM, args_conflicts_with_subcommands = true)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    what: Option<What>,
}

#[derive(Subcommand)]
enum What {
    /// Begins a set: says where the balls lie, what counts as made, and how likely it is.
    Begin(Box<Begin>),
    /// Ends it with three lines: what you did, what it settled, what is next.
    End {
        /// A pass is not taken yet: the sheet stays open.
        #[arg(long)]
        not_yet: bool,
        /// The step back that is offered is taken; without this you stay.
        #[arg(long)]
        step_back: bool,
    },
}

#[derive(clap::Args)]
struct Begin {
    /// The drill: its id, or the path of a file of your own ending in .toml.
    drill: String,
    /// The rung; by default the one to work at, or with --prove the one to be proved. Parts of an eighth lie between two.
    #[arg(long, value_name = "NUMBER")]
    rung: Option<RungNumber>,
    /// For a proof: attempts go on the sheet of this rung, which decides promotion.
    #[arg(long)]
    prove: bool,
    /// Set up turned by half a turn: head and foot, left and right change places.
    #[arg(long)]
    turned: bool,
    /// Set up mirrored from left to right.
    #[arg(long)]
    mirrored: bool,
    /// What makes it harder, such as "pocket 0.9", "zone 0.5", "streak 3", "speed 1.5 to 3", "no side", "blocker at 4.5/2"; may
    /// be given several times. Its price is shown before the first attempt.
    #[arg(long, value_name = "TEXT")]
    constraint: Vec<String>,
    /// On which table; by default the visit's.
    #[arg(long, value_name = "NAME")]
    table: Option<String>,
    /// So many first attempts are warm-up and left out, 1 to 10; said before they are shot.
    #[arg(long, value_name = "N")]
    warm_up: Option<u32>,
}

pub(super) fn run(arguments: &Arguments, source: &Source) -> Result<(), Failure> {
    let mut book = Book::open(source)?;
    match &arguments.what {
        None => show(&book, source),
        Some(What::Begin(begin_)) => begin(&mut book, begin_, source),
        Some(What::End { not_yet, step_back }) => {
            let decided = Decided { not_yet: *not_yet, step_back: *step_back };
            let ended = lines::end(&mut book, decided)?;
            page_of(&ended).print(source.json, &object_of(&ended))
        }
    }
}

fn begin(book: &mut Book, begin: &Begin, source: &Source) -> Result<(), Failure> {
    let drill = task::drill(book, &begin.drill)?;
    let card = task::card(book, begin.table.as_deref())?;
    let setup = Setup::of(begin.turned, begin.mirrored);
    let constraints: Constraints = begin.constraint.join("; ").parse().map_err(
        |error: longrail_practice::constraints::ConstraintsError| Failure::Input(error.to_string()),
    )?;
    let posed = Posed::new(drill, setup, card)?;
    let mut guide = book.guide();
    let mut known = Known::of(&guide, |_| true)?;
    let standing = known.on(&mut guide, &posed, &constraints)?;
    let mut task = posed.task(RungNumber::FIRST, &constraints);
    let aim = if begin.prove { Aim::Proof } else { Aim::Work };
    task.rung = match begin.rung {
        Some(rung) => rung,
        None => chosen(book.state(), &task, aim, &standing)?,
    };
    let player = prescribed_for(book.profile()?, true)?;
    let rung = posed.rung(task.rung)?;
    let under = rung.under(&posed.world, &player, setup, &constraints)?;
    let rung = rung.set_up(&posed.world, &under)?;
    let plain = if constraints.is_empty() {
        None
    } else {
        Some(known.on(&mut guide, &posed, &Constraints::default())?)
    };
    let prescribed = guide.today(&posed, &constraints)?.prescribed(task.rung.below()).copied();
    let rails = match prescribed {
        Some(found) if posed.card.rails.is_none() => {
            rails::open(&under, None, (&found.hit, found.made), &Nodes::usual(1))?
        }
        _ => None,
    };
    let hit = prescribed.map(|found| found.hit);
    // Everything that can be refused has been by now.
    let warm_up = begin.warm_up;
    let set = book.note(|desk| desk.begin_set(task.clone(), aim))?;
    if let Some(attempts) = warm_up {
        book.note(|desk| desk.warm_up(attempts))?;
    }
    let shown = Shown { posed, task, aim, rung, constraints, standing, plain, hit, rails, known };
    let page = shown.page(book, warm_up)?;
    page.print(source.json, &shown.object(set))
}

/// The rung that is proposed.
fn chosen(state: &State, task: &Task, aim: Aim, standing: &Standing) -> Result<RungNumber, Failure> {
    let found = match aim {
        Aim::Work => standing.work().map(|work| work.rung),
        Aim::Proof => standing.frontier(passed(state, task)),
    };
    found.map(RungNumber::whole).ok_or_else(|| {
        Failure::Input(format!(
            "every rung of {} is passed: take another ladder, or name a rung with --rung",
            task.drill
        ))
    })
}

/// A set that begins.
struct Shown {
    posed: Posed,
    task: Task,
    aim: Aim,
    rung: Rung,
    constraints: Constraints,
    standing: Standing,
    /// The same ladder without constraints.
    plain: Option<Standing>,
    hit: Option<Hit>,
    /// What unmeasured rails leave open, if the shot needs them.
    rails: Option<rails::Open>,
    known: Known,
}

impl Shown {
    fn page(&self, book: &Book, warm_up: Option<u32>) -> Result<Page, Failure> {
        let Self { posed, task, aim, rung, constraints, standing, plain, hit, rails, known } = self;
        let kind = match aim {
            Aim::Work => "work",
            Aim::Proof => "proof",
        };
        let reading = format!("{}, rung {} of {}: {kind}.", posed.drill.title, task.rung, posed.drill.rungs);
        let mut page = Page::new(&reading, 12);
        page.row("on", &posed.card.name);
        page.row("made if", &rung.goal.to_string());
        let imperial = book.profile()?.imperial();
        for (number, line) in say::places(posed, rung, imperial).iter().enumerate() {
            page.row(if number == 0 { "set-up" } else { "" }, line);
        }
        match hit {
            Some(hit) => page.row("intend", &say::hit(hit, &posed.world, &rung.layout, imperial)),
            None => page.row("intend", "no hit makes it, as modelled, within your limits"),
        }
        let chance = standing.at(task.rung.value());
        let each = if constraints.in_a_row() > 1 { " each" } else { "" };
        page.row(
            "odds",
            &format!(
                "modelled {}{each} (80 %: {} to {})",
                say::percent(chance.mean),
                say::percent(chance.low),
                say::percent(chance.high)
            ),
        );
        if let Some(rails) = rails {
            page.row("rails", &format!("{}, for the reference stroke of your words", rails.words()));
        }
        if let Some(plain) = plain {
            let before = plain.at(task.rung.value()).mean;
            let after = constraints.chance(chance.mean);
            page.row("constraints", &constraints.at(task.setup).words(imperial));
            page.row("price", &format!("from {} to {}", say::percent(before), say::percent(after)));
            if constraints.in_a_row() > 1 {
                page.row("", "enter single attempts: the price of the streak is that of all in a row, as if independent");
            }
        }
        if let Some(attempts) = warm_up {
            page.row("warm-up", &format!("the first {attempts} attempts are left out"));
        }
        if *aim == Aim::Proof {
            self.outlook(book, &mut page, chance.mean)?;
        }
        for caution in &posed.drill.cautions {
            page.row("mind", caution);
        }
        self.basis(&mut page, known, imperial);
        page.note("`longrail score` scores it, one key an attempt; `longrail score 36/50` enters a count.");
        Ok(page)
    }

    fn outlook(&self, book: &Book, page: &mut Page, chance: f64) -> Result<(), Failure> {
        let rules = book.profile()?.proof.rules()?;
        let sheet = guide::sheet(book.state(), &self.task, &rules, book.now()?.wall)?;
        if sheet.tried() > 0 {
            page.row("sheet", &format!("{} of {} so far", sheet.made(), sheet.tried()));
        }
        let outlook = guide::outlook(book.state(), &rules, &self.posed.drill, chance)?;
        let until = match (outlook.attempts, outlook.minutes) {
            (Some(attempts), Some(minutes)) => {
                format!(
                    "half of all sheets are decided after {attempts} attempts, some {minutes:.0} minutes at your pace"
                )
            }
            _ => "not even a full sheet of 100 decides half the time".to_owned(),
        };
        page.row("a sheet", &until);
        page.row(
            "",
            &format!(
                "at these odds {} of sheets pass, {} step back, {} stay undecided",
                say::percent(outlook.promoted),
                say::percent(outlook.stepped_back),
                say::percent(outlook.undecided)
            ),
        );
        Ok(())
    }

    fn basis(&self, page: &mut Page, known: &Known, imperial: bool) {
        let mut rests = vec![match known.rests_on(&self.posed) {
            0 => format!(
                "The odds rest on your own words or an assumption, and on no attempt yet: the first {FIRST_SET} here tell where \
                 to go on."
            ),
            attempts => format!("The odds rest on {attempts} attempts of your last visits."),
        }];
        if known.is_prediction(&self.posed) {
            rests.push(
                "Most of them were on another table: this is a prediction, and attempts here replace it."
                    .to_owned(),
            );
        }
        page.note(&rests.join(" "));
        let assumed = self.posed.card.unmeasured(imperial);
        if !assumed.is_empty() {
            page.note(&format!("Assumed of this table: {}.", assumed.join("; ")));
        }
    }

    fn object(&self, set: longrail_practice::id::EventId) -> Value {
        let chance = self.standing.at(self.task.rung.value());
        let spec = self.posed.world.table().spec();
        json!({
            "set": set, "task": self.task, "aim": self.aim, "goal": self.rung.goal,
            "balls": say::balls_object(spec, self.rung.layout.balls()),
            "hit": self.hit.as_ref().map(say::hit_object),
            "chance": {"mean": chance.mean, "low": chance.low, "high": chance.high, "modelled": true,
                       "prediction": self.known.is_prediction(&self.posed)},
            "rails_not_measured": self.rails,
            "chance_without_constraints":
                self.plain.as_ref().map(|plain| plain.at(self.task.rung.value()).mean),
            "chance_of_all": self.constraints.chance(chance.mean),
            "attempts_it_rests_on": self.known.rests_on(&self.posed), "assumed": self.posed.card.unmeasured(false),
        })
    }
}

/// The three lines, and what was decided.
pub(super) fn page_of(ended: &lines::Ended) -> Page {
    let mut page = Page::new(&ended.said.lines.did, 0);
    page.note(&ended.said.lines.settled);
    page.note(&ended.said.lines.next);
    if ended.promoted {
        page.note(
            "The pass is on record. It says that you passed once, not that you are a favourite here; the odds beside it say \
             how likely you make it now.",
        );
    }
    page
}

pub(super) fn object_of(ended: &lines::Ended) -> Value {
    let said = &ended.said;
    let advice = said.advice.map(|advice| {
        json!({
            "verdict": lines::verdict_name(advice.verdict), "made": advice.count.made(), "tried": advice.count.tried(),
            "makes_to_promote": advice.makes_to_promote, "misses_to_step_back": advice.misses_to_step_back,
            "attempts_left": advice.attempts_left,
        })
    });
    json!({
        "set": said.set, "task": said.task, "aim": said.aim,
        "did": said.lines.did, "settled": said.lines.settled, "next": said.lines.next,
        "sheet": advice, "promoted": ended.promoted, "stepped_back": ended.stepped_back,
        "even_rung": said.standing.as_ref().map(|standing| {
            json!({"low": standing.even.low, "middle": standing.even.middle, "high": standing.even.high})
        }),
    })
}

fn show(book: &Book, source: &Source) -> Result<(), Failure> {
    let Some((id, set)) = book.state().set_now() else {
        let reading = "No set is open: `longrail set begin DRILL` begins one.";
        return Page::new(reading, 0).print(source.json, &json!({"reading": reading, "open": null}));
    };
    let Some((_, began)) = &set.began else { return Ok(()) };
    let count = set.count();
    let reading = format!(
        "{} of {} at rung {} of {} on {}.",
        count.made(),
        count.tried(),
        began.task.rung,
        began.task.drill,
        guide::table(book.state(), &began.task)
    );
    let (stands, next, _) = guide::so_far(book.state(), book.profile()?, began, book.now()?.wall)?;
    let mut page = Page::new(&reading, 0);
    page.note(&stands);
    page.note(&next);
    let open = json!({
        "set": id, "task": began.task, "aim": began.aim, "made": count.made(), "tried": count.tried(),
        "seen": set.seen, "warm_up_left": set.warm_up_left,
    });
    page.print(source.json, &json!({"reading": reading, "open": open, "stands": stands, "next": next}))
}
