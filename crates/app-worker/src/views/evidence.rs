//! What the record proves on one ladder.

use longrail_app_link::{Chart, Compared, Evidence};
use longrail_math::order;
use longrail_practice::advice::range;
use longrail_practice::event::{Aim, Task, Wall};
use longrail_practice::form::Standing;
use longrail_practice::guide::{Guide, Known, ladders_of, last_shot};
use longrail_practice::id::EventId;
use longrail_practice::state::{Set, Shots, State};
use longrail_scene::{Counted, LadderChart, RungOdds, Style, ladder_svg};
use longrail_stats::Count;

use super::ladder::{key, ladder, place};
use super::picture::style;
use crate::record::{Away, Shelf};

/// Width for which the chart is drawn.
const CHART_PX: f64 = 354.0;
/// Sets that are listed.
const LISTED: usize = 12;

/// What the record proves on the ladder of this key, or on the one shot last.
pub(crate) fn evidence(
    guide: &mut Guide<'_, Shelf>,
    wanted: Option<&str>,
    (light, now): (bool, Wall),
    compared: Option<Compared>,
) -> Result<Evidence, Away> {
    let state = guide.state();
    let mut all: Vec<_> = ladders_of(state).into_iter().collect();
    order::sort_by(&mut all, |a, b| last_shot(state, &b.1).cmp(&last_shot(state, &a.1)));
    let names = all.iter().map(|(task, _)| (key(task), name(guide, task))).collect();
    let chosen = all.iter().find(|(task, _)| wanted.is_none_or(|wanted| key(task) == wanted));
    let opened = u32::try_from(state.comparisons.len()).unwrap_or(u32::MAX);
    let Some((task, rungs)) = chosen else {
        return Ok(Evidence { ladders: names, opened, ..Evidence::default() });
    };
    let mut known = Known::of(guide, |_| true)?;
    let told = ladder(guide, &mut known, task, rungs, now)?;
    let standing = guide.posed(task).ok().and_then(|posed| {
        let constraints = task.constraints.parse().ok()?;
        Some((known.on(guide, &posed, &constraints).ok()?, known.rests_on(&posed)))
    });
    let counted = rungs
        .iter()
        .fold((0, 0), |(made, tried), (_, shots)| (made + shots.tally.made(), tried + shots.tally.tried()));
    let sets = sets(state, task);
    let dates = (
        sets.first().and_then(|(_, set)| Some(set.began.as_ref()?.0.date())).unwrap_or_default(),
        sets.last().and_then(|(_, set)| Some(set.last?.date())).unwrap_or_default(),
    );
    let chart = standing.as_ref().map(|(standing, _)| chart(&told.title, rungs, standing, light));
    let comparable = last_two(state, task)
        .map(|(first, second)| format!("{}, then {}", words(state, first), words(state, second)));
    let rests_on = match &standing {
        Some((_, 1)) => "The odds rest on 1 attempt of your last visits.".to_owned(),
        Some((_, attempts)) => format!("The odds rest on {attempts} attempts of your last visits."),
        None => String::new(),
    };
    Ok(Evidence {
        ladders: names,
        dates,
        counted,
        chart: chart.unwrap_or_default(),
        sets: sets.iter().rev().take(LISTED).map(|(_, set)| line(set)).collect(),
        comparable: comparable.unwrap_or_default(),
        compared,
        opened,
        rests_on,
        computing: if told.computing { told.title.clone() } else { String::new() },
        ladder: Some(told),
    })
}

fn name(guide: &Guide<'_, Shelf>, task: &Task) -> String {
    let title = guide.posed(task).map_or_else(|_| task.drill.clone(), |posed| posed.drill.title);
    format!("{title}, {}", place(guide, task))
}

/// The sets of a ladder with attempts, in the order in which they were shot, which may not be that of entering them.
fn sets<'s>(state: &'s State, ladder: &Task) -> Vec<(EventId, &'s Set)> {
    let sets = state.sets.iter().filter(|(_, set)| {
        set.seen.tried() > 0 && set.began.as_ref().is_some_and(|(_, began)| began.task.ladder() == *ladder)
    });
    let mut sets: Vec<(EventId, &Set)> = sets.map(|(id, set)| (*id, set.as_ref())).collect();
    order::sort_by(&mut sets, |a, b| (began(a.1), a.0).cmp(&(began(b.1), b.0)));
    sets
}

fn began(set: &Set) -> Option<Wall> {
    set.began.as_ref().map(|(wall, _)| *wall)
}

/// "2026-11-03, rung 3, proof", and the counts.
fn line(set: &Set) -> (String, String, u32, u32) {
    let count = set.count();
    let Some((wall, began)) = &set.began else { return Default::default() };
    let aim = if began.aim == Aim::Proof { "proof" } else { "work" };
    (wall.date(), format!("rung {}, {aim}", began.task.rung), count.made(), count.tried())
}

/// The two latest sets of work at one rung of a ladder: what a rule stopped is not compared.
pub(crate) fn last_two(state: &State, ladder: &Task) -> Option<(EventId, EventId)> {
    let mut latest = sets(state, ladder);
    latest.reverse();
    latest.retain(|(_, set)| set.ended.is_some());
    let work = |set: &&(EventId, &Set)| set.1.began.as_ref().is_some_and(|(_, began)| began.aim == Aim::Work);
    let second = latest.iter().find(work)?;
    let task = |set: &Set| set.began.as_ref().map(|(_, began)| began.task.clone());
    let first =
        latest.iter().filter(work).find(|(id, set)| *id != second.0 && task(set) == task(second.1))?;
    Some((first.0, second.0))
}

fn words(state: &State, id: EventId) -> String {
    let Some(set) = state.sets.get(&id) else { return String::new() };
    let (date, what, made, tried) = line(set);
    format!("{made} of {tried} on {date} ({what})")
}

/// The picture: what was counted, and the odds that the stroke has.
fn chart(title: &str, rungs: &[(&Task, &Shots)], standing: &Standing, light: bool) -> Chart {
    let counted = rungs.iter().filter_map(|(task, shots)| {
        let (made, tried) = (shots.tally.made(), shots.tally.tried());
        let range = range(Count::new(made, tried).ok().filter(|count| count.tried() > 0)?, shots.stopped());
        Some(Counted { rung: task.rung.value() - 1.0, made, tried, low: range.low, high: range.high })
    });
    let last = f64::from(u32::try_from(standing.chances.len()).unwrap_or(u32::MAX));
    let even = standing.even;
    // Half a rung beyond either end stands for "not on this ladder".
    let inside = (1.0..=last).contains(&even.middle);
    let says = if inside {
        format!("Even at rung {:.1} ({:.1} to {:.1}), as modelled.", even.middle, even.low, even.high)
    } else if even.middle < 1.0 {
        "Below even on every rung, as modelled.".to_owned()
    } else {
        "Above even on every rung, as modelled.".to_owned()
    };
    let chart = LadderChart {
        rungs: standing
            .chances
            .iter()
            .map(|chance| {
                chance.map(|chance| RungOdds { made: chance.mean, low: chance.low, high: chance.high })
            })
            .collect(),
        counted: counted.collect(),
        target: standing.target,
        crossing: inside.then_some(even.middle - 1.0),
        band: "80 % by what is known of the stroke".to_owned(),
        title: format!("Where the record puts you on {title}"),
        description: says.clone(),
        reading: says.clone(),
        captions: Vec::new(),
    };
    let style = Style { width_px: CHART_PX, ..style(light, true) };
    Chart { picture: ladder_svg(&chart, &style), says }
}
