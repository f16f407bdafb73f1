//! What to do next, each with its reason.

use std::collections::BTreeMap;

use super::{Guide, GuideError, Host, Known, Posed, passed};
use crate::advice::judged;
use crate::constraints::Constraints;
use crate::drill::{RungNumber, Setup};
use crate::event::{Aim, Task, Wall};
use crate::id::EventId;
use crate::ladder::Fit;
use crate::state::{Shots, State};
use longrail_math::order;
use longrail_stats::promotion::{Advice, Verdict};
use longrail_stroke::infer::Parameter;

/// Days after which a ladder is not counted among those being worked on. An assumption.
pub const ACTIVE_DAYS: i64 = 60;
/// Days after which a passed rung is looked at again, and attempts for that (study of progression, 5.2).
const RECHECK_DAYS: i64 = 30;
const RECHECK_ATTEMPTS: u32 = 10;
/// Ladders that are gone through, the latest first.
const MOST: usize = 4;

/// What kind of thing is proposed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wish {
    /// Go on with a sheet that is open.
    GoOn,
    /// Work at the work rung.
    Work,
    /// Begin to prove the next rung.
    Prove,
    /// Look again at a rung that was passed long ago.
    LookAgain,
    /// Begin a ladder.
    Begin,
}

/// Something to do.
#[derive(Clone, Debug)]
pub struct Proposal {
    /// What kind of thing.
    pub wish: Wish,
    /// What is to be attempted.
    pub task: Task,
    /// What for.
    pub aim: Aim,
    /// The drill's title.
    pub title: String,
    /// The table's name.
    pub table: String,
    /// The chance there as modelled, where it is told.
    pub chance: Option<Parameter>,
    /// Made and tried on the sheet that is gone on with.
    pub sheet: Option<(u32, u32)>,
    /// What and why, one sentence.
    pub why: String,
    /// The reason alone, for where the rest is shown already.
    pub reason: String,
}

/// The ladders on record, each with its rungs.
pub fn ladders_of(state: &State) -> BTreeMap<Task, Vec<(&Task, &Shots)>> {
    let mut ladders: BTreeMap<Task, Vec<(&Task, &Shots)>> = BTreeMap::new();
    // A set that was begun by mistake leaves nothing behind.
    for (task, shots) in state.tasks().filter(|(_, shots)| shots.tally.tried() > 0) {
        ladders.entry(task.ladder()).or_default().push((task, shots));
    }
    ladders
}

/// Attempts under a constraint from which it is being worked on. An assumption.
const TRIED_OUT: u32 = 10;

/// The ladders that are being worked on, those on this table before others and then the latest first, each with its rungs.
pub fn active(state: &State, now: Wall, here: Option<EventId>) -> Vec<Vec<(&Task, &Shots)>> {
    let active = ladders_of(state).into_values().filter_map(|rungs| {
        let last = last_shot(state, &rungs)?;
        let tried: u32 = rungs.iter().map(|(_, shots)| shots.tally.tried()).sum();
        // Whoever has only tried what a constraint is like does not work on it.
        if rungs.first().is_some_and(|(task, _)| !task.constraints.is_empty()) && tried < TRIED_OUT {
            return None;
        }
        let on_it = here.is_some() && rungs.first().map(|(task, _)| task.card) == here;
        (now.day() - last.day() <= ACTIVE_DAYS).then_some(((on_it, last), rungs))
    });
    let mut active: Vec<_> = active.collect();
    order::sort_by(&mut active, |a, b| b.0.cmp(&a.0));
    active.truncate(MOST);
    active.into_iter().map(|(_, rungs)| rungs).collect()
}

/// When a ladder was shot last.
pub fn last_shot(state: &State, rungs: &[(&Task, &Shots)]) -> Option<Wall> {
    let sets = rungs.iter().flat_map(|(_, shots)| &shots.sets);
    sets.filter_map(|id| state.sets.get(id)?.last).max()
}

/// How a layout is set up, if not as the drill says.
const fn corner_words(setup: Setup) -> &'static str {
    match setup {
        Setup::Given => "",
        Setup::Turned => "turned",
        Setup::Mirrored => "mirrored",
        Setup::TurnedMirrored => "turned and mirrored",
    }
}

/// What there is to do with a sheet that is open, in full and in short; nothing if it can only be begun anew.
fn of_sheet(advice: &Advice, rung: RungNumber, place: &str) -> Option<(String, String)> {
    let (made, tried) = (advice.count.made(), advice.count.tried());
    match (advice.verdict, advice.makes_to_promote) {
        (Verdict::Promote(at), _) => {
            let passed = format!(
                "at {} of {}, and that is not taken yet: end a set there to take it.",
                at.made, at.tried
            );
            Some((format!("Rung {rung} of {place} has passed, {passed}"), format!("Passed, {passed}")))
        }
        (Verdict::Undecided | Verdict::StepBack(_), Some(makes)) => {
            let stands = format!("sheet stands at {made} of {tried}");
            let why = format!(
                "Go on proving rung {rung} of {place}: the {stands}, and {makes} makes in a row would pass."
            );
            Some((why, format!("The {stands}; {makes} makes in a row would pass.")))
        }
        _ => None,
    }
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

impl<H: Host> Guide<'_, H> {
    /// What there is to do next on the ladders that are being worked on, the latest first.
    ///
    /// # Errors
    /// If a ladder is not worked out yet, or cannot be.
    pub fn proposals(&mut self, known: &mut Known, now: Wall) -> Result<Vec<Proposal>, H::Error> {
        let mut proposals = Vec::new();
        for rungs in active(self.state, now, None) {
            proposals.extend(self.on_ladder(known, now, &rungs)?);
        }
        Ok(proposals)
    }

    /// A ladder to begin: at the rung to work on, where that is known.
    ///
    /// # Errors
    /// If it is not worked out yet, or cannot be.
    pub fn begin(&mut self, known: &mut Known, posed: &Posed) -> Result<Proposal, H::Error> {
        let none = Constraints::default();
        let standing = known.on(self, posed, &none)?;
        let rung = standing.work().map_or(1, |work| work.rung);
        let chance = standing.at(f64::from(rung));
        let why = format!(
            "Begin {} on {}, at rung {rung}: you make {} there, as modelled ({} to {}).",
            posed.drill.title,
            posed.card.name,
            percent(chance.mean),
            percent(chance.low),
            percent(chance.high)
        );
        Ok(Proposal {
            wish: Wish::Begin,
            task: posed.task(RungNumber::whole(rung), &none),
            aim: Aim::Work,
            title: posed.drill.title.clone(),
            table: posed.card.name.clone(),
            chance: Some(chance),
            sheet: None,
            why,
            reason: "First visit to this ladder here.".to_owned(),
        })
    }

    /// What there is to do next on one ladder. One on a table that is no longer offered, whose drill is not at hand, or whose
    /// constraints do not go with the player's limits has nothing.
    ///
    /// # Errors
    /// If it is not worked out yet, or cannot be.
    pub fn on_ladder(
        &mut self,
        known: &mut Known,
        now: Wall,
        rungs: &[(&Task, &Shots)],
    ) -> Result<Vec<Proposal>, H::Error> {
        let state = self.state;
        let rules = self.profile()?.proof.rules().map_err(GuideError::from)?;
        let mut proposals = Vec::new();
        let task = rungs[0].0;
        let (Ok(posed), Ok(constraints)) = (self.posed(task), task.constraints.parse::<Constraints>()) else {
            // A drill that is not at hand, or a newer program's constraints: nothing to propose.
            return Ok(proposals);
        };
        let retired = state.cards.get(&task.card).is_none_or(|known| known.retired);
        if retired || !self.fits_today(&posed, &constraints)? {
            return Ok(proposals);
        }
        let mut place = format!("{} on {}", posed.drill.title, posed.card.name);
        let harder = constraints.at(task.setup).words(self.profile()?.imperial());
        for more in [corner_words(task.setup), harder.as_str()] {
            if !more.is_empty() {
                place = format!("{place}, {more}");
            }
        }
        let propose = |wish, task: Task, aim, why, reason: String| Proposal {
            wish,
            task,
            aim,
            title: posed.drill.title.clone(),
            table: posed.card.name.clone(),
            chance: None,
            sheet: None,
            why,
            reason,
        };
        let mut proving = false;
        for (task, shots) in rungs {
            let Some(sheet) = shots.counting(now) else { continue };
            let advice = judged(sheet, &rules).map_err(GuideError::from)?.advice(&rules);
            let (made, tried) = (advice.count.made(), advice.count.tried());
            if let Some((why, reason)) = of_sheet(&advice, task.rung, &place) {
                let go_on = propose(Wish::GoOn, (*task).clone(), Aim::Proof, why, reason);
                proposals.push(Proposal { sheet: Some((made, tried)), ..go_on });
                proving = true;
            }
        }
        let standing = known.on(self, &posed, &constraints)?;
        let at = |rung: u32| Task { rung: RungNumber::whole(rung), ..task.clone() };
        if let Some(work) = standing.work() {
            let chance = standing.at(f64::from(work.rung));
            let why = format!(
                "Work at rung {} of {place}: you make {} there, as modelled ({} to {}){}.",
                work.rung,
                percent(chance.mean),
                percent(chance.low),
                percent(chance.high),
                match work.fit {
                    Fit::Good => ", which is where learning shows most",
                    Fit::TooHard => "; its first rung is still hard for you",
                    Fit::TooEasy => "; its last rung has become easy",
                    Fit::Between => "; its steps are long for you",
                }
            );
            let reason = match work.fit {
                Fit::Good => "Near these odds learning shows most.",
                Fit::TooHard => "Its first rung is still hard for you.",
                Fit::TooEasy => "Its last rung has become easy.",
                Fit::Between => "Its steps are long for you.",
            };
            let work = propose(Wish::Work, at(work.rung), Aim::Work, why, reason.to_owned());
            proposals.push(Proposal { chance: Some(chance), ..work });
        }
        if !proving && let Some(rung) = standing.frontier(passed(state, task)) {
            let chance = standing.at(f64::from(rung));
            let why = format!(
                "Prove rung {rung} of {place}, the next to be passed: you make {} there, as modelled.",
                percent(chance.mean)
            );
            let reason = "The next rung to be passed.".to_owned();
            let prove = propose(Wish::Prove, at(rung), Aim::Proof, why, reason);
            proposals.push(Proposal { chance: Some(chance), ..prove });
        }
        if let Some(rung) = passed(state, task) {
            let there = rungs.iter().find(|(task, _)| task.rung.is_whole() && task.rung.below() == rung);
            let sets = there.map(|(_, shots)| shots.sets.as_slice()).unwrap_or_default();
            let last = sets.iter().filter_map(|id| state.sets.get(id)?.last).max();
            if let Some(days) = last.map(|last| now.day() - last.day()).filter(|days| *days >= RECHECK_DAYS) {
                let why = format!(
                    "Look again at rung {rung} of {place}, passed once: {days} days without it; {RECHECK_ATTEMPTS} attempts tell \
                     whether it is still there."
                );
                let reason = format!(
                    "Passed once, and {days} days without it: {RECHECK_ATTEMPTS} attempts tell whether it is still there."
                );
                proposals.push(propose(Wish::LookAgain, at(rung), Aim::Work, why, reason));
            }
        }
        Ok(proposals)
    }
}
