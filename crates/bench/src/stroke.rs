//! What odds and the right hit cost.

use std::hint::black_box;
use std::time::Instant;

use longrail_math::random::Stream;
use longrail_physics::conditions::Cushion;
use longrail_physics::table::PocketId;
use longrail_physics::{Ball, Conditions, Engine, Layout, Table, World};
use longrail_stroke::curve::{Row, along};
use longrail_stroke::goal::{Wish, Zone};
use longrail_stroke::grid::{OneByOne, Question};
use longrail_stroke::infer::{Posterior, Prior, Seen, Surface, Tally};
use longrail_stroke::odds::REBOUND_TOLERANCE;
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Goal, Hit, Nodes, Player, Setting, StrokeError, Task};

use crate::figure;

/// Tells the figures; a refusal is told in their place.
pub(crate) fn figures() {
    let measured = draw().and_then(|draw| {
        draw.ready(odds)?;
        map(&draw)?;
        ladders(&draw)?;
        draw.ready(inference)
    });
    if let Err(error) = measured {
        crate::say(&format!("strokes were not measured to the end: {error}"));
    }
}

/// The straight draw: object ball half-way to the corner, the cue ball to come back around its start.
fn draw() -> Result<Task, StrokeError> {
    let cushion = Cushion { tolerance: REBOUND_TOLERANCE, ..Cushion::default() };
    let world = World::new(Table::default(), Conditions { cushion, ..Conditions::default() })?;
    let diamond = world.table().spec().length_m / 8.0;
    let balls =
        vec![Ball::at_rest("cue", 5.0 * diamond, diamond), Ball::at_rest("1", 6.5 * diamond, 2.5 * diamond)];
    let goal = Goal::pot("1", PocketId::FootLeft)
        .and(Wish::Stop { zone: Zone::Circle { along: 5.0, across: 1.0, radius: 0.75 } });
    Ok(Task { world, balls, goal, player: Player::with(Reference::Fine.stroke()) })
}

fn odds(setting: &Setting<'_>) -> Result<(), StrokeError> {
    let mut engine = Engine::new();
    let nodes = Nodes::usual(1);
    let found = setting.best_hits(&mut engine, &nodes, 3)?;
    let Some(best) = found.first() else { return Ok(()) };
    // Against odds with so many nodes that their own error is a tenth of it.
    let truth = setting.odds(&mut engine, &best.hit, &Nodes::sobol(8, 8192, 900))?.made;
    let mut squares = 0.0;
    for seed in 0..40 {
        let error = setting.odds(&mut engine, &best.hit, &Nodes::usual(1000 + seed))?.made - truth;
        squares += error * error / 40.0;
    }
    let note = format!("{} nodes, straight draw, {:.0} % made", nodes.all().len(), 100.0 * truth);
    figure("odds, root-mean-square error", 100.0 * squares.sqrt(), "%", Some(0.5), &note);
    let odds = median_ms(21, || setting.odds(&mut engine, &best.hit, &nodes).map(|odds| odds.made))?;
    figure("odds, one thread", odds, "ms", Some(1.0), &note);
    let hits = median_ms(7, || setting.best_hits(&mut engine, &nodes, 3).map(|found| found[0].odds.made))?;
    figure("right hit, best three", hits, "ms", Some(150.0), "straight draw");
    Ok(())
}

/// The map of the draw, and how far it is off the full solver: both hits judged by the same many nodes.
fn map(draw: &Task) -> Result<(), StrokeError> {
    let (nodes, many) = (Nodes::usual(1), Nodes::sobol(8, 512, 77));
    let Task { world, balls, goal, player } = draw;
    let question = Question { world, balls, moves: "cue", goal, player, nodes: &nodes };
    let started = Instant::now();
    let grid = question.grid(&OneByOne, &mut |_| true)?;
    let time = started.elapsed().as_secs_f64();
    figure("map of 561 positions, one thread", time, "s", Some(4.0), "target: 2 s on two threads");
    let mut random = Stream::new(5, 17, 0);
    let (mut worst, mut beyond, mut cells) = (0.0_f64, 0, 0);
    while cells < 30 {
        let (along, across) = (random.below(33) as usize, random.below(17) as usize);
        let Some(cell) = grid.cell(along, across) else { continue };
        let mut task = draw.clone();
        task.balls[0].position = cell.position;
        let off = task.ready(|setting| {
            let mut engine = Engine::new();
            let mut judged = |hit: Option<Hit>| match hit {
                Some(hit) => setting.odds(&mut engine, &hit, &many).map(|odds| odds.made),
                None => Ok(0.0),
            };
            let full = match setting.best_hits(&mut Engine::new(), &nodes, 3) {
                Ok(found) => found.first().map(|found| found.hit),
                Err(StrokeError::OutOfReach { .. }) => None,
                Err(error) => return Err(error),
            };
            let (full, quick) = (judged(full)?, judged(cell.intent().map(|intent| *intent.hit()))?);
            // Where neither finds anything there is nothing to compare.
            Ok((full > 0.0 || quick > 0.0).then_some((full - quick).abs()))
        })?;
        if let Some(off) = off {
            cells += 1;
            worst = worst.max(off);
            beyond += u32::from(off > 0.02);
        }
    }
    let note = format!("farthest off of {cells} random cells; {beyond} beyond 2 points");
    figure("map, off the full solver", 100.0 * worst, "points", Some(2.0), &note);
    Ok(())
}

/// A ladder of ten rungs with the surface of each, as often as a new table card asks for it.
fn ladders(draw: &Task) -> Result<(), StrokeError> {
    let started = Instant::now();
    let diamond = draw.world.table().spec().length_m / 8.0;
    let mut layouts = Vec::new();
    for rung in 0..10 {
        let mut balls = draw.balls.clone();
        balls[0].position.x -= 0.25 * f64::from(rung) * diamond;
        layouts.push(Layout::new(&draw.world, &balls)?);
    }
    let row = Row { world: &draw.world, player: &draw.player, goal: &draw.goal, layouts: &layouts };
    let rungs = along(&row, &Nodes::usual(1))?;
    for (rung, layout) in rungs.iter().zip(&layouts) {
        let plan = draw.goal.plan(&draw.world, layout)?;
        let setting = Setting { world: &draw.world, layout, player: &draw.player, plan: &plan };
        if let Some((hit, _)) = &rung.best {
            black_box(Surface::of(&setting, hit)?);
        }
    }
    let time = 40.0 * started.elapsed().as_secs_f64();
    figure("rungs of 40 ladders", time, "s", Some(60.0), "forty times one ladder of ten, one thread");
    Ok(())
}

/// A surface of the straight draw, and one attempt more after 60 at it and 60 without the cue ball's end.
fn inference(setting: &Setting<'_>) -> Result<(), StrokeError> {
    let found = setting.best_hits(&mut Engine::new(), &Nodes::usual(1), 1)?;
    let Some(best) = found.first() else { return Ok(()) };
    let surface = Surface::of(setting, &best.hit)?;
    let time = median_ms(7, || Surface::of(setting, &best.hit))?;
    figure("response surface", time, "ms", Some(100.0), "straight draw, one thread");

    let mut posterior = Posterior::new(Prior::default())?;
    let mut tally = Tally::sided(34, 6, 5);
    for (seen, count) in [(Seen::Short, 8), (Seen::Long, 4), (Seen::Off, 3)] {
        tally.add_many(seen, count);
    }
    posterior.take(&surface, &tally);
    posterior.take(&Surface::window(0.3), &Tally::sided(45, 8, 7));
    // The grid is placed anew now and then, which takes longer: the median does not see it, the note does.
    let cycle = [Seen::Made, Seen::Left, Seen::Made, Seen::Short, Seen::Made, Seen::Right, Seen::Long];
    let mut next = cycle.into_iter().cycle();
    let mut times = Vec::new();
    for seen in (0..140).filter_map(|_| next.next()) {
        let started = Instant::now();
        posterior.attempt(&surface, None, seen);
        times.push(started.elapsed().as_secs_f64() * 1e3);
        black_box(&posterior);
    }
    times.sort_by(f64::total_cmp);
    let slow = times.iter().filter(|time| **time > 5.0).count();
    let note = format!("of 140; {slow} placed the grid anew, at most {:.0} ms", times[times.len() - 1]);
    figure("posterior, one attempt", times[times.len() / 2], "ms", Some(1.0), &note);
    Ok(())
}

/// Median time of `rounds` calls in milliseconds.
fn median_ms<T>(rounds: usize, mut call: impl FnMut() -> Result<T, StrokeError>) -> Result<f64, StrokeError> {
    let mut times = Vec::with_capacity(rounds);
    for _ in 0..rounds {
        let started = Instant::now();
        black_box(call()?);
        times.push(started.elapsed().as_secs_f64() * 1e3);
    }
    times.sort_by(f64::total_cmp);
    Ok(times[rounds / 2])
}
