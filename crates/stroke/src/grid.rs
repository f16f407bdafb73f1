//! Odds over positions of one ball: "from where am I a favourite?".
//!
//! The positions are the quarter diamonds, 33 along and 17 across; those on the rim mean frozen to the rail. The hit is
//! solved at each, first at the whole diamonds, then at the halves and the quarters with the hits of the neighbours that are
//! known already to help. Positions of one level do not depend on each other, so they may be computed in any
//! order and on any number of threads, and the bits are the same.

use longrail_math::Vec2;
use longrail_physics::table::Pocket;
use longrail_physics::{Ball, Engine, Layout, World};

use crate::error::StrokeError;
use crate::goal::Goal;
use crate::nodes::Nodes;
use crate::odds::{Odds, Setting};
use crate::player::Player;
use crate::solve::{Intent, eased};

/// Positions along the table, and across.
pub const ALONG: usize = 33;
/// Positions across the table.
pub const ACROSS: usize = 17;

/// Steps between positions of each level, in quarter diamonds.
const LEVELS: [usize; 3] = [4, 2, 1];

/// Runs independent jobs, on as many threads as it likes. The core itself has none.
pub trait Executor {
    /// Calls `job` with each number below `count`, and returns what it returned in that order.
    fn run<T: Send>(&self, count: usize, job: &(dyn Fn(usize) -> T + Sync)) -> Vec<T>;
}

/// One after the other.
#[derive(Clone, Copy, Debug, Default)]
pub struct OneByOne;

impl Executor for OneByOne {
    fn run<T: Send>(&self, count: usize, job: &(dyn Fn(usize) -> T + Sync)) -> Vec<T> {
        (0..count).map(job).collect()
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

/// Odds at every position; `None` where the ball cannot lie, or where it was not computed yet.
#[derive(Clone, Debug)]
pub struct Grid {
    cells: Vec<Option<Cell>>,
}

impl Grid {
    /// The position `along` (0 to 32) and `across` (0 to 16) quarter diamonds.
    pub fn cell(&self, along: usize, across: usize) -> Option<&Cell> {
        self.cells.get(across * ALONG + along).and_then(Option::as_ref)
    }
}

impl Question<'_> {
    /// Computes the grid, coarse positions first. After each level `report` is shown what is there; it says whether to go on.
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
        let mut grid = Grid { cells: vec![None; ALONG * ACROSS] };
        for (level, step) in LEVELS.into_iter().enumerate() {
            let places = places(step, level == 0);
            let jobs =
                |k: usize| self.at(moves, places[k], &neighbours(&grid, places[k], 2 * step), step == 1);
            let solved = executor.run(places.len(), &jobs);
            for (&(along, across), cell) in places.iter().zip(solved) {
                grid.cells[across * ALONG + along] = cell?;
            }
            if !report(&grid) {
                break;
            }
        }
        Ok(grid)
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

    /// One position; `None` if the ball cannot lie there.
    fn at(
        &self,
        moves: usize,
        place: (usize, usize),
        neighbours: &[Intent],
        near: bool,
    ) -> Result<Option<Cell>, StrokeError> {
        let position = self.position(&self.balls[moves], place)?;
        let mut balls = self.balls.to_vec();
        balls[moves].position = position;
        // The corners of the grid lie between the jaws of the pockets.
        let in_jaws = |pocket: &Pocket| (position - pocket.mouth).dot(pocket.axis) > 0.0;
        if self.world.table().pockets().iter().any(in_jaws) {
            return Ok(None);
        }
        let Ok(layout) = Layout::new(self.world, &balls) else { return Ok(None) };
        let plan = self.goal.plan(self.world, &layout)?;
        let setting = Setting { world: self.world, layout: &layout, player: self.player, plan: &plan };
        let mut engine = Engine::new();
        let world = eased(self.world)?;
        let search = Setting { world: &world, ..setting };
        let intents = search.quick_hits(&mut engine, neighbours, near)?;
        let mut cell = Cell { position, odds: None, intents };
        if let Some(intent) = cell.intent() {
            cell.odds = Some(setting.odds(&mut engine, intent.hit(), self.nodes)?);
        }
        Ok(Some(cell))
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
fn neighbours(grid: &Grid, (along, across): (usize, usize), coarse: usize) -> Vec<Intent> {
    let around = |k: usize, most: usize| {
        let low = k / coarse * coarse;
        let high = if low == k { low } else { (low + coarse).min(most - 1) };
        [low, high]
    };
    let mut found = Vec::new();
    let (alongs, acrosses) = (around(along, ALONG), around(across, ACROSS));
    for (i, &a) in alongs.iter().enumerate() {
        for (j, &b) in acrosses.iter().enumerate() {
            let twice = (i == 1 && alongs[0] == alongs[1]) || (j == 1 && acrosses[0] == acrosses[1]);
            if !twice {
                found.extend(grid.cell(a, b).into_iter().flat_map(|cell| cell.intents.iter().copied()));
            }
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
    }
}
