//! The right hit: direction, speed and tip with the best odds, for a goal and a stroke.
//!
//! 1. Coarse: hits over the player's range of speed and tip, with the direction solved where a ball is to be potted
//!    straight in (`aim`, `lattice`), or spread over the ball or the circle otherwise (`range`).
//! 2. The best that lie apart are brought nearer to the goal while they fail it (`approach`), and climb to the best hits
//!    around them (`climb`); the best of these climb again, over more shots.
//! 3. An exam with nodes that none of them was sought with (`exam`) chooses the best of each kind; these get their odds
//!    and windows.
//!
//! Where neighbouring layouts are solved as well, their hits help: along a row of them (`follow`), and over a map (`place`).
//!
//! Bias is left out of the search: the hit is the one a player should intend, not one that makes up for a fault.

mod aim;
mod approach;
mod climb;
mod exam;
mod follow;
mod kinds;
mod lattice;
mod place;
mod range;

use aim::Sight;
use climb::Climb;
pub use follow::Intent;
use kinds::Alike;
pub use kinds::Kind;
pub use place::Sieve;

use longrail_math::order;
use longrail_physics::{Engine, World};

use crate::Hit;
use crate::error::StrokeError;
use crate::nodes::Nodes;
use crate::odds::{Odds, Setting};
use crate::windows::Windows;

/// A hit that makes the goal.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// What to intend.
    pub hit: Hit,
    /// What kind of hit it is.
    pub kind: Kind,
    /// Its odds with the player's whole stroke.
    pub odds: Odds,
    /// How far it may stray.
    pub windows: Windows,
}

/// A hit and how good it is: its odds with a few nodes, or, if it fails even as intended, how much it lacks, negative.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Candidate {
    hit: Hit,
    /// Where it sends the object ball, if it is aimed so.
    sight: Option<Sight>,
    kind: Kind,
    score: f64,
}

impl AsRef<Self> for Candidate {
    fn as_ref(&self) -> &Self {
        self
    }
}

/// How a search from nothing begins.
#[derive(Clone, Copy)]
struct Beginning {
    /// Speeds of the lattice.
    speeds: usize,
    /// Hits that go on from there, no two of them alike.
    most: usize,
    alike: Alike,
}

impl Beginning {
    fn of(self, coarse: &[Candidate]) -> Vec<Candidate> {
        kinds::best_unlike(coarse, self.most, |a, b| self.alike.holds(a, b))
    }
}

/// Hits that climb roughly, of those the ones that climb finely, and of those the ones that climb to the end; more if
/// more are asked for.
const ROUGH: Beginning = Beginning { speeds: 28, most: 36, alike: Alike::NEAR };
const FINE: usize = 14;
const LAST: usize = 6;

/// Error of a rebound that a search bears: some millimetres.
const REBOUND_TOLERANCE: f64 = 1e-3;

/// The same world with rebounds as exact as a search needs them.
///
/// # Errors
/// None that the world itself does not have.
pub fn eased(world: &World) -> Result<World, StrokeError> {
    let mut conditions = *world.conditions();
    conditions.cushion.tolerance = conditions.cushion.tolerance.max(REBOUND_TOLERANCE);
    Ok(World::new(world.table().clone(), conditions)?)
}

impl Setting<'_> {
    /// The best hits for this goal, best first, at most `most`, no two of a kind; their odds are worked out with `nodes`.
    ///
    /// # Errors
    /// [`StrokeError::OutOfReach`] with what fails and by how much, if no hit within the player's limits makes the goal.
    pub fn best_hits(
        &self,
        engine: &mut Engine,
        nodes: &Nodes,
        most: usize,
    ) -> Result<Vec<Found>, StrokeError> {
        let unbiased = self.player.unbiased();
        let world = eased(self.world)?;
        let plan = self.plan.foreseeing(None, &world, self.layout, engine)?;
        let search = Setting { player: &unbiased, world: &world, plan: &plan, ..*self };
        let tried = search.afresh(engine, ROUGH)?;
        // What a climb says of its own summit flatters: an exam by the same nodes for all ranks them.
        let (fine, nodes_for_fine) = (Climb::fine(), Nodes::sobol(1, 512, 6));
        let mut higher = Vec::new();
        for start in kinds::best_apart(&tried, FINE.max(most)) {
            let top = search.climbed(engine, &start, &fine)?;
            higher.push(search.examined(engine, &top, &nodes_for_fine)?);
        }
        let exact = Setting { player: &unbiased, plan: &plan, ..*self };
        let (last, nodes_for_last) = (Climb::last(), Nodes::sobol(1, 1024, 5));
        let mut best = Vec::new();
        for start in kinds::best_apart(&higher, LAST.max(most)) {
            let top = search.climbed(engine, &start, &last)?;
            best.push(exact.examined(engine, &top, &nodes_for_last)?);
        }
        let mut found = Vec::new();
        for candidate in
            kinds::best_of_each(&best, most).into_iter().filter(|candidate| candidate.score > 0.0)
        {
            let windows = self.windows(engine, &candidate.hit)?;
            let odds = self.odds(engine, &candidate.hit, nodes)?;
            found.push(Found { hit: candidate.hit, kind: candidate.kind, odds, windows });
        }
        if found.is_empty() {
            return Err(StrokeError::OutOfReach { why: search.lack(engine, &best)? });
        }
        order::sort_by(&mut found, |a, b| b.odds.made.total_cmp(&a.odds.made));
        Ok(found)
    }

    /// The coarse hits with which a search begins, brought nearer to the goal while they fail it, after a rough climb each.
    fn afresh(&self, engine: &mut Engine, begin: Beginning) -> Result<Vec<Candidate>, StrokeError> {
        let rough = Climb::rough();
        let mut tried = Vec::new();
        for start in begin.of(&self.coarse(engine, begin.speeds)?) {
            let near = if start.score < 0.0 { self.approached(engine, &start)? } else { start };
            tried.push(self.climbed(engine, &near, &rough)?);
        }
        Ok(tried)
    }

    /// What the best of `tried` lacks, in words.
    fn lack(&self, engine: &mut Engine, tried: &[Candidate]) -> Result<String, StrokeError> {
        let Some(best) = tried.iter().max_by(|a, b| a.score.total_cmp(&b.score)) else {
            return Ok("no direction reaches the ball, or no cue can be laid there".to_owned());
        };
        let hit = best.hit;
        let radius_mm = 1e3 * self.layout.balls()[self.plan.cue].radius_m;
        Ok(format!(
            "the nearest hit ({:.1} m/s, tip {:+.0} mm up, {:+.0} mm right) {}",
            hit.speed_mps,
            hit.tip_up * radius_mm,
            hit.tip_right * radius_mm,
            self.lacking(engine, &hit)?.words(self.plan, self.world)
        ))
    }
}
