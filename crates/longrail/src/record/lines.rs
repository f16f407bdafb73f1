//! What a set says while it is shot, and when it ends.

use longrail_practice::advice::{self, Lines, basis, judged};
use longrail_practice::constraints::Constraints;
use longrail_practice::event::{Aim, Payload, PromotionAccepted, SetBegan, StepBackAnswered, Task};
use longrail_practice::form::Standing;
use longrail_practice::id::EventId;
use longrail_practice::ladder::{Move, NOVICE_DROP};
use longrail_practice::state::{Set, State};
use longrail_stats::promotion::{Advice, Rules, Sheet, Verdict};
use longrail_stats::{Interval, StatsError};

use super::book::Book;
use super::ladders::Ladders;
use super::stand::Known;
use super::task::Posed;
use crate::exit::Failure;

/// Spread of aim, in degrees, from which a step of the ladder is cut small: half-way between the reference strokes "learning"
/// and "regular". A judgement.
const NOVICE_DEG: f64 = 1.0;

/// What the player decided at a set's end.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Decided {
    /// A pass is not taken yet.
    pub(super) not_yet: bool,
    /// The step back that is offered is taken.
    pub(super) step_back: bool,
}

/// A set that has ended.
pub(super) struct Ended {
    pub(super) set: EventId,
    pub(super) task: Task,
    pub(super) aim: Aim,
    pub(super) lines: Lines,
    pub(super) advice: Option<Advice>,
    pub(super) promoted: bool,
    pub(super) stepped_back: bool,
    /// Where the record puts the player on this ladder now.
    pub(super) standing: Option<Standing>,
}

/// The sheet of a task as the rule sees it now; an empty one if none is open.
pub(super) fn sheet(state: &State, task: &Task, rules: &Rules) -> Result<Sheet, StatsError> {
    match state.shots(task).and_then(|shots| shots.open()) {
        Some(open) => judged(open, rules),
        None => Ok(Sheet::default()),
    }
}

/// How the evidence stands while a set is shot, and what a pass takes: two sentences.
pub(super) fn so_far(book: &Book, began: &SetBegan) -> Result<(String, String), Failure> {
    let rules = book.profile()?.proof.rules()?;
    if began.aim == Aim::Work {
        let tally = book.state().tally(&began.task);
        let stands = format!("Work at this rung so far: {} of {}.", tally.work_made, tally.work_tried);
        return Ok((stands, "Work is not a proof and promotes nobody.".to_owned()));
    }
    let advice = sheet(book.state(), &began.task, &rules)?.advice(&rules);
    let next = match (advice.verdict, advice.makes_to_promote) {
        (Verdict::Promote(at), _) => {
            format!("Passed at {} of {}: end the set when you like.", at.made, at.tried)
        }
        (_, Some(1)) => "The next make passes.".to_owned(),
        (_, Some(makes)) => format!("{makes} makes in a row would pass."),
        (_, None) => "It cannot pass on this sheet any more.".to_owned(),
    };
    Ok((basis(&advice, &rules), next))
}

/// Ends the open set, takes what was decided, and says the three lines.
pub(super) fn end(book: &mut Book, decided: Decided) -> Result<Ended, Failure> {
    let set = book.end_set()?;
    let ended = book.state().sets.get(&set).cloned();
    let Some((ended, (_, began))) = ended.as_deref().and_then(|set| Some((set.clone(), set.began.clone()?)))
    else {
        return Err(Failure::Input("the set has no beginning on record: import the rest of it".to_owned()));
    };
    let rules = book.profile()?.proof.rules()?;
    let model = Model::new(book, set, &began.task);
    let (lines, advice) = match began.aim {
        Aim::Proof => {
            let sheet = sheet(book.state(), &began.task, &rules)?;
            (model.proof(book, &ended, &began.task, &sheet, &rules), Some(sheet.advice(&rules)))
        }
        Aim::Work => (model.work(book, &ended, &began.task), None),
    };
    let verdict = advice.map(|advice| advice.verdict);
    // Who scores for somebody else decides nothing for them.
    let own = book.is_own();
    let promoted = matches!(verdict, Some(Verdict::Promote(_))) && !decided.not_yet && own;
    let stepped_back = matches!(verdict, Some(Verdict::StepBack(_))) && decided.step_back && own;
    let task = began.task.clone();
    if let (true, Some(advice)) = (promoted, advice) {
        let (made, tried) = (advice.count.made(), advice.count.tried());
        book.note_one(Payload::PromotionAccepted(PromotionAccepted { task: task.clone(), made, tried }))?;
    }
    if matches!(verdict, Some(Verdict::StepBack(_))) && own {
        book.note_one(Payload::StepBackAnswered(StepBackAnswered {
            task: task.clone(),
            accepted: stepped_back,
        }))?;
    }
    let standing = model.after.ok().map(|(_, standing)| standing);
    Ok(Ended { set, task, aim: began.aim, lines, advice, promoted, stepped_back, standing })
}

/// What the stroke says of the ladder, before and after the set. Where it cannot be told, why.
struct Model {
    posed: Result<Posed, String>,
    before: Option<Standing>,
    /// The spread of aim in degrees, and the standing.
    after: Result<(f64, Standing), String>,
}

impl Model {
    fn new(book: &Book, set: EventId, task: &Task) -> Self {
        let told = |failure: Failure| failure.to_string();
        let posed = Posed::of(book, task).map_err(told);
        let mut ladders = Ladders::default();
        let mut stand = |without: Option<EventId>| -> Result<(f64, Standing), String> {
            let posed = posed.as_ref().map_err(Clone::clone)?;
            let constraints: Constraints = task.constraints.parse().map_err(|error| format!("{error}"))?;
            let mut known = Known::of(book, |id| Some(id) != without).map_err(told)?;
            let standing = known.on(book, &mut ladders, posed, &constraints).map_err(told)?;
            Ok((known.spread_deg(book, &mut ladders, posed).map_err(told)?, standing))
        };
        let (before, after) = (stand(Some(set)).ok().map(|(_, standing)| standing), stand(None));
        Self { posed, before, after }
    }

    fn set<'a>(&'a self, task: &'a Task, set: &Set, table: &'a str) -> advice::Set<'a> {
        let rung = task.rung.value();
        let title = self.posed.as_ref().map_or(task.drill.as_str(), |posed| posed.drill.title.as_str());
        let farther = self.after.as_ref().ok().and_then(|(spread_deg, standing)| {
            let most = if *spread_deg > NOVICE_DEG { NOVICE_DROP } else { 1.0 };
            standing.next_step(rung, most).map(|step| step.to)
        });
        let nearer = (rung > 1.0).then(|| (rung - 1.0).max(1.0));
        advice::Set { title, table, rung, farther, nearer, count: set.count() }
    }

    fn proof(&self, book: &Book, set: &Set, task: &Task, sheet: &Sheet, rules: &Rules) -> Lines {
        let table = table(book, task);
        let moved = match (&self.before, &self.after) {
            (Some(before), Ok((_, after))) => Some(after.since(before)),
            _ => None,
        };
        advice::after_proof(&self.set(task, set, &table), sheet, rules, moved)
    }

    fn work(&self, book: &Book, set: &Set, task: &Task) -> Lines {
        let table = table(book, task);
        let told = self.set(task, set, &table);
        match &self.after {
            Ok((_, standing)) => {
                let chance = standing.at(task.rung.value());
                let range = Interval { low: chance.low, high: chance.high };
                let step = standing
                    .work_move(task.rung.below(), moved_already(book.state(), task))
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

/// The name of a task's table.
pub(super) fn table(book: &Book, task: &Task) -> String {
    book.state().cards.get(&task.card).map(|known| known.card.name.clone()).unwrap_or_default()
}

/// Whether the work rung of this ladder moved in this visit already.
fn moved_already(state: &State, task: &Task) -> bool {
    let Some((session, _)) = state.open_session() else { return false };
    let blocks = state.sessions.get(&session).map(|session| session.blocks.as_slice()).unwrap_or_default();
    let ladder = task.ladder();
    let here = state.sets.values().filter_map(|set| set.began.as_ref()).filter(|(_, began)| {
        blocks.contains(&began.block) && began.aim == Aim::Work && began.task.ladder() == ladder
    });
    here.map(|(_, began)| began.task.rung).any(|rung| rung != task.rung)
}

/// A verdict's name in JSON.
pub(super) const fn verdict_name(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Promote(_) => "promote",
        Verdict::StepBack(_) => "step_back",
        Verdict::Stay => "stay",
        Verdict::Undecided => "undecided",
    }
}
