//! What to do in a visit.

use std::collections::BTreeSet;

use longrail_app_link::{Block, Drill, Purpose, Today};
use longrail_math::order;
use longrail_practice::card::Card;
use longrail_practice::drill::{self, Setup};
use longrail_practice::event::{Aim, Wall};
use longrail_practice::guide::{Guide, Known, Part, Posed, Proposal, active, blocks};
use longrail_practice::id::EventId;

use super::home::{purpose, purpose_told};
use super::ladder::place;
use super::{begin, odds, outlook};
use crate::record::{Away, Shelf};

/// Drills that are offered to begin, at most.
const OFFERED: usize = 3;
/// Where most begin. A judgement.
const FIRST: &str = "straight-stop-lengthening";

/// What to do in a visit of so many minutes. What is still being computed is left out, and named.
pub(crate) fn today(
    guide: &mut Guide<'_, Shelf>,
    shelf: &Shelf,
    (card_id, card): (EventId, &Card),
    now: Wall,
    wanted: Purpose,
    minutes: u32,
) -> Result<Today, Away> {
    let mut known = Known::of(guide, |_| true)?;
    let mut proposals: Vec<Proposal> = Vec::new();
    let mut computing = String::new();
    let mut take = |outcome: Result<Vec<Proposal>, Away>| match outcome {
        Ok(found) => proposals.extend(found),
        Err(Away::Computing(title)) => {
            if computing.is_empty() {
                computing = title;
            }
        }
        // One ladder that cannot be worked out does not hide the others.
        Err(Away::Failed(_) | Away::Guide(_)) => {}
    };
    for rungs in active(guide.state(), now, Some(card_id)) {
        take(guide.on_ladder(&mut known, now, &rungs));
    }
    let fresh = fresh(guide, shelf, card_id);
    for drill in fresh.iter().take(OFFERED) {
        let posed = Posed::new((*drill).clone(), Setup::Given, (card_id, card.clone()));
        let begun = posed.map_err(Away::from).and_then(|posed| guide.begin(&mut known, &posed));
        take(begun.map(|one| vec![one]));
    }
    // Tables differ, and a visit is at one.
    let (here, elsewhere): (Vec<_>, Vec<_>) =
        proposals.into_iter().partition(|proposal| proposal.task.card == card_id);
    let chosen = blocks(purpose(wanted), minutes, &here);
    let of_proposal = |proposal: &Proposal| of_proposal(guide, card_id, now, proposal);
    let told: Vec<Block> = chosen.iter().map(|one| block(one, of_proposal)).collect();
    let others = here
        .iter()
        .chain(&elsewhere)
        .filter(|proposal| told.iter().all(|block| block.begin != Some(begin(&proposal.task, proposal.aim))));
    let others = others.map(of_proposal).collect();
    Ok(Today { blocks: told, others, drills: fresh.iter().map(|drill| about(drill)).collect(), computing })
}

/// Drills on which nothing was shot here, those first with which to begin.
fn fresh<'s>(guide: &Guide<'_, Shelf>, shelf: &'s Shelf, card: EventId) -> Vec<&'s drill::Drill> {
    let tasks = guide.state().tasks().filter(|(task, shots)| task.card == card && shots.tally.tried() > 0);
    let mut used: BTreeSet<&str> = BTreeSet::new();
    used.extend(tasks.map(|(task, _)| task.drill.as_str()));
    let mut fresh: Vec<&drill::Drill> =
        shelf.drills().filter(|drill| !used.contains(drill.id.as_str())).collect();
    let place = |drill: &drill::Drill| (drill.id != FIRST, drill.family);
    order::sort_by(&mut fresh, |a, b| place(a).cmp(&place(b)));
    fresh
}

fn block(block: &longrail_practice::guide::Block<'_>, of_proposal: impl Fn(&Proposal) -> Block) -> Block {
    let minutes = block.minutes;
    let purpose = block.purpose.map(purpose_told);
    match block.part {
        Part::Shoot(proposal) => Block { minutes, purpose, ..of_proposal(proposal) },
        Part::Games | Part::Rest => {
            Block { minutes, purpose, what: String::new(), why: String::new(), odds: None, begin: None }
        }
    }
}

fn of_proposal(guide: &Guide<'_, Shelf>, here: EventId, now: Wall, proposal: &Proposal) -> Block {
    let task = &proposal.task;
    // Where it is not the plain ladder on the table in use, that is said.
    let plain = task.card == here && task.setup == Setup::Given && task.constraints.is_empty();
    let at = if plain { String::new() } else { format!(", {}", place(guide, task)) };
    let mut why = proposal.reason.clone();
    if let (Aim::Proof, Some(chance), Ok(posed)) = (proposal.aim, proposal.chance, guide.posed(task))
        && let Ok(until) = outlook::until_decided(guide, &posed.drill, task, chance.mean, now)
        && !until.is_empty()
    {
        why = format!("{why} {until}");
    }
    Block {
        minutes: 0,
        purpose: None,
        what: format!("{}, rung {}{at}", proposal.title, task.rung),
        why,
        odds: proposal.chance.map(odds),
        begin: Some(begin(task, proposal.aim)),
    }
}

/// A drill in a few words.
pub(crate) fn about(drill: &drill::Drill) -> Drill {
    let balls = match drill.balls_needed() {
        1 => "1 ball".to_owned(),
        count => format!("{count} balls"),
    };
    Drill {
        id: drill.id.clone(),
        title: drill.title.clone(),
        family: drill.family.name().replace('-', " "),
        why: drill.why.clone(),
        takes: format!("{balls}, about {} attempts an hour", drill.attempts_an_hour()),
    }
}
