//! Where the record puts the player: the stroke as it is now, and each ladder's standing for it.

use std::collections::{BTreeMap, BTreeSet};

use longrail_math::fx;
use longrail_practice::constraints::Constraints;
use longrail_practice::event::{SetBegan, Task, Wall};
use longrail_practice::form::{Attempts, Elsewhere, Form, SESSIONS, Session, Standing};
use longrail_practice::id::EventId;
use longrail_practice::ladder::prior;
use longrail_practice::state::{Set, State};
use longrail_stroke::infer::{Surface, Tally};

use super::book::Book;
use super::ladders::Ladders;
use super::task::Posed;
use super::transfer::name_of;
use crate::exit::Failure;
use crate::library;

/// Milliseconds in a day.
const DAY_MS: f64 = 86_400_000.0;

/// Attempts of a family from which it is read by itself. Another family says something of it only through an offset of
/// unknown size, and after so many attempts of its own (ln of the spread is then known to some 0.09; study of progression,
/// 3.3) that adds little.
const ENOUGH: u32 = 200;

/// Visits and attempts of a family that are read at least, the latest ones. ln of the spread drifts by 0.04 and more from visit
/// to visit (study of progression, 4.1), by 0.18 in twenty, and 600 attempts leave some 0.05: what lies farther back would
/// weigh less than a tenth of that.
const VISITS: usize = 20;
const ATTEMPTS: u32 = 600;

/// What the record says of the stroke: family by family, each worked out when it is asked for.
pub(super) struct Known {
    sets: Vec<Read>,
    surfaces: BTreeMap<Task, Option<Surface>>,
    /// The table on which most was shot: on others the stroke may be off.
    home: Option<EventId>,
    /// The family of which most was shot.
    usual: Option<String>,
    /// By family, each with the attempts that it rests on.
    forms: BTreeMap<String, (Form, u32)>,
}

/// A set that is read.
struct Read {
    session: EventId,
    wall: Wall,
    task: Task,
    /// Empty if its drill is not at hand.
    family: String,
    tally: Tally,
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
    pub(super) fn of(book: &Book, wanted: impl Fn(EventId) -> bool) -> Result<Self, Failure> {
        let shots = shots(book.state(), wanted);
        let families = families(shots.iter().map(|shot| &shot.began.task))?;
        let sets: Vec<Read> = shots
            .iter()
            .map(|shot| Read {
                session: shot.session,
                wall: shot.wall,
                task: shot.began.task.clone(),
                family: families.get(&shot.began.task.drill).cloned().unwrap_or_default(),
                tally: shot.set.seen,
            })
            .collect();
        let home = most(sets.iter().map(|set| (set.task.card, set.tally.tried())));
        let named = sets.iter().filter(|set| !set.family.is_empty());
        let usual = most(named.map(|set| (set.family.clone(), set.tally.tried())));
        Ok(Self { sets, surfaces: BTreeMap::new(), home, usual, forms: BTreeMap::new() })
    }

    /// Attempts of a family, in the visits that are read.
    fn tried(&self, family: &str) -> u32 {
        self.sets.iter().filter(|set| set.family == family).map(|set| set.tally.tried()).sum()
    }

    /// The stroke in a family.
    fn form(&mut self, book: &Book, ladders: &mut Ladders, family: &str) -> Result<&Form, Failure> {
        if !self.forms.contains_key(family) {
            let form = self.read(book, ladders, family)?;
            self.forms.insert(family.to_owned(), form);
        }
        self.forms
            .get(family)
            .map(|(form, _)| form)
            .ok_or_else(|| Failure::Input(format!("nothing is known of the family {family}")))
    }

    /// From the latest visits, with the number of attempts in them.
    fn read(&mut self, book: &Book, ladders: &mut Ladders, family: &str) -> Result<(Form, u32), Failure> {
        let also = self.usual.as_deref().filter(|_| self.tried(family) < ENOUGH);
        let wanted: Vec<&Read> = self
            .sets
            .iter()
            .filter(|set| {
                set.family == family || (!set.family.is_empty() && Some(set.family.as_str()) == also)
            })
            .collect();
        let wanted = &wanted[first(&wanted, family)..];
        for set in wanted {
            if !self.surfaces.contains_key(&set.task) {
                let surface = ladders.surface(book, &set.task)?.cloned();
                self.surfaces.insert(set.task.clone(), surface);
            }
        }
        let tables: Vec<String> = wanted.iter().map(|set| set.task.card.to_string()).collect();
        let mut sessions: Vec<(EventId, Session<'_>)> = Vec::new();
        for (set, table) in wanted.iter().zip(&tables) {
            // What no hit makes says nothing of the stroke.
            let Some(Some(surface)) = self.surfaces.get(&set.task) else { continue };
            let at = Elsewhere {
                table: (Some(set.task.card) != self.home).then_some(table.as_str()),
                family: (set.family != family).then_some(set.family.as_str()),
            };
            let taken = Attempts { surface, at, tally: set.tally };
            match sessions.last_mut() {
                Some((session, last)) if *session == set.session => last.attempts.push(taken),
                _ => sessions.push((set.session, Session { day: day(set.wall), attempts: vec![taken] })),
            }
        }
        let sessions: Vec<Session<'_>> = sessions.into_iter().map(|(_, session)| session).collect();
        let tallies = sessions.iter().flat_map(|session| &session.attempts).map(|taken| taken.tally.tried());
        Ok((Form::read(prior(book.profile()?.start), &sessions)?, tallies.sum()))
    }

    /// Where this puts the player on a ladder today.
    pub(super) fn on(
        &mut self,
        book: &Book,
        ladders: &mut Ladders,
        posed: &Posed,
        constraints: &Constraints,
    ) -> Result<Standing, Failure> {
        let table = posed.card_id.to_string();
        let at = Elsewhere { table: self.is_prediction(posed).then_some(table.as_str()), family: None };
        let target = book.profile()?.proof.target;
        let form = self.form(book, ladders, &name_of(&posed.drill.family))?;
        let worked = ladders.today(book, posed, constraints)?;
        form.on(worked, at, target)
            .ok_or_else(|| Failure::Input(format!("{} is not wholly worked out", posed.drill.id)))
    }

    /// Spread of aim in the family of a drill, in degrees.
    pub(super) fn spread_deg(
        &mut self,
        book: &Book,
        ladders: &mut Ladders,
        posed: &Posed,
    ) -> Result<f64, Failure> {
        Ok(fx::exp(self.form(book, ladders, &name_of(&posed.drill.family))?.inferred().ln_spread.mean))
    }

    /// Attempts that the standing of a drill rests on; it must have been asked for.
    pub(super) fn rests_on(&self, posed: &Posed) -> u32 {
        self.forms.get(&name_of(&posed.drill.family)).map_or(0, |(_, attempts)| *attempts)
    }

    /// Whether the standing on this table rests on attempts on another one.
    pub(super) fn is_prediction(&self, posed: &Posed) -> bool {
        self.home.is_some() && self.home != Some(posed.card_id)
    }
}

/// The first of these sets, oldest first, that is read: as many visits and attempts of the family follow as are needed.
fn first(sets: &[&Read], family: &str) -> usize {
    let (mut visits, mut attempts) = (BTreeSet::new(), 0);
    for (index, set) in sets.iter().enumerate().rev() {
        let new = !visits.contains(&set.session);
        if new && visits.len() >= VISITS && attempts >= ATTEMPTS {
            return index + 1;
        }
        visits.insert(set.session);
        if set.family == family {
            attempts += set.tally.tried();
        }
    }
    0
}

/// The day of a moment, with its part.
fn day(wall: Wall) -> f64 {
    // Exact: times of this century in milliseconds are below 2^53.
    #[allow(clippy::cast_precision_loss)]
    let ms = wall.ms as f64;
    ms / DAY_MS
}

/// The families of drills, by the drill's id; a drill that is not at hand has none.
fn families<'a>(tasks: impl Iterator<Item = &'a Task>) -> Result<BTreeMap<String, String>, Failure> {
    let ids: BTreeSet<&str> = tasks.map(|task| task.drill.as_str()).collect();
    let mut families = BTreeMap::new();
    for id in ids {
        if let Some(drill) = library::of_id(id)? {
            families.insert(drill.id, name_of(&drill.family));
        }
    }
    Ok(families)
}

/// The outermost rung of a ladder on which a promotion was accepted and not called back.
pub(super) fn passed(state: &State, task: &Task) -> Option<u32> {
    let ladder = task.ladder();
    state
        .promotions
        .iter()
        .filter(|noted| noted.what.task.ladder() == ladder && !state.standing(noted).called_back)
        .map(|noted| noted.what.task.rung.below())
        .max()
}
