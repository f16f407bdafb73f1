//! Where the record puts the player: the stroke as it is now, and each ladder's standing for it.

use std::collections::{BTreeMap, BTreeSet};

use longrail_practice::constraints::Constraints;
use longrail_practice::event::{SetBegan, Task, Wall};
use longrail_practice::form::{Attempts, Elsewhere, Form, SESSIONS, Session, Standing};
use longrail_practice::id::EventId;
use longrail_practice::ladder::prior;
use longrail_practice::state::{Set, State};
use longrail_stroke::infer::Surface;

use super::book::Book;
use super::ladders::Ladders;
use super::task::Posed;
use crate::exit::Failure;
use crate::library;

/// Milliseconds in a day.
const DAY_MS: f64 = 86_400_000.0;

/// What the record says of the stroke.
pub(super) struct Known {
    pub(super) form: Form,
    /// The table on which most was shot: on others the stroke may be off.
    home: Option<EventId>,
    /// The family of which most was shot.
    family: Option<String>,
    /// Attempts that the stroke rests on.
    pub(super) attempts: u32,
    /// Attempts that it cannot read: their drill is not at hand, or no hit makes their rung.
    pub(super) unread: u32,
}

/// A set of a session that is read.
struct Shot<'a> {
    session: EventId,
    wall: Wall,
    began: &'a SetBegan,
    set: &'a Set,
}

/// Those sets of the last sessions with attempts that are `wanted`, oldest first.
fn shots(state: &State, wanted: impl Fn(EventId) -> bool) -> Vec<Shot<'_>> {
    let mut sessions = BTreeSet::new();
    let mut shots = Vec::new();
    for (id, set) in state.sets.iter().rev().filter(|(id, _)| wanted(**id)) {
        let Some((wall, began)) = set.began.as_ref().filter(|_| set.seen.tried() > 0) else { continue };
        let block = state.blocks.get(&began.block).and_then(|block| block.began.as_ref());
        let session = block.map_or(*id, |(_, block)| block.session);
        if !sessions.contains(&session) && sessions.len() == SESSIONS {
            break;
        }
        sessions.insert(session);
        shots.push(Shot { session, wall: *wall, began, set });
    }
    shots.reverse();
    // By what clocks showed: an entry made later for an earlier day belongs to that day.
    shots.sort_by_key(|shot| shot.wall);
    shots
}

/// Of which key most was shot.
fn most<K: Ord + Clone>(counts: impl Iterator<Item = (K, u32)>) -> Option<K> {
    let mut sums: BTreeMap<K, u32> = BTreeMap::new();
    for (key, count) in counts {
        let sum = sums.entry(key).or_default();
        *sum = sum.saturating_add(count);
    }
    sums.into_iter().max_by_key(|(_, sum)| *sum).map(|(key, _)| key)
}

impl Known {
    /// From the sets on record that are `wanted`.
    pub(super) fn of(
        book: &Book,
        ladders: &mut Ladders,
        wanted: impl Fn(EventId) -> bool,
    ) -> Result<Self, Failure> {
        let shots = shots(book.state(), wanted);
        let families = families(shots.iter().map(|shot| &shot.began.task))?;
        let family_of = |task: &Task| families.get(&task.drill).cloned();
        let home = most(shots.iter().map(|shot| (shot.began.task.card, shot.set.seen.tried())));
        let family =
            most(shots.iter().filter_map(|shot| Some((family_of(&shot.began.task)?, shot.set.seen.tried()))));
        // Surfaces first: they are lent to the sessions.
        let mut surfaces: Vec<Option<Surface>> = Vec::new();
        for shot in &shots {
            surfaces.push(ladders.surface(book, &shot.began.task)?.cloned());
        }
        let names: Vec<(String, String)> = shots
            .iter()
            .map(|shot| (shot.began.task.card.to_string(), family_of(&shot.began.task).unwrap_or_default()))
            .collect();
        let (mut attempts, mut unread) = (0, 0);
        let mut sessions: Vec<(EventId, Session<'_>)> = Vec::new();
        for ((shot, surface), (table, its_family)) in shots.iter().zip(&surfaces).zip(&names) {
            let tried = shot.set.seen.tried();
            let Some(surface) = surface else {
                unread += tried;
                continue;
            };
            attempts += tried;
            let at = Elsewhere {
                table: (Some(shot.began.task.card) != home).then_some(table.as_str()),
                family: (Some(its_family) != family.as_ref()).then_some(its_family.as_str()),
            };
            let taken = Attempts { surface, at, tally: shot.set.seen };
            match sessions.last_mut() {
                Some((session, last)) if *session == shot.session => last.attempts.push(taken),
                _ => {
                    let session = Session { day: day(shot.wall), attempts: vec![taken] };
                    sessions.push((shot.session, session));
                }
            }
        }
        let sessions: Vec<Session<'_>> = sessions.into_iter().map(|(_, session)| session).collect();
        let form = Form::read(prior(book.profile()?.start), &sessions)?;
        Ok(Self { form, home, family, attempts, unread })
    }

    /// Where this puts the player on a ladder today.
    pub(super) fn on(
        &self,
        book: &Book,
        ladders: &mut Ladders,
        posed: &Posed,
        constraints: &Constraints,
    ) -> Result<Standing, Failure> {
        let table = posed.card_id.to_string();
        let family = family_name(posed);
        let at = Elsewhere {
            table: (self.home.is_some() && self.home != Some(posed.card_id)).then_some(table.as_str()),
            family: (self.family.is_some() && self.family.as_ref() != Some(&family))
                .then_some(family.as_str()),
        };
        let target = book.profile()?.proof.target;
        let worked = ladders.today(book, posed, constraints)?;
        self.form
            .on(worked, at, target)
            .ok_or_else(|| Failure::Input(format!("{} is not wholly worked out", posed.drill.id)))
    }

    /// Whether the standing on this table rests on attempts on another one.
    pub(super) fn is_prediction(&self, posed: &Posed) -> bool {
        self.home.is_some() && self.home != Some(posed.card_id)
    }
}

/// The day of a moment, with its part.
fn day(wall: Wall) -> f64 {
    // Exact: times of this century in milliseconds are below 2^53.
    #[allow(clippy::cast_precision_loss)]
    let ms = wall.ms as f64;
    ms / DAY_MS
}

fn family_name(posed: &Posed) -> String {
    serde_json::to_value(posed.drill.family)
        .ok()
        .and_then(|value| value.as_str().map(str::to_owned))
        .unwrap_or_default()
}

/// The families of drills, by the drill's id.
fn families<'a>(tasks: impl Iterator<Item = &'a Task>) -> Result<BTreeMap<String, String>, Failure> {
    let ids: BTreeSet<&str> = tasks.map(|task| task.drill.as_str()).collect();
    let mut families = BTreeMap::new();
    for drill in library::shipped()?.into_iter().chain(library::own()?) {
        if ids.contains(drill.id.as_str()) {
            let family = serde_json::to_value(drill.family).ok();
            families.insert(
                drill.id,
                family.and_then(|value| value.as_str().map(str::to_owned)).unwrap_or_default(),
            );
        }
    }
    Ok(families)
}

/// The outermost rung of a ladder on which a promotion was accepted, called back or not: what was accepted stays.
pub(super) fn passed(state: &State, task: &Task) -> Option<u32> {
    let same = |other: &Task| {
        other.drill == task.drill
            && other.drill_version == task.drill_version
            && other.setup == task.setup
            && other.constraints == task.constraints
            && other.card == task.card
    };
    state
        .promotions
        .iter()
        .filter(|noted| same(&noted.what.task))
        .map(|noted| noted.what.task.rung.below())
        .max()
}
