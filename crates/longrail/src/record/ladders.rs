//! Ladders worked out: from the store where they are kept, or now, with progress told, and kept.

use std::collections::BTreeMap;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};
use longrail_practice::constraints::Constraints;
use longrail_practice::drill::{Drill, RungNumber, Setup};
use longrail_practice::event::Task;
use longrail_practice::id::EventId;
use longrail_practice::ladder::{Posed as Ladder, Worked, Working};
use longrail_practice::player::{Bounds, Profile};
use longrail_stroke::Player;
use longrail_stroke::infer::Surface;
use longrail_stroke::stroke::Reference;

use super::book::Book;
use super::task::Posed;
use crate::exit::Failure;

/// Steps after which what is done so far is kept: a stop in between loses less than half a second of work.
const KEPT_EACH: u32 = 8;

/// Which ladder.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Which {
    drill: String,
    version: u32,
    setup: Setup,
    constraints: String,
    card: EventId,
    /// A rung between two of the ladder's own, by itself.
    between: Option<RungNumber>,
    today: bool,
}

/// The ladders of one command: each is worked out or read once.
#[derive(Default)]
pub(super) struct Ladders {
    worked: BTreeMap<Which, Option<Worked>>,
}

/// The player for whom hits are prescribed: within the usual limits, or within today's.
pub(super) fn prescribed_for(profile: &Profile, today: bool) -> Result<Player, Failure> {
    let reference = profile.start.unwrap_or(Reference::Regular);
    let usual = Profile { today: if today { profile.today } else { Bounds::default() }, ..profile.clone() };
    usual.player(reference.stroke()).map_err(|error| Failure::Input(error.to_string()))
}

impl Ladders {
    /// The ladder of a drill as it is to be played today.
    pub(super) fn today(
        &mut self,
        book: &Book,
        posed: &Posed,
        constraints: &Constraints,
    ) -> Result<&Worked, Failure> {
        let which = Which {
            drill: posed.drill.id.clone(),
            version: posed.drill.version,
            setup: posed.setup,
            constraints: constraints.to_string(),
            card: posed.card_id,
            between: None,
            today: book.profile()?.today != Bounds::default(),
        };
        if !self.worked.contains_key(&which) {
            let player = prescribed_for(book.profile()?, which.today)?;
            let ladder = ladder(posed, &player, constraints)?;
            self.worked.insert(which.clone(), Some(worked(book, ladder, &posed.drill)?));
        }
        self.worked
            .get(&which)
            .and_then(Option::as_ref)
            .ok_or_else(|| Failure::Input(format!("{} cannot be worked out", posed.drill.id)))
    }

    /// What outcomes at a task say of a stroke; none where its drill is not at hand in its version, or no hit makes it.
    pub(super) fn surface(&mut self, book: &Book, task: &Task) -> Result<Option<&Surface>, Failure> {
        let between = (!task.rung.is_whole()).then_some(task.rung);
        let which = Which {
            drill: task.drill.clone(),
            version: task.drill_version,
            setup: task.setup,
            constraints: task.constraints.clone(),
            card: task.card,
            between,
            today: false,
        };
        if !self.worked.contains_key(&which) {
            let found = match (Posed::of(book, task), task.constraints.parse::<Constraints>()) {
                (Ok(posed), Ok(constraints)) => {
                    let player = prescribed_for(book.profile()?, false)?;
                    let mut ladder = ladder(&posed, &player, &constraints)?;
                    if let Some(number) = between {
                        let rung =
                            posed.rung(number)?.under(&posed.world, &player, posed.setup, &constraints)?;
                        ladder.layouts = vec![rung.ready(|setting| Ok(setting.layout.clone()))?];
                    }
                    Some(worked(book, ladder, &posed.drill)?)
                }
                // A drill that went, or a newer program's constraints: its counts stay, the stroke cannot read them.
                _ => None,
            };
            self.worked.insert(which.clone(), found);
        }
        let rung = if between.is_some() { 1 } else { task.rung.below() };
        Ok(self.worked.get(&which).and_then(Option::as_ref).and_then(|worked| worked.surface(rung)))
    }
}

fn ladder(posed: &Posed, player: &Player, constraints: &Constraints) -> Result<Ladder, Failure> {
    Ladder::new(&posed.drill, &posed.world, posed.card.cue_ball(), posed.setup, player, constraints)
        .map_err(|error| Failure::Input(error.to_string()))
}

fn worked(book: &Book, ladder: Ladder, drill: &Drill) -> Result<Worked, Failure> {
    let key = format!("ladder {}", ladder.key());
    let told = |error: longrail_practice::ladder::WorkError| Failure::Input(error.to_string());
    // What is damaged, or of another version, is worked out again.
    let kept = book.computed(&key)?.and_then(|text| Worked::decode(&text).ok());
    let mut working = match kept {
        Some(worked) if worked.is_complete() => return Ok(worked),
        Some(worked) => Working::resume(ladder.clone(), worked).or_else(|_| Working::new(ladder)),
        None => Working::new(ladder),
    }
    .map_err(told)?;
    let bar = ProgressBar::new(0);
    if let Ok(style) = ProgressStyle::with_template("{msg} {wide_bar} {pos}/{len}") {
        bar.set_style(style);
    }
    bar.set_message(format!("working out {}", drill.id));
    bar.enable_steady_tick(Duration::from_millis(200));
    while let Some(progress) = working.next_rung().map_err(told)? {
        bar.set_length(progress.of.into());
        bar.set_position(progress.done.into());
        if progress.done.is_multiple_of(KEPT_EACH) {
            book.keep_computed(&key, &working.so_far().encode())?;
        }
    }
    bar.finish_and_clear();
    let worked = working.finish().map_err(told)?;
    book.keep_computed(&key, &worked.encode())?;
    Ok(worked)
}
