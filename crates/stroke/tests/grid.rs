//! Odds over positions of a ball.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::odds_world;
use longrail_physics::table::PocketId;
use longrail_physics::{Ball, World};
use longrail_stroke::curve::{Row, along};
use longrail_stroke::grid::{ACROSS, ALONG, Executor, Grid, OneByOne, Question};
use longrail_stroke::stroke::{Reference, Stroke};
use longrail_stroke::{Goal, Nodes, Player, StrokeError};

/// Two threads, one on the even jobs and one on the odd, both from the last to the first.
struct TwoThreads;

impl Executor for TwoThreads {
    fn run<T: Send>(&self, count: usize, job: &(dyn Fn(usize) -> T + Sync)) -> Vec<Option<T>> {
        let work = |first: usize| -> Vec<(usize, T)> {
            (first..count).step_by(2).rev().map(|k| (k, job(k))).collect()
        };
        let mut all = std::thread::scope(|scope| {
            let odd = scope.spawn(|| work(1));
            let mut all = work(0);
            all.extend(odd.join().unwrap());
            all
        });
        all.sort_by_key(|(k, _)| *k);
        all.into_iter().map(|(_, result)| Some(result)).collect()
    }
}

fn balls(world: &World) -> [Ball; 2] {
    let diamond = world.table().spec().length_m / 8.0;
    [Ball::at_rest("cue", 4.0 * diamond, diamond), Ball::at_rest("1", 6.5 * diamond, 2.5 * diamond)]
}

/// The whole diamonds only: the next levels are not wanted.
fn coarse(executor: &impl Executor) -> Grid {
    let world = odds_world();
    let (goal, player) = (Goal::pot("1", PocketId::FootLeft), Player::with(Reference::Solid.stroke()));
    let (balls, nodes) = (balls(&world), Nodes::sobol(2, 64, 1));
    let question =
        Question { world: &world, balls: &balls, moves: "cue", goal: &goal, player: &player, nodes: &nodes };
    question.grid(executor, &mut |_| false).unwrap()
}

fn odds(grid: &Grid) -> Vec<Option<u64>> {
    (0..ALONG * ACROSS).map(|k| grid.cell(k % ALONG, k / ALONG).map(|cell| cell.made().to_bits())).collect()
}

#[test]
fn the_bits_do_not_depend_on_the_number_of_threads() {
    assert_eq!(odds(&coarse(&OneByOne)), odds(&coarse(&TwoThreads)));
}

#[test]
fn a_grid_that_is_not_wanted_any_finer_has_its_first_level() {
    let grid = coarse(&OneByOne);
    assert!(grid.cell(4, 4).is_some() && grid.cell(5, 4).is_none());
    // Nearer in line is easier than far away, and from behind the ball there is no way (common practice, no source).
    let made = |along: usize, across: usize| grid.cell(along, across).unwrap().made();
    assert!(made(20, 4) > made(4, 4) + 0.1, "{} {}", made(20, 4), made(4, 4));
    assert_eq!(made(32, 12), 0.0);
    // Between the jaws of a corner no ball is set up; at the mouth of a side pocket one may be.
    assert!(grid.cell(0, 0).is_none() && grid.cell(32, 16).is_none() && grid.cell(16, 0).is_some());
    // On the rim the ball is frozen to the rail.
    let world = odds_world();
    let rim = grid.cell(16, 0).unwrap().position.y;
    assert!((rim - world.reach_m(longrail_physics::ball::RADIUS_M).unwrap()).abs() < 1e-12);
}

/// Calls the work off after so many jobs.
struct Tired(std::cell::Cell<usize>);

impl Executor for Tired {
    fn run<T: Send>(&self, count: usize, job: &(dyn Fn(usize) -> T + Sync)) -> Vec<Option<T>> {
        let left = |k: usize| {
            self.0.set(self.0.get().saturating_sub(1));
            (self.0.get() > 0).then(|| job(k))
        };
        (0..count).map(left).collect()
    }
}

#[test]
fn a_grid_that_is_called_off_within_a_level_keeps_what_is_done() {
    let whole = coarse(&OneByOne);
    assert!(whole.is_known(0, 0) && !whole.is_called_off() && whole.step() == 4);
    // Within the first look at the whole diamonds: what was not computed is told from what has no room.
    let half = coarse(&Tired(std::cell::Cell::new(20)));
    let known = |grid: &Grid| (0..ALONG * ACROSS).filter(|k| grid.is_known(k % ALONG, k / ALONG)).count();
    assert_eq!((known(&whole), known(&half)), (9 * 5, 19));
    assert!(half.is_called_off() && half.step() == 4 && half.is_known(0, 0) && !half.is_known(32, 16));
    // Within the second look all have odds, some of them not yet the best.
    let late = coarse(&Tired(std::cell::Cell::new(60)));
    assert!(late.is_called_off() && known(&late) == 9 * 5);
}

#[test]
fn hits_do_not_make_up_for_a_bias() {
    // What to intend is the same with and without it; the odds are not. On a map, and along a row.
    let world = odds_world();
    let (goal, nodes) = (Goal::pot("1", PocketId::FootLeft), Nodes::sobol(2, 64, 1));
    let plain = Reference::Solid.stroke();
    let players = [0.0, 0.3].map(|aim_bias_deg| Player::with(Stroke { aim_bias_deg, ..plain }));
    let balls = balls(&world);
    let layouts = [longrail_physics::Layout::new(&world, &balls).unwrap()];
    let maps = players.map(|player| {
        let question = Question {
            world: &world,
            balls: &balls,
            moves: "cue",
            goal: &goal,
            player: &player,
            nodes: &nodes,
        };
        question.grid(&OneByOne, &mut |_| false).unwrap()
    });
    let [straight, biased] = maps.each_ref().map(|map| map.cell(20, 4).unwrap());
    assert_eq!(straight.intent().unwrap().hit(), biased.intent().unwrap().hit());
    assert!(biased.made() < straight.made() - 0.02, "{} {}", biased.made(), straight.made());
    let rows = players.map(|player| {
        let row = Row { world: &world, player: &player, goal: &goal, layouts: &layouts };
        along(&row, &nodes).unwrap()[0].best.unwrap()
    });
    assert_eq!(rows[0].0, rows[1].0);
    assert!(rows[1].1.made < rows[0].1.made - 0.02, "{rows:?}");
}

#[test]
fn a_ball_that_is_not_there_cannot_move() {
    let world = odds_world();
    let (goal, player, nodes) = (Goal::pot("1", PocketId::FootLeft), Player::default(), Nodes::usual(1));
    let balls = balls(&world);
    let question =
        Question { world: &world, balls: &balls, moves: "9", goal: &goal, player: &player, nodes: &nodes };
    let error = question.grid(&OneByOne, &mut |_| true).unwrap_err();
    assert_eq!(error, StrokeError::NoSuchBall { name: "9".to_owned(), known: "cue, 1".to_owned() });
}
