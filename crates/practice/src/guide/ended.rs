//! What a set says while it is shot, and when it ends.

use super::{Guide, GuideError, Host, Known, Posed};
use crate::advice::{self, Lines, basis, judged};
use crate::constraints::Constraints;
use crate::drill::RungNumber;
use crate::event::{Aim, Payload, PromotionAccepted, SetBegan, StepBackAnswered, Task, Wall};
use crate::form::Standing;
use crate::id::EventId;
use crate::ladder::{Move, NOVICE_DROP};
use crate::player::Profile;
use crate::state::{Set, State};
use longrail_stats::promotion::{Advice, Rules, Sheet, Verdict};
use longrail_stats::{Interval, StatsError};

/// Spread of aim, in degrees, from which a step of the ladder is cut small: half-way between the reference strokes "learning"
/// and "regular". A judgement.
const NOVICE_DEG: f64 = 1.0;

/// What the player decides at a set's end.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Decided {
    /// A pass is not taken yet.
    pub not_yet: bool,
    /// The step back that is offered is taken.
    pub step_back: bool,
}

/// A set that has ended.
#[derive(Clone, Debug)]
pub struct Ended {
    /// Which set.
    pub set: EventId,
    /// What was attempted.
    pub task: Task,
    /// What for.
    pub aim: Aim,
    /// What it says.
    pub lines: Lines,
    /// What its sheet says, if it was a proof.
    pub advice: Option<Advice>,
    /// Where the record puts the player on this ladder now.
    pub standing: Option<Standing>,
    /// Where a pass leads, as its line says; none on the last rung.
    pub farther: Option<RungNumber>,
    /// Where a step back leads; none on the first rung.
    pub nearer: Option<RungNumber>,
}

impl Ended {
    /// What is to be noted of the player's decision; nothing if there was nothing to decide.
    pub fn note(&self, decided: Decided) -> Option<Payload> {
        let advice = self.advice?;
        let task = self.task.clone();
        match advice.verdict {
            Verdict::Promote(_) if !decided.not_yet => {
                let (made, tried) = (advice.count.made(), advice.count.tried());
                Some(Payload::PromotionAccepted(PromotionAccepted { task, made, tried }))
            }
            Verdict::StepBack(_) => {
                Some(Payload::StepBackAnswered(StepBackAnswered { task, accepted: decided.step_back }))
            }
            _ => None,
        }
    }
}

/// The sheet of a task that counts now, as the rule sees it; an empty one if there is none.
///
/// # Errors
/// As [`judged`].
pub fn sheet(state: &State, task: &Task, rules: &Rules, now: Wall) -> Result<Sheet, StatsError> {
    match state.shots(task).and_then(|shots| shots.counting(now)) {
        Some(open) => judged(open, rules),
        None => Ok(Sheet::default()),
    }
}

/// How the evidence stands while a set is shot, and what a pass takes: two sentences; and its sheet, if it is a proof.
///
/// # Errors
/// If the player's rules cannot be.
pub fn so_far(
    state: &State,
    profile: &Profile,
    began: &SetBegan,
    now: Wall,
) -> Result<(String, String, Option<Advice>), StatsError> {
    let rules = profile.proof.rules()?;
    if began.aim == Aim::Work {
        let tally = state.tally(&began.task);
        let stands = format!("Work at this rung so far: {} of {}.", tally.work_made, tally.work_tried);
        return Ok((stands, "Work is not a proof and promotes nobody.".to_owned(), None));
    }
    let advice = sheet(state, &began.task, &rules, now)?.advice(&rules);
    let next = match (advice.verdict, advice.makes_to_promote) {
        (Verdict::Promote(at), _) => {
            format!("Passed at {} of {}: end the set when you like.", at.made, at.tried)
        }
        (_, Some(1)) => "The next make passes.".to_owned(),
        (_, Some(makes)) => format!("{makes} makes in a row would pass."),
        (_, None) => "It cannot pass on this sheet any more.".to_owned(),
    };
    Ok((basis(&advice, &rules), next, Some(advice)))
}

impl<H: Host> Guide<'_, H> {
    /// What a set says that has just ended.
    ///
    /// # Errors
    /// If it is not on record, or there is no profile. Where only the stroke cannot be told, the lines say so.
    pub fn ended(&mut self, set: EventId) -> Result<Ended, H::Error> {
        let on_record = self.state.sets.get(&set);
        let ended = on_record.and_then(|ended| Some((ended, &ended.began.as_ref()?.1)));
        let (ended, began) = ended.ok_or(GuideError::NoBeginning)?;
        let rules = self.profile()?.proof.rules().map_err(GuideError::from)?;
        let model = Model::new(self, set, &began.task);
        let (lines, advice) = match began.aim {
            Aim::Proof => {
                // As it was with the last entry: what is said of a set does not change with the time that passes.
                let at = ended.last.or(ended.ended).unwrap_or_default();
                let sheet = sheet(self.state, &began.task, &rules, at).map_err(GuideError::from)?;
                (model.proof(self, ended, &began.task, &sheet, &rules), Some(sheet.advice(&rules)))
            }
            Aim::Work => (model.work(self, ended, &began.task), None),
        };
        let (farther, nearer) = (model.farther(&began.task), nearer(&began.task));
        let number = |rung: Option<f64>| rung.and_then(|rung| RungNumber::try_from(rung).ok());
        let (farther, nearer) = (number(farther), number(nearer));
        let standing = model.after.ok().map(|(_, standing)| standing);
        Ok(Ended { set, task: began.task.clone(), aim: began.aim, lines, advice, standing, farther, nearer })
    }
}

/// What the stroke says of the ladder, before and after the set. Where it cannot be told, why.
struct Model {
    posed: Result<Posed, String>,
    before: Option<Standing>,
    /// The spread of aim in degrees, and the standing.
    after: Result<(f64, Standing), String>,
}

impl Model {
    fn new<H: Host>(guide: &mut Guide<'_, H>, set: EventId, task: &Task) -> Self {
        let told = |error: H::Error| error.to_string();
        let posed = guide.posed(task).map_err(told);
        let mut stand = |without: Option<EventId>| -> Result<(f64, Standing), String> {
            let posed = posed.as_ref().map_err(Clone::clone)?;
            let constraints: Constraints = task.constraints.parse().map_err(|error| format!("{error}"))?;
            let mut known = Known::of(guide, |id| Some(id) != without).map_err(told)?;
            let standing = known.on(guide, posed, &constraints).map_err(told)?;
            Ok((known.spread_deg(guide, posed).map_err(told)?, standing))
        };
        let (before, after) = (stand(Some(set)).ok().map(|(_, standing)| standing), stand(None));
        Self { posed, before, after }
    }

    fn set<'a>(&'a self, task: &'a Task, set: &Set, table: &'a str) -> advice::Set<'a> {
        let rung = task.rung.value();
        let title = self.posed.as_ref().map_or(task.drill.as_str(), |posed| posed.drill.title.as_str());
        let (farther, nearer) = (self.farther(task), nearer(task));
        advice::Set { title, table, rung, farther, nearer, count: set.count() }
    }

    /// Where a pass leads: a whole rung on while the stroke cannot be told.
    fn farther(&self, task: &Task) -> Option<f64> {
        let Ok((spread_deg, standing)) = &self.after else {
            let rungs = self.posed.as_ref().map_or(0, |posed| posed.drill.rungs);
            let next = task.rung.below() + 1;
            return (next <= rungs).then(|| f64::from(next));
        };
        let most = if *spread_deg > NOVICE_DEG { NOVICE_DROP } else { 1.0 };
        standing.next_step(task.rung.value(), most).map(|step| step.to)
    }

    fn proof<H: Host>(
        &self,
        guide: &Guide<'_, H>,
        set: &Set,
        task: &Task,
        sheet: &Sheet,
        rules: &Rules,
    ) -> Lines {
        let table = guide.table(task);
        let moved = match (&self.before, &self.after) {
            (Some(before), Ok((_, after))) => Some(after.since(before)),
            _ => None,
        };
        advice::after_proof(&self.set(task, set, &table), sheet, rules, moved)
    }

    fn work<H: Host>(&self, guide: &Guide<'_, H>, set: &Set, task: &Task) -> Lines {
        let table = guide.table(task);
        let told = self.set(task, set, &table);
        match &self.after {
            Ok((_, standing)) => {
                let chance = standing.at(task.rung.value());
                let range = Interval { low: chance.low, high: chance.high };
                let step = standing
                    .work_move(task.rung.below(), moved_already(guide.state, task))
                    .unwrap_or(Move::Stay);
                advice::after_work(&told, chance.mean, range, step)
            }
            Err(why) => Lines {
                did: format!("Made {} of {} at rung {}.", told.count.made(), told.count.tried(), told.rung),
                settled: format!("What the stroke says cannot be told: {why}."),
                next: "Next: stay at this rung.".to_owned(),
            },
        }
    }
}

/// Where a step back leads.
fn nearer(task: &Task) -> Option<f64> {
    let rung = task.rung.value();
    (rung > 1.0).then(|| (rung - 1.0).max(1.0))
}

/// Whether the work rung of this ladder moved in this visit already.
pub fn moved_already(state: &State, task: &Task) -> bool {
    let Some((session, _)) = state.open_session() else { return false };
    let blocks = state.sessions.get(&session).map(|session| session.blocks.as_slice()).unwrap_or_default();
    let ladder = task.ladder();
    let here = state.sets.values().filter_map(|set| set.began.as_ref()).filter(|(_, began)| {
        blocks.contains(&began.block) && began.aim == Aim::Work && began.task.ladder() == ladder
    });
    here.map(|(_, began)| began.task.rung).any(|rung| rung != task.rung)
}
