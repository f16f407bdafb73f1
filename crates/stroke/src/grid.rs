//! Odds over positions of one ball: "from where am I a favourite?".
//!
//! The positions are the quarter diamonds, 33 along and 17 across; those on the rim mean frozen to the rail. The hit is
//! solved at each, first at the whole diamonds, then at the halves and the quarters with the hits of the neighbours that are
//! known already to help. After each level every position is looked at once more, in case a hit of its neighbours is better
//! there than its own, and then those next to one that was bettered so, since a hit travels only one step a look. Positions of one pass do not depend on each other, so they may be computed in any order and on any
//! number of threads, and the bits are the same.
//!
//! Hits are chosen with rebounds read off a chart ([`World::charted`]); the odds that are shown have them integrated. Both
//! foresee whether the object ball drops ([`Plan::foreseeing`]).

use longrail_math::Vec2;
use longrail_physics::table::Pocket;
use longrail_physics::{Ball, Engine, Layout, World};

use crate::error::StrokeError;
use crate::goal::{Goal, Plan};
use crate::nodes::Nodes;
use crate::odds::{Odds, Setting};
use crate::player::Player;
use crate::solve::{Intent, Sieve, eased};

/// Positions along the table, and across.
pub const ALONG: usize = 33;
/// Positions across the table.
pub const ACROSS: usize = 17;

/// Steps between positions of each level, in quarter diamonds.
const LEVELS: [usize; 3] = [4, 2, 1];

/// Looks at the positions after each level: at all of them, and then at those next to one that the last look bettered.
const LOOKS: usize = 3;

/// Runs independent jobs, on as many threads as it likes. The core itself has none.
pub trait Executor {
    /// Calls `job` with each number below `count`, and returns what it returned in that order; `None` for jobs that were not
    /// begun because the work was called off meanwhile. A job takes some hundredths of a second at most.
    fn run<T: Send>(&self, count: usize, job: &(dyn Fn(usize) -> T + Sync)) -> Vec<Option<T>>;
}

/// One after the other.
#[derive(Clone, Copy, Debug, Default)]
pub struct OneByOne;

impl Executor for OneByOne {
    fn run<T: Send>(&self, count: usize, job: &(dyn Fn(usize) -> T + Sync)) -> Vec<Option<T>> {
        (0..count).map(|k| Some(job(k))).collect()
    }
}

/// What is asked.
#[derive(Clone, Copy, Debug)]
pub struct Question<'a> {
    /// Table and conditions.
    pub world: &'a World,
    /// The balls; where the one that moves lies does not matter.
    pub balls: &'a [Ball],
    /// Name of the ball that moves.
    pub moves: &'a str,
    /// What counts as made.
    pub goal: &'a Goal,
    /// The player.
    pub player: &'a Player,
    /// Nodes for the odds that are shown.
    pub nodes: &'a Nodes,
}

/// One position.
#[derive(Clone, Debug)]
pub struct Cell {
    /// Where the ball is, in metres.
    pub position: Vec2,
    /// The odds with the hit solved here; none where no hit makes the goal.
    pub odds: Option<Odds>,
    /// Hits of different kinds, best first: the neighbours may need another than this place.
    intents: Vec<Intent>,
    /// The goal made ready for this place, with what is foreseen.
    plan: Plan,
}

impl Cell {
    /// The chance; 0 where no hit makes the goal.
    pub fn made(&self) -> f64 {
        self.odds.map_or(0.0, |odds| odds.made)
    }

    /// What is intended here, if anything makes the goal.
    pub fn intent(&self) -> Option<&Intent> {
        self.intents.first().filter(|intent| intent.makes_it())
    }
}

/// What is known of one position.
#[derive(Clone, Debug)]
enum Known {
    NotYet,
    NoRoom,
    Cell(Box<Cell>),
}

/// Odds at every position, as far as they were computed.
#[derive(Clone, Debug)]
pub struct Grid {
    cells: Vec<Known>,
    /// Which of them the next look has not seen yet: all after a level's own pass, and then those that the last look bettered.
    fresh: Vec<bool>,
    /// Distance between the positions of the level at hand, in quarter diamonds.
    step: usize,
    called_off: bool,
}

impl Grid {
    /// The position `along` (0 to 32) and `across` (0 to 16) quarter diamonds; `None` where the ball cannot lie, or where
    /// nothing was computed ([`Self::is_known`]).
    pub fn cell(&self, along: usize, across: usize) -> Option<&Cell> {
        match self.cells.get(across * ALONG + along) {
            Some(Known::Cell(cell)) => Some(cell),
            _ => None,
        }
    }

    /// Whether this position was computed.
    pub fn is_known(&self, along: usize, across: usize) -> bool {
        !matches!(self.cells.get(across * ALONG + along), None | Some(Known::NotYet))
    }

    /// Distance between positions, in quarter diamonds: that of the last level that was begun.
    pub fn step(&self) -> usize {
        self.step
    }

    /// Whether the work was called off in the middle of a level.
    pub fn is_called_off(&self) -> bool {
        self.called_off
    }
}

/// Jobs that an executor is given in all, for positions `step` quarter diamonds apart.
pub fn jobs(step: usize) -> usize {
    let levels = || LEVELS.into_iter().filter(|level| *level >= step);
    let new: usize = levels().enumerate().map(|(k, level)| places(level, k == 0).len()).sum();
    new + LOOKS * levels().map(|level| places(level, true).len()).sum::<usize>()
}

/// What all positions are solved with.
struct Means {
    /// Place of the ball that moves among the balls.
    moves: usize,
    /// The world in which hits are chosen, and the player for whom they are.
    rough: World,
    unbiased: Player,
    sieve: Sieve,
    /// What is foreseen of an object ball that does not move.
    foresees: Option<Plan>,
}

impl Question<'_> {
    /// Computes the grid, coarse positions first. After each level `report` is shown what is there; it says whether to go on.
    /// Where the executor calls the work off within a level, what is done is returned at once.
    ///
    /// # Errors
    /// What is wrong with the question: no such ball, an empty goal, a number out of range.
    pub fn grid(
        &self,
        executor: &impl Executor,
        report: &mut dyn FnMut(&Grid) -> bool,
    ) -> Result<Grid, StrokeError> {
        self.player.check()?;
        let moves = self.balls.iter().position(|ball| ball.id == self.moves).ok_or_else(|| {
            StrokeError::NoSuchBall {
                name: self.moves.to_owned(),
                known: self.balls.iter().map(|ball| ball.id.as_str()).collect::<Vec<_>>().join(", "),
            }
        })?;
        let means = Means {
            moves,
            rough: eased(self.world)?.charted(self.balls[moves].radius_m)?,
            unbiased: self.player.unbiased(),
            sieve: Sieve::default(),
            foresees: self.foresees()?,
        };
        let mut grid = Grid {
            cells: vec![Known::NotYet; ALONG * ACROSS],
            fresh: vec![false; ALONG * ACROSS],
            step: LEVELS[0],
            called_off: false,
        };
        for (level, step) in LEVELS.into_iter().enumerate() {
            let new = places(step, level == 0);
            let jobs = |k: usize| self.at(&means, new[k], &around(&grid, new[k], 2 * step), level > 0);
            let solved = executor.run(new.len(), &jobs);
            grid.take(step, &new, solved)?;
            let all = places(step, true);
            grid.fresh.fill(true);
            for _ in 0..LOOKS {
                let jobs = |k: usize| self.again(&means, all[k], &grid);
                let solved = if grid.called_off { Vec::new() } else { executor.run(all.len(), &jobs) };
                grid.take(step, &all, solved)?;
            }
            if grid.called_off || !report(&grid) {
                break;
            }
        }
        Ok(grid)
    }

    /// What is foreseen of the object ball, if it is not the one that moves: the same at all places.
    fn foresees(&self) -> Result<Option<Plan>, StrokeError> {
        let Ok(layout) = Layout::new(self.world, self.balls) else { return Ok(None) };
        let plan = self.goal.plan(self.world, &layout)?;
        if plan.object.is_none_or(|object| layout.id(object) == self.moves) {
            return Ok(None);
        }
        plan.foreseeing(None, self.world, &layout, &mut Engine::new()).map(Some)
    }

    /// The position of a place, in metres: on the rim frozen to the rail.
    fn position(&self, ball: &Ball, (along, across): (usize, usize)) -> Result<Vec2, StrokeError> {
        let spec = self.world.table().spec();
        let reach = self.world.reach_m(ball.radius_m)?;
        // Small whole numbers.
        #[allow(clippy::cast_precision_loss)]
        let share = |k: usize, of: usize| k as f64 / (of - 1) as f64;
        let x = (share(along, ALONG) * spec.length_m).clamp(reach, spec.length_m - reach);
        let y = (share(across, ACROSS) * spec.width_m).clamp(reach, spec.width_m - reach);
        Ok(Vec2::new(x, y))
    }

    /// Calls `ask` with the ball that moves at `position`; `None` if it cannot lie there. `known` is a plan that foresees what
    /// becomes of the object ball where it lies, if there is one.
    fn with_ball_at<T>(
        &self,
        known: Option<&Plan>,
        means: &Means,
        position: Vec2,
        ask: impl FnOnce(&Setting<'_>, &mut Engine) -> Result<T, StrokeError>,
    ) -> Result<Option<T>, StrokeError> {
        let mut balls = self.balls.to_vec();
        balls[means.moves].position = position;
        let Ok(layout) = Layout::new(self.world, &balls) else { return Ok(None) };
        let (plan, mut engine) = (self.goal.plan(self.world, &layout)?, Engine::new());
        let plan = plan.foreseeing(known, self.world, &layout, &mut engine)?;
        let setting = Setting { world: self.world, layout: &layout, player: self.player, plan: &plan };
        ask(&setting, &mut engine).map(Some)
    }

    /// One position, with what is intended around it; `near` if that is not far.
    fn at(
        &self,
        means: &Means,
        place: (usize, usize),
        around: &[Intent],
        near: bool,
    ) -> Result<Known, StrokeError> {
        let position = self.position(&self.balls[means.moves], place)?;
        // The corners of the grid lie between the jaws of the pockets.
        let in_jaws = |pocket: &Pocket| (position - pocket.mouth).dot(pocket.axis) > 0.0;
        if self.world.table().pockets().iter().any(in_jaws) {
            return Ok(Known::NoRoom);
        }
        let cell = self.with_ball_at(means.foresees.as_ref(), means, position, |setting, engine| {
            let search = Setting { world: &means.rough, player: &means.unbiased, ..*setting };
            let intents = search.hits_at(engine, &means.sieve, around, near)?;
            self.cell(setting, engine, position, intents)
        })?;
        Ok(cell.map_or(Known::NoRoom, |cell| Known::Cell(Box::new(cell))))
    }

    /// A position that is known already, if a hit of the fresh ones next to it is better there than its own.
    fn again(&self, means: &Means, place: (usize, usize), grid: &Grid) -> Result<Known, StrokeError> {
        let Some(cell) = grid.cell(place.0, place.1) else { return Ok(Known::NotYet) };
        let beside = beside(grid, place);
        if beside.is_empty() {
            return Ok(Known::NotYet);
        }
        let better = self.with_ball_at(Some(&cell.plan), means, cell.position, |setting, engine| {
            let search = Setting { world: &means.rough, player: &means.unbiased, ..*setting };
            let better = search.better_hits(engine, &means.sieve, &cell.intents, &beside)?;
            better.map(|intents| self.cell(setting, engine, cell.position, intents)).transpose()
        })?;
        Ok(better.flatten().map_or(Known::NotYet, |cell| Known::Cell(Box::new(cell))))
    }

    /// A cell with the odds of what is intended there.
    fn cell(
        &self,
        setting: &Setting<'_>,
        engine: &mut Engine,
        position: Vec2,
        intents: Vec<Intent>,
    ) -> Result<Cell, StrokeError> {
        let mut cell = Cell { position, odds: None, intents, plan: setting.plan.clone() };
        if let Some(intent) = cell.intent() {
            cell.odds = Some(setting.odds(engine, intent.hit(), self.nodes)?);
        }
        Ok(cell)
    }
}

impl Grid {
    /// Whether the next look has not seen this position yet.
    fn is_fresh(&self, along: usize, across: usize) -> bool {
        self.fresh.get(across * ALONG + along) == Some(&true)
    }

    /// Takes what was found out about `places`.
    fn take(
        &mut self,
        step: usize,
        places: &[(usize, usize)],
        solved: Vec<Option<Result<Known, StrokeError>>>,
    ) -> Result<(), StrokeError> {
        self.fresh.fill(false);
        for (&(along, across), known) in places.iter().zip(solved) {
            match known.transpose()? {
                None => self.called_off = true,
                Some(Known::NotYet) => {}
                Some(known) => {
                    self.step = step;
                    self.cells[across * ALONG + along] = known;
                    self.fresh[across * ALONG + along] = true;
                }
            }
        }
        Ok(())
    }
}

/// Places of a level: multiples of `step` that are not multiples of twice that, or all of them on the first level.
fn places(step: usize, first: bool) -> Vec<(usize, usize)> {
    let mut places = Vec::new();
    for across in (0..ACROSS).step_by(step) {
        for along in (0..ALONG).step_by(step) {
            if first || along % (2 * step) != 0 || across % (2 * step) != 0 {
                places.push((along, across));
            }
        }
    }
    places
}

/// What is intended at the places of coarser levels around `place`, of which there are at most four.
fn around(grid: &Grid, (along, across): (usize, usize), coarse: usize) -> Vec<Intent> {
    let sides = |k: usize, most: usize| {
        let low = k / coarse * coarse;
        let high = if low == k { low } else { (low + coarse).min(most - 1) };
        [low, high]
    };
    let mut found = Vec::new();
    let (alongs, acrosses) = (sides(along, ALONG), sides(across, ACROSS));
    for (i, &a) in alongs.iter().enumerate() {
        for (j, &b) in acrosses.iter().enumerate() {
            let twice = (i == 1 && alongs[0] == alongs[1]) || (j == 1 && acrosses[0] == acrosses[1]);
            if !twice {
                found.extend(grid.cell(a, b).into_iter().flat_map(|cell| Intent::shares(&cell.intents)));
            }
        }
    }
    found
}

/// What is intended at the fresh places next to `place` in the level at hand, of which there are at most eight.
fn beside(grid: &Grid, (along, across): (usize, usize)) -> Vec<Intent> {
    let sides = |k: usize| [k.checked_sub(grid.step), Some(k), Some(k + grid.step)].into_iter().flatten();
    let mut found = Vec::new();
    for (a, b) in sides(across).flat_map(|b| sides(along).map(move |a| (a, b))) {
        if (a, b) != (along, across) && a < ALONG && grid.is_fresh(a, b) {
            found.extend(grid.cell(a, b).into_iter().flat_map(|cell| Intent::shares(&cell.intents)));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_levels_hold_every_place_once() {
        let mut all: Vec<(usize, usize)> =
            LEVELS.into_iter().enumerate().flat_map(|(level, step)| places(step, level == 0)).collect();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), ALONG * ACROSS);
        let count: usize =
            LEVELS.into_iter().enumerate().map(|(level, step)| places(step, level == 0).len()).sum();
        assert_eq!(count, ALONG * ACROSS);
        // Each is looked at thrice more after its own level and after every finer one.
        assert_eq!((jobs(4), jobs(1)), (4 * 9 * 5, 4 * 33 * 17 + 3 * (17 * 9 + 9 * 5)));
    }
}
