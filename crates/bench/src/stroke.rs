//! What odds and the right hit cost.

use std::hint::black_box;
use std::time::Instant;

use longrail_physics::conditions::Cushion;
use longrail_physics::table::PocketId;
use longrail_physics::{Ball, Conditions, Engine, Layout, Table, World};
use longrail_stroke::goal::{Wish, Zone};
use longrail_stroke::grid::{OneByOne, Question};
use longrail_stroke::infer::{Posterior, Prior, Seen, Surface, Tally};
use longrail_stroke::odds::REBOUND_TOLERANCE;
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Goal, Nodes, Player, Setting, StrokeError};

use crate::figure;

/// Tells the figures; a refusal is told in their place.
pub(crate) fn figures() {
    if let Err(error) = measure() {
        crate::say(&format!("odds were not measured: {error}"));
    }
    if let Err(error) = inference() {
        crate::say(&format!("inference was not measured: {error}"));
    }
}

/// The straight draw: object ball half-way to the corner, the cue ball to come back around its start.
fn measure() -> Result<(), StrokeError> {
    let cushion = Cushion { tolerance: REBOUND_TOLERANCE, ..Cushion::default() };
    let world = World::new(Table::default(), Conditions { cushion, ..Conditions::default() })?;
    let diamond = world.table().spec().length_m / 8.0;
    let balls =
        [Ball::at_rest("cue", 5.0 * diamond, diamond), Ball::at_rest("1", 6.5 * diamond, 2.5 * diamond)];
    let layout = Layout::new(&world, &balls)?;
    let goal = Goal::pot("1", PocketId::FootLeft)
        .and(Wish::Stop { zone: Zone::Circle { along: 5.0, across: 1.0, radius: 0.75 } });
    let player = Player::with(Reference::Fine.stroke());
    let plan = goal.plan(&world, &layout)?;
    let setting = Setting { world: &world, layout: &layout, player: &player, plan: &plan };
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
    let question =
        Question { world: &world, balls: &balls, moves: "cue", goal: &goal, player: &player, nodes: &nodes };
    let map =
        median_ms(1, || question.grid(&OneByOne, &mut |_| true).map(|grid| grid.cell(16, 8).is_some()))?;
    figure("map of 561 positions, one thread", map / 1e3, "s", Some(4.0), "target: 2 s on two threads");
    Ok(())
}

/// A surface of the straight draw, and one attempt more after 60 at it and 60 without the cue ball's end.
fn inference() -> Result<(), StrokeError> {
    let cushion = Cushion { tolerance: 1e-5, ..Cushion::default() };
    let world = World::new(Table::default(), Conditions { cushion, ..Conditions::default() })?;
    let diamond = world.table().spec().length_m / 8.0;
    let balls =
        [Ball::at_rest("cue", 5.0 * diamond, diamond), Ball::at_rest("1", 6.5 * diamond, 2.5 * diamond)];
    let layout = Layout::new(&world, &balls)?;
    let goal = Goal::pot("1", PocketId::FootLeft)
        .and(Wish::Stop { zone: Zone::Circle { along: 5.0, across: 1.0, radius: 0.75 } });
    let player = Player::with(Reference::Fine.stroke());
    let plan = goal.plan(&world, &layout)?;
    let setting = Setting { world: &world, layout: &layout, player: &player, plan: &plan };
    let found = setting.best_hits(&mut Engine::new(), &Nodes::usual(1), 1)?;
    let Some(best) = found.first() else { return Ok(()) };
    let surface = Surface::of(&setting, &best.hit)?;
    let time = median_ms(7, || Surface::of(&setting, &best.hit))?;
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
