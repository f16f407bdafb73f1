//! The screen at the table: what stays while a set is open, what changes with each press, and what is said at its end.

use longrail_app_link::{Ball, Begin, Clock, Ended, Fixed, Mark, Score, Seat, Side, Way};
use longrail_practice::constraints::Constraints;
use longrail_practice::drill::{Rung, RungNumber};
use longrail_practice::event::{Aim, Outcome, SetBegan, Task, Wall};
use longrail_practice::guide::{self, Guide, Known, Posed, prescribed_for};
use longrail_practice::id::PlayerId;
use longrail_practice::ladder::{FIRST_SET, Move, Prescribed};
use longrail_practice::measure::{self, constraint_words, diamonds, fullness, hit_words, rail_first, tape};
use longrail_practice::player::Profile;
use longrail_practice::state::{Entry, State, What};
use longrail_stats::promotion::Verdict;
use longrail_stroke::constraint::Constraint;
use longrail_stroke::goal::Wish;

use super::home::ms;
use super::lane::{bounds, lane};
use super::{begin, harder, odds, outlook};
use crate::record::{Away, Shelf, Trouble};
use crate::views::picture::layout;

/// Entries that are shown, at most.
const RECENT: usize = 40;
/// Milliseconds in a minute.
const MINUTE: u64 = 60_000;
/// Said where the model finds no hit.
const NO_HIT: &str = "no hit makes it within your limits, as modelled";

/// The open set of a player; nothing if none is open.
pub(crate) fn seat(
    guide: &mut Guide<'_, Shelf>,
    player: PlayerId,
    others: Vec<(String, String)>,
    now: Wall,
    light: bool,
    wide: bool,
) -> Result<Option<Seat>, Trouble> {
    let state = guide.state();
    let Some((id, set)) = state.set_now() else { return Ok(None) };
    let Some((_, began)) = &set.began else { return Ok(None) };
    let profile = guide.profile()?;
    let mut fixed = Fixed {
        set: id.to_string(),
        player: profile.name.clone(),
        player_id: player.to_string(),
        title: began.task.drill.clone(),
        rung: began.task.rung.to_string(),
        rungs: 0,
        proof: began.aim == Aim::Proof,
        goal: String::new(),
        table: guide.table(&began.task),
        picture: String::new(),
        balls: Vec::new(),
        hit: String::new(),
        odds: None,
        places_cue: false,
        in_a_row: None,
        bounds: (began.aim == Aim::Proof).then(|| profile.proof.rules()).transpose()?.as_ref().map(bounds),
        rests_on: String::new(),
        constraints: String::new(),
        plain: None,
        outlook: String::new(),
        cautions: Vec::new(),
        assumed: Vec::new(),
        clock: clock(state),
        rails: None,
        harder: Vec::new(),
        on: Vec::new(),
        bounded: None,
        imperial: profile.imperial(),
        computing: String::new(),
        begin: Begin { player: Some(player.to_string()), ..begin(&began.task, began.aim) },
    };
    // A drill that is not at hand any more can still be scored.
    if let Ok(posed) = guide.posed(&began.task)
        && let Ok(rung) = posed.rung(began.task.rung)
    {
        let constraints: Constraints = began.task.constraints.parse().unwrap_or_default();
        fixed.title.clone_from(&posed.drill.title);
        fixed.rungs = posed.drill.rungs;
        // Where blockers lie is in the goal and in the picture.
        let told = constraints.all().iter().filter(|one| !matches!(one, Constraint::Blocker { .. }));
        fixed.constraints =
            told.map(|one| constraint_words(one, fixed.imperial)).collect::<Vec<_>>().join(", ");
        fixed.on = harder::on(&constraints, posed.setup, fixed.imperial);
        fixed.cautions.clone_from(&posed.drill.cautions);
        fixed.assumed = posed.card.unmeasured(fixed.imperial);
        let player = prescribed_for(profile, true)?;
        fixed.harder = harder::offered(&player, &posed, &rung, &constraints);
        let under = rung.under(&posed.world, &player, posed.setup, &constraints);
        match under.and_then(|under| Ok((rung.set_up(&posed.world, &under)?, under))) {
            Ok((lies, under)) => {
                lying(&mut fixed, &posed, &lies);
                let hit = modelled(guide, &posed, &rung, &constraints, began, now, &mut fixed)?;
                if let Some(found) = &hit {
                    fixed.bounded = harder::bounded(&constraints, found.hit.speed_mps, fixed.imperial);
                    if posed.card.rails.is_none() {
                        let reference = guide.host().rails(&began.task, found, &under)?;
                        fixed.rails =
                            reference.zip(fixed.odds).map(|(range, odds)| moved(range, found.made, odds.0));
                    }
                }
                let hit = hit.as_ref().map(|found| (&player, &found.hit));
                fixed.picture = layout(&posed, &lies, hit, light, wide);
            }
            // The player's limits have become narrower than the constraint: these can be taken off, and the set scored or ended.
            Err(why) => {
                lying(&mut fixed, &posed, &rung);
                fixed.rests_on = why.to_string();
                fixed.picture = layout(&posed, &rung, None, light, wide);
            }
        }
    }
    let score = score(state, profile, now, String::new())?;
    Ok(Some(Seat { fixed, score, others }))
}

/// Where everything lies, and what is to be done with it.
fn lying(fixed: &mut Fixed, posed: &Posed, rung: &Rung) {
    fixed.goal = rung.goal.to_string();
    fixed.places_cue = rung.goal.wishes.iter().any(places_cue);
    fixed.balls = balls(posed, rung, fixed.imperial);
}

/// When the open block and its visit began.
fn clock(state: &State) -> Option<Clock> {
    let (_, session) = state.open_session()?;
    let (visit, began) = session.began.as_ref()?;
    let block = session.blocks.last().and_then(|block| state.blocks.get(block)?.began.as_ref());
    let block = block.map_or(visit, |(wall, _)| wall);
    Some(Clock { block_ms: ms(*block), visit_ms: ms(*visit), block_minutes: 0, minutes: began.minutes_free })
}

/// What the stroke says of the rung; the hit that is prescribed there.
fn modelled(
    guide: &mut Guide<'_, Shelf>,
    posed: &Posed,
    rung: &Rung,
    constraints: &Constraints,
    began: &SetBegan,
    now: Wall,
    fixed: &mut Fixed,
) -> Result<Option<Prescribed>, Trouble> {
    let number = began.task.rung;
    let mut known = Known::of(guide, |_| true)?;
    let standing = match known.on(guide, posed, constraints) {
        Ok(standing) => standing,
        Err(Away::Computing(title)) => {
            fixed.computing = title;
            return Ok(None);
        }
        // What the stroke says cannot be told; the set can be scored without it.
        Err(away) => {
            fixed.rests_on = away.to_string();
            return Ok(None);
        }
    };
    fixed.odds = Some(odds(standing.at(number.value())));
    let here = standing.at(number.value()).mean;
    fixed.in_a_row = (constraints.in_a_row() > 1).then(|| (constraints.in_a_row(), constraints.chance(here)));
    fixed.rests_on = rests_on(&known, posed);
    if !constraints.is_empty()
        && let Ok(plain) = known.on(guide, posed, &Constraints::default())
    {
        fixed.plain = Some(plain.at(number.value()).mean);
    }
    if began.aim == Aim::Proof {
        fixed.outlook =
            outlook::in_full(guide, &posed.drill, &began.task, standing.at(number.value()).mean, now)?;
    }
    let found = guide.today(posed, constraints)?.prescribed(number.below()).copied();
    fixed.hit = found.as_ref().map_or_else(
        || NO_HIT.to_owned(),
        |found| {
            let (hit, balls) = (&found.hit, rung.layout.balls());
            let words = hit_words(hit, &posed.world, balls, false, fixed.imperial);
            // By way of a rail, how full the straight way would meet the ball says nothing.
            let direct = rail_first(&posed.world, balls, hit).is_none_or(|first| first.at_once);
            match fullness(balls, hit).filter(|_| direct) {
                Some(share) => format!("{}; {words}", fullness_words(share)),
                None => words,
            }
        },
    );
    Ok(found)
}

/// Whether a wish says where the cue ball goes.
const fn places_cue(wish: &Wish) -> bool {
    matches!(wish, Wish::Pass { .. } | Wish::Stop { .. } | Wish::StopNear { .. } | Wish::Lag { .. })
}

/// What a range around the reference stroke's chance is for a player whose chance is another: as far away in log odds.
fn moved((low, high): (f64, f64), reference: f64, own: f64) -> (f64, f64) {
    let odds = |chance: f64| {
        let inside = chance.clamp(1e-6, 1.0 - 1e-6);
        inside / (1.0 - inside)
    };
    let to = |end: f64| {
        let there = odds(own) * odds(end) / odds(reference);
        there / (1.0 + there)
    };
    // Where an end is the reference's own chance, rounding must not leave the player's outside.
    (to(low).min(own), to(high).max(own))
}

/// "¾ ball, on its left".
fn fullness_words(share: f64) -> String {
    let eighths = (8.0 * share.abs()).round() / 8.0;
    let side = if share < 0.0 { "right" } else { "left" };
    if eighths >= 1.0 {
        "full ball".to_owned()
    } else if (4.0 * eighths).fract() == 0.0 && eighths > 0.0 {
        format!("{} ball, on its {side}", diamonds(eighths))
    } else {
        format!("{:.0}/8 ball, on its {side}", 8.0 * eighths)
    }
}

fn rests_on(known: &Known, posed: &Posed) -> String {
    let mut rests = match known.rests_on(posed) {
        0 => format!("Your own words, and no attempt yet: the first {FIRST_SET} tell where to go on."),
        1 => "1 attempt of your last visits.".to_owned(),
        attempts => format!("{attempts} attempts of your last visits."),
    };
    if known.is_prediction(posed) {
        rests.push_str(" Most were on another table: a prediction, which attempts here replace.");
    }
    rests
}

fn balls(posed: &Posed, rung: &Rung, imperial: bool) -> Vec<Ball> {
    let way = |way: &measure::Way| {
        let text = |text: String| if way.frozen { String::new() } else { text };
        Way {
            rail: way.rail.name().to_owned(),
            diamonds: text(diamonds(way.diamonds)),
            tape: text(tape(way.metres, imperial)),
            balls: text(format!("{:.1}", way.balls)),
        }
    };
    let told = posed.places(rung).into_iter().map(|(id, place)| Ball {
        id,
        short: way(&place.short),
        long: way(&place.long),
    });
    told.collect()
}

/// How the open set stands.
pub(crate) fn score(state: &State, profile: &Profile, now: Wall, notice: String) -> Result<Score, Trouble> {
    let Some((_, set)) = state.set_now() else { return Ok(Score::default()) };
    let Some((_, began)) = &set.began else { return Ok(Score::default()) };
    let count = set.count();
    let rules = profile.proof.rules()?;
    let (stands, next, advice) = guide::so_far(state, profile, began, now)?;
    let marks = &set.entries[set.entries.len().saturating_sub(RECENT)..];
    let sheet = state.shots(&began.task).and_then(|shots| shots.counting(now));
    let minutes = state
        .open_session()
        .and_then(|(_, session)| session.began.as_ref())
        .map_or(0, |(wall, _)| u32::try_from(now.ms.saturating_sub(wall.ms) / MINUTE).unwrap_or(u32::MAX));
    Ok(Score {
        made: count.made(),
        tried: count.tried(),
        sheet: advice.map(|advice| (advice.count.made(), advice.count.tried())),
        warm_up: set.warm_up_left,
        marks: marks.iter().map(mark).collect(),
        stands,
        next,
        passed: advice.is_some_and(|advice| matches!(advice.verdict, Verdict::Promote(_))),
        lane: advice.map(|advice| lane(sheet, &rules, &advice)),
        notice,
        caution: guide::caution(minutes).unwrap_or_default(),
    })
}

const fn mark(entry: &Entry) -> Mark {
    match entry.what {
        What::Batch { made, tried } => Mark::Batch(made, tried),
        What::Attempt { outcome, .. } => match outcome {
            Outcome::Made => Mark::Made,
            Outcome::Missed => Mark::Missed(None),
            Outcome::MissedLeft => Mark::Missed(Some(Side::Left)),
            Outcome::MissedRight => Mark::Missed(Some(Side::Right)),
            Outcome::MissedNotSeen => Mark::Missed(Some(Side::NotSeen)),
        },
    }
}

/// What is decided at a set's end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Decision {
    /// The player has to say; nobody else may.
    Asked,
    /// It is not this person's to say.
    NotTheirs,
    /// What was offered was taken, or not.
    Made { taken: bool },
}

/// The three lines at a set's end, and what there is to decide or begin.
pub(crate) fn ended(
    guide: &mut Guide<'_, Shelf>,
    player: PlayerId,
    said: &guide::Ended,
    decision: Decision,
) -> Ended {
    let verdict = said.advice.map(|advice| advice.verdict);
    let asked = decision == Decision::Asked;
    let taken = decision == Decision::Made { taken: true };
    let (passed, back) =
        (matches!(verdict, Some(Verdict::Promote(_))), matches!(verdict, Some(Verdict::StepBack(_))));
    // While it is asked, nothing is begun.
    let to = match said.aim {
        Aim::Proof if passed && taken => said.farther,
        Aim::Proof if back && taken => said.nearer,
        Aim::Proof => Some(said.task.rung),
        Aim::Work => Some(next_work(guide, said)),
    };
    let next = to.map(|rung| Task { rung, ..said.task.clone() });
    let words = match to {
        Some(rung) if rung == said.task.rung => format!("Again: rung {rung}"),
        Some(rung) => format!("Rung {rung}"),
        None => String::new(),
    };
    Ended {
        set: said.set.to_string(),
        did: said.lines.did.clone(),
        settled: said.lines.settled.clone(),
        next: said.lines.next.clone(),
        passed: asked && passed,
        step_back: asked && back,
        begin: next.as_ref().map(|task| Begin { player: Some(player.to_string()), ..begin(task, said.aim) }),
        begin_words: words,
    }
}

/// Where work goes on: the same again, or the rung that the set's line names.
fn next_work(guide: &Guide<'_, Shelf>, said: &guide::Ended) -> RungNumber {
    let moved = guide::moved_already(guide.state(), &said.task);
    match said.standing.as_ref().and_then(|standing| standing.work_move(said.task.rung.below(), moved)) {
        Some(Move::Out { to } | Move::Back { to }) => RungNumber::whole(to),
        _ => said.task.rung,
    }
}
