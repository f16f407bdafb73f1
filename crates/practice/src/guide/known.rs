//! What the record says of the stroke: family by family, each worked out when it is asked for.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use longrail_math::{fx, order};

use super::{Guide, GuideError, Host, Posed};
use crate::constraints::Constraints;
use crate::drill::Family;
use crate::event::{SetBegan, Task, Wall};
use crate::form::{Attempts, Elsewhere, Form, SESSIONS, Session, Standing};
use crate::id::EventId;
use crate::ladder::{Worked, prior};
use crate::state::{Set, State};
use longrail_stroke::infer::Tally;

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

/// What the record says of the stroke.
pub struct Known {
    sets: Vec<Read>,
    surfaces: BTreeMap<Task, Option<(Rc<Worked>, u32)>>,
    /// The table on which most was shot: on others the stroke may be off.
    home: Option<EventId>,
    /// The family of which most was shot.
    usual: Option<Family>,
    /// By family, each with the attempts that it rests on.
    forms: BTreeMap<Family, (Form, u32)>,
}

/// A set that is read.
struct Read {
    session: EventId,
    wall: Wall,
    task: Task,
    /// None if its drill is not at hand.
    family: Option<Family>,
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
    order::sort_by(&mut shots, |a, b| a.wall.cmp(&b.wall));
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
    ///
    /// # Errors
    /// If a drill is at hand and cannot be read.
    pub fn of<H: Host>(guide: &Guide<'_, H>, wanted: impl Fn(EventId) -> bool) -> Result<Self, H::Error> {
        let shots = shots(guide.state, wanted);
        let families = families(guide, shots.iter().map(|shot| &shot.began.task))?;
        let sets: Vec<Read> = shots
            .iter()
            .map(|shot| Read {
                session: shot.session,
                wall: shot.wall,
                task: shot.began.task.clone(),
                family: families.get(&shot.began.task.drill).copied(),
                tally: shot.set.seen,
            })
            .collect();
        let home = most(sets.iter().map(|set| (set.task.card, set.tally.tried())));
        let usual = most(sets.iter().filter_map(|set| Some((set.family?, set.tally.tried()))));
        Ok(Self { sets, surfaces: BTreeMap::new(), home, usual, forms: BTreeMap::new() })
    }

    /// Attempts of a family, in the visits that are read.
    fn tried(&self, family: Family) -> u32 {
        self.sets.iter().filter(|set| set.family == Some(family)).map(|set| set.tally.tried()).sum()
    }

    /// The stroke in a family.
    fn form<H: Host>(&mut self, guide: &mut Guide<'_, H>, family: Family) -> Result<&Form, H::Error> {
        if !self.forms.contains_key(&family) {
            let form = self.read(guide, family)?;
            self.forms.insert(family, form);
        }
        let nothing = || GuideError::NotWorked(family.name());
        Ok(self.forms.get(&family).map(|(form, _)| form).ok_or_else(nothing)?)
    }

    /// From the latest visits, with the number of attempts in them.
    fn read<H: Host>(&mut self, guide: &mut Guide<'_, H>, family: Family) -> Result<(Form, u32), H::Error> {
        let also = self.usual.filter(|_| self.tried(family) < ENOUGH);
        let wanted: Vec<&Read> = self
            .sets
            .iter()
            .filter(|set| set.family.is_some() && (set.family == Some(family) || set.family == also))
            .collect();
        let wanted = &wanted[first(&wanted, family)..];
        for set in wanted {
            if !self.surfaces.contains_key(&set.task) {
                let surfaces = guide.surfaces(&set.task)?;
                self.surfaces.insert(set.task.clone(), surfaces);
            }
        }
        let names: Vec<(String, String)> = wanted
            .iter()
            .map(|set| (set.task.card.to_string(), set.family.map(Family::name).unwrap_or_default()))
            .collect();
        let mut sessions: Vec<(EventId, Session<'_>)> = Vec::new();
        for (set, (table, name)) in wanted.iter().zip(&names) {
            let surface = self.surfaces.get(&set.task).and_then(Option::as_ref);
            // What no hit makes says nothing of the stroke.
            let Some(surface) = surface.and_then(|(worked, rung)| worked.surface(*rung)) else { continue };
            let at = Elsewhere {
                table: (Some(set.task.card) != self.home).then_some(table.as_str()),
                family: (set.family != Some(family)).then_some(name.as_str()),
            };
            let taken = Attempts { surface, at, tally: set.tally };
            match sessions.last_mut() {
                Some((session, last)) if *session == set.session => last.attempts.push(taken),
                _ => sessions.push((set.session, Session { day: day(set.wall), attempts: vec![taken] })),
            }
        }
        let sessions: Vec<Session<'_>> = sessions.into_iter().map(|(_, session)| session).collect();
        let tallies = sessions.iter().flat_map(|session| &session.attempts).map(|taken| taken.tally.tried());
        let form = Form::read(prior(guide.profile()?.start), &sessions).map_err(GuideError::from)?;
        Ok((form, tallies.sum()))
    }

    /// Where this puts the player on a ladder today.
    ///
    /// # Errors
    /// If the ladder, or one that the record was shot on, cannot be worked out or is not yet.
    pub fn on<H: Host>(
        &mut self,
        guide: &mut Guide<'_, H>,
        posed: &Posed,
        constraints: &Constraints,
    ) -> Result<Standing, H::Error> {
        let table = posed.card_id.to_string();
        let at = Elsewhere { table: self.is_prediction(posed).then_some(table.as_str()), family: None };
        let target = guide.profile()?.proof.target;
        let worked = guide.today(posed, constraints)?;
        let form = self.form(guide, posed.drill.family)?;
        Ok(form.on(&worked, at, target).ok_or_else(|| GuideError::NotWorked(posed.drill.id.clone()))?)
    }

    /// Spread of aim in the family of a drill, in degrees.
    ///
    /// # Errors
    /// As [`Self::on`].
    pub fn spread_deg<H: Host>(&mut self, guide: &mut Guide<'_, H>, posed: &Posed) -> Result<f64, H::Error> {
        Ok(fx::exp(self.form(guide, posed.drill.family)?.inferred().ln_spread.mean))
    }

    /// Attempts that the standing of a drill rests on; it must have been asked for.
    pub fn rests_on(&self, posed: &Posed) -> u32 {
        self.forms.get(&posed.drill.family).map_or(0, |(_, attempts)| *attempts)
    }

    /// Whether the standing on this table rests on attempts on another one.
    pub fn is_prediction(&self, posed: &Posed) -> bool {
        self.home.is_some() && self.home != Some(posed.card_id)
    }
}

/// The first of these sets, oldest first, that is read: as many visits and attempts of the family follow as are needed.
fn first(sets: &[&Read], family: Family) -> usize {
    let (mut visits, mut attempts) = (BTreeSet::new(), 0);
    for (index, set) in sets.iter().enumerate().rev() {
        let new = !visits.contains(&set.session);
        if new && visits.len() >= VISITS && attempts >= ATTEMPTS {
            return index + 1;
        }
        visits.insert(set.session);
        if set.family == Some(family) {
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
fn families<'t, H: Host>(
    guide: &Guide<'_, H>,
    tasks: impl Iterator<Item = &'t Task>,
) -> Result<BTreeMap<String, Family>, H::Error> {
    let mut ids: BTreeSet<&str> = BTreeSet::new();
    ids.extend(tasks.map(|task| task.drill.as_str()));
    let mut families = BTreeMap::new();
    for id in ids {
        if let Some(drill) = guide.host.drill(id)? {
            families.insert(drill.id, drill.family);
        }
    }
    Ok(families)
}

/// The outermost rung of a ladder on which a promotion was accepted and not called back.
pub fn passed(state: &State, task: &Task) -> Option<u32> {
    let ladder = task.ladder();
    state
        .promotions
        .iter()
        .filter(|noted| noted.what.task.ladder() == ladder && !state.standing(noted).called_back)
        .map(|noted| noted.what.task.rung.below())
        .max()
}
