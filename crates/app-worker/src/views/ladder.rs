//! Ladders: where the player stands on each, and what is next.

use std::collections::BTreeSet;

use longrail_app_link::{Begin, Ladder, Rung, RungState};
use longrail_math::order;
use longrail_practice::advice::{judged, range};
use longrail_practice::card::Card;
use longrail_practice::constraints::Constraints;
use longrail_practice::drill::{RungNumber, Setup};
use longrail_practice::event::{Aim, Task, Wall};
use longrail_practice::form::Standing;
use longrail_practice::guide::{Guide, GuideError, Known, Posed, ladders_of, last_shot, passed};
use longrail_practice::id::EventId;
use longrail_practice::player::Profile;
use longrail_practice::state::Shots;
use longrail_stats::Count;
use longrail_stats::promotion::Rules;

use super::{begin, odds};
use crate::record::{Away, Shelf};

/// Said where several in a row are wanted.
const EACH: &str = "odds of each attempt";

/// Every ladder on this table: those with attempts first, the latest first, then those to begin.
pub(crate) fn ladders(
    guide: &mut Guide<'_, Shelf>,
    shelf: &Shelf,
    (card_id, card): (EventId, &Card),
    now: Wall,
) -> Result<Vec<Ladder>, Away> {
    let state = guide.state();
    let mut known = Known::of(guide, |_| true)?;
    let mut begun: Vec<_> = ladders_of(state).into_iter().filter(|(task, _)| task.card == card_id).collect();
    order::sort_by(&mut begun, |a, b| last_shot(state, &b.1).cmp(&last_shot(state, &a.1)));
    let mut ladders = Vec::new();
    for (task, rungs) in &begun {
        ladders.push(ladder(guide, &mut known, task, rungs, now)?);
    }
    for drill in shelf.drills() {
        if begun.iter().any(|(task, _)| task.drill == drill.id) {
            continue;
        }
        // A drill that does not go on this table is not offered.
        let Ok(posed) = Posed::new(drill.clone(), Setup::Given, (card_id, card.clone())) else { continue };
        let task = posed.task(RungNumber::FIRST, &Constraints::default());
        ladders.push(ladder(guide, &mut known, &task, &[], now)?);
    }
    Ok(ladders)
}

/// What the record calls a ladder: its first rung's task as text.
pub(crate) fn key(task: &Task) -> String {
    // A task's own form, of texts and numbers only.
    serde_json::to_string(&task.ladder()).unwrap_or_default()
}

/// One ladder.
pub(crate) fn ladder(
    guide: &mut Guide<'_, Shelf>,
    known: &mut Known,
    task: &Task,
    rungs: &[(&Task, &Shots)],
    now: Wall,
) -> Result<Ladder, Away> {
    let rules = guide.profile()?.proof.rules().map_err(GuideError::from)?;
    let posed = guide.posed(task).ok();
    let constraints: Constraints = task.constraints.parse().unwrap_or_default();
    let (standing, computing) = match &posed {
        None => (None, false),
        Some(posed) => match known.on(guide, posed, &constraints) {
            Ok(standing) => (Some(standing), false),
            Err(Away::Computing(_)) => (None, true),
            Err(_) => (None, false),
        },
    };
    let state = guide.state();
    let outermost = passed(state, task);
    let own = task.ladder();
    let passes: BTreeSet<RungNumber> = state
        .promotions
        .iter()
        .filter(|noted| noted.what.task.ladder() == own)
        .map(|noted| noted.what.task.rung)
        .collect();
    let work = standing.as_ref().and_then(Standing::work).map(|work| work.rung);
    let prove = standing.as_ref().and_then(|standing| standing.frontier(outermost));
    let drill = posed.as_ref().map(|posed| &posed.drill);
    let judge = (&rules, now);
    let told = rungs_of(rungs, drill.map_or(0, |drill| drill.rungs), judge, standing.as_ref(), |rung| {
        let state = match rung {
            rung if Some(rung) == prove => RungState::Prove,
            rung if Some(rung) == work => RungState::Work,
            rung if passes.contains(&RungNumber::whole(rung)) => RungState::Passed,
            rung if prove.or(work).max(outermost).is_some_and(|farthest| rung < farthest) => RungState::Below,
            _ => RungState::Ahead,
        };
        (state, Some(rung) == prove && Some(rung) == work)
    });
    let at = |rung: u32| Task { rung: RungNumber::whole(rung), ..task.clone() };
    let start = |rung: Option<u32>, aim| -> Option<Begin> { rung.map(|rung| begin(&at(rung), aim)) };
    let (passed, passed_at) = passed_words(guide, task).unzip();
    Ok(Ladder {
        key: key(task),
        drill: task.drill.clone(),
        title: drill.map_or(task.drill.clone(), |drill| drill.title.clone()),
        family: drill.map_or(String::new(), |drill| drill.family.name().replace('-', " ")),
        place: place(guide, task),
        axis: drill.map_or(String::new(), |drill| drill.harder.clone()),
        rungs: told,
        passed: passed.unwrap_or_default(),
        passed_odds: passed_at.and_then(|rung| Some(odds(standing.as_ref()?.at(rung.value())))),
        work: start(work.or_else(|| posed.as_ref().map(|_| 1)), Aim::Work),
        prove: start(prove, Aim::Proof),
        begun: !rungs.is_empty(),
        computing,
    })
}

/// All rungs of the ladder, and those between two on which something was shot.
fn rungs_of(
    shot: &[(&Task, &Shots)],
    rungs: u32,
    (rules, now): (&Rules, Wall),
    standing: Option<&Standing>,
    state: impl Fn(u32) -> (RungState, bool),
) -> Vec<Rung> {
    let mut numbers: Vec<RungNumber> = (1..=rungs).map(RungNumber::whole).collect();
    numbers.extend(shot.iter().map(|(task, _)| task.rung));
    order::sort_by(&mut numbers, Ord::cmp);
    numbers.dedup();
    let told = numbers.into_iter().map(|number| {
        let shots = shot.iter().find(|(task, _)| task.rung == number).map(|(_, shots)| *shots);
        let (made, tried) = shots.map_or((0, 0), |shots| (shots.tally.made(), shots.tally.tried()));
        let stopped = shots.is_some_and(Shots::stopped);
        let (state, both) = if number.is_whole() { state(number.below()) } else { (RungState::Ahead, false) };
        let sheet = shots.and_then(|shots| shots.counting(now)).and_then(|sheet| judged(sheet, rules).ok());
        Rung {
            name: number.to_string(),
            state,
            both,
            counted: (made, tried),
            range: Count::new(made, tried).ok().filter(|_| tried > 0).map(|count| {
                let range = range(count, stopped);
                (range.low, range.high)
            }),
            stopped,
            odds: standing.map(|standing| odds(standing.at(number.value()))),
            sheet: sheet.map(|sheet| (sheet.made(), sheet.tried())),
        }
    });
    told.collect()
}

/// The table, and corner and constraints where they are not the usual ones.
pub(crate) fn place(guide: &Guide<'_, Shelf>, task: &Task) -> String {
    let setup = match task.setup {
        Setup::Given => "",
        Setup::Turned => "turned",
        Setup::Mirrored => "mirrored",
        Setup::TurnedMirrored => "turned and mirrored",
    };
    let imperial = guide.profile().is_ok_and(Profile::imperial);
    let constraints = task.constraints.parse::<Constraints>();
    let each = constraints.as_ref().is_ok_and(|constraints| constraints.in_a_row() > 1);
    let constraints = constraints.map(|constraints| constraints.at(task.setup).words(imperial));
    let constraints = constraints.unwrap_or_else(|_| task.constraints.clone());
    let each = if each { EACH } else { "" };
    let parts = [guide.table(task), setup.to_owned(), constraints, each.to_owned()];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}

/// "Rung 3 passed once, on 2026-11-03.", and the rung.
fn passed_words(guide: &Guide<'_, Shelf>, task: &Task) -> Option<(String, RungNumber)> {
    let state = guide.state();
    let ladder = task.ladder();
    let noted = state.promotions.iter().rev().find(|noted| noted.what.task.ladder() == ladder)?;
    let back = if state.standing(noted).called_back { ", called back since" } else { "" };
    let rung = noted.what.task.rung;
    Some((format!("Rung {rung} passed once, on {}{back}.", noted.wall.date()), rung))
}
