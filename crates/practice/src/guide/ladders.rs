//! Ladders worked out, each read once.

use std::collections::BTreeMap;
use std::rc::Rc;

use longrail_stroke::Player;
use longrail_stroke::stroke::Reference;
use serde::{Deserialize, Serialize};

use super::{Guide, GuideError, Host, Posed};
use crate::card::Card;
use crate::constraints::Constraints;
use crate::drill::{Drill, RungNumber, Setup};
use crate::event::Task;
use crate::ladder::{Posed as Ladder, Worked};
use crate::player::{Bounds, Profile};

/// A ladder asked for: everything that its working out depends on, so that it can be done elsewhere.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wanted {
    /// The drill's id.
    pub drill: String,
    /// Its version.
    pub version: u32,
    /// The corner.
    pub setup: Setup,
    /// What makes it harder.
    pub constraints: Constraints,
    /// The table.
    pub card: Card,
    /// For whom hits are prescribed.
    pub profile: Profile,
    /// Whether within today's limits, or within the usual ones.
    pub today: bool,
    /// A rung between two of the ladder's own, by itself.
    pub between: Option<RungNumber>,
}

impl Wanted {
    /// The ladder, ready to be worked out. `drill` is the one asked for.
    ///
    /// # Errors
    /// If it cannot be set up on this table, or a constraint does not go with it.
    pub fn ladder(&self, drill: &Drill) -> Result<Ladder, GuideError> {
        let player = prescribed_for(&self.profile, self.today)?;
        let world = self.card.world()?;
        let ball = self.card.cue_ball();
        let mut ladder = Ladder::new(drill, &world, ball, self.setup, &player, &self.constraints)?;
        if let Some(number) = self.between {
            let rung = drill.rung(&world, ball, self.setup, number.value())?;
            let under = rung.under(&world, &player, self.setup, &self.constraints)?;
            ladder.layouts = vec![under.ready(|setting| Ok(setting.layout.clone()))?];
        }
        Ok(ladder)
    }

    /// Whether what makes it harder still goes with the player: limits may have become narrower since it was put on.
    fn fits(&self, drill: &Drill) -> bool {
        self.constraints.is_empty() || self.ladder(drill).is_ok()
    }
}

/// The ladders that a guide has read, by task (its first rung, unless it is one between two) and whether within today's limits.
#[derive(Default)]
pub struct Ladders {
    /// None where the drill is not at hand in its version, or the constraints do not go with the player any more.
    worked: BTreeMap<(Task, bool), Option<Rc<Worked>>>,
}

/// The player for whom hits are prescribed: within the usual limits, or within today's.
///
/// # Errors
/// What is wrong with the profile.
pub fn prescribed_for(profile: &Profile, today: bool) -> Result<Player, GuideError> {
    let reference = profile.start.unwrap_or(Reference::Regular);
    let usual = Profile { today: if today { profile.today } else { Bounds::default() }, ..profile.clone() };
    Ok(usual.player(reference.stroke())?)
}

impl<H: Host> Guide<'_, H> {
    /// The ladder of a drill as it is to be played today.
    ///
    /// # Errors
    /// If it cannot be worked out, or is not yet.
    pub fn today(&mut self, posed: &Posed, constraints: &Constraints) -> Result<Rc<Worked>, H::Error> {
        let profile = self.profile()?;
        let today = profile.today != Bounds::default();
        let which = (posed.task(RungNumber::FIRST, constraints), today);
        if let Some(Some(worked)) = self.ladders.worked.get(&which) {
            return Ok(Rc::clone(worked));
        }
        let wanted = wanted(profile, posed, constraints, today, None);
        let worked = self.host.worked(&posed.drill, &wanted)?;
        self.ladders.worked.insert(which, Some(Rc::clone(&worked)));
        Ok(worked)
    }

    /// Whether a drill can be played today under these constraints.
    pub(super) fn fits_today(&self, posed: &Posed, constraints: &Constraints) -> Result<bool, H::Error> {
        Ok(wanted(self.profile()?, posed, constraints, true, None).fits(&posed.drill))
    }

    /// The ladder that says what outcomes at a task tell of a stroke, and the rung on it; none where its drill is not at hand in
    /// its version.
    pub(super) fn surfaces(&mut self, task: &Task) -> Result<Option<(Rc<Worked>, u32)>, H::Error> {
        let between = (!task.rung.is_whole()).then_some(task.rung);
        let which = (if between.is_some() { task.clone() } else { task.ladder() }, false);
        if !self.ladders.worked.contains_key(&which) {
            let found = match (self.posed(task), task.constraints.parse::<Constraints>()) {
                (Ok(posed), Ok(constraints)) => {
                    let wanted = wanted(self.profile()?, &posed, &constraints, false, between);
                    let fits = wanted.fits(&posed.drill);
                    fits.then(|| self.host.worked(&posed.drill, &wanted)).transpose()?
                }
                // A drill that went, or a newer program's constraints: its counts stay, the stroke cannot read them.
                _ => None,
            };
            self.ladders.worked.insert(which.clone(), found);
        }
        let rung = if between.is_some() { 1 } else { task.rung.below() };
        Ok(self.ladders.worked.get(&which).and_then(Option::as_ref).map(|worked| (Rc::clone(worked), rung)))
    }
}

fn wanted(
    profile: &Profile,
    posed: &Posed,
    constraints: &Constraints,
    today: bool,
    between: Option<RungNumber>,
) -> Wanted {
    Wanted {
        drill: posed.drill.id.clone(),
        version: posed.drill.version,
        setup: posed.setup,
        constraints: constraints.clone(),
        card: posed.card.clone(),
        profile: profile.clone(),
        today,
        between,
    }
}
