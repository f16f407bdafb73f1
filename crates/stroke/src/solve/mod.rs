//! The right hit: direction, speed and tip with the best odds, for a goal and a stroke.
//!
//! 1. Coarse: hits over the player's range of speed and tip, with the direction solved where a ball is to be potted
//!    straight in (`aim`, `lattice`), or spread over the ball or the circle otherwise (`range`). Each is played as
//!    intended; what it lacks is measured ([`crate::goal`]), and where it lacks nothing, its odds are estimated.
//! 2. The best of each kind are refined by pattern searches (`refine`), fewer of them with more nodes each time. The nodes
//!    of a search are always the same, so that two hits differ by what they are and not by chance.
//! 3. The best few, which differ in kind, get their odds with all nodes, and their windows.
//!
//! Bias is left out of the search: the hit is the one a player should intend, not one that makes up for a fault.

mod aim;
mod follow;
mod kinds;
mod lattice;
mod range;
mod refine;

use aim::Sight;
pub use follow::Intent;
pub use kinds::Kind;
use refine::Fineness;

use longrail_physics::Engine;

use crate::Hit;
use crate::error::StrokeError;
use crate::nodes::Nodes;
use crate::odds::{Odds, Setting};
use crate::player::Player;
use crate::stroke::Stroke;
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

/// Kinds that are refined, roughly and then finely.
const ROUGH: usize = 12;
const FINE: usize = 6;
/// Hits whose search is taken up again at the end.
const AGAIN: usize = 1;

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
        let unbiased = Player { stroke: Stroke { aim_bias_deg: 0.0, ..self.player.stroke }, ..*self.player };
        let search = Setting { player: &unbiased, ..*self };
        let mut best = search.coarse(engine)?;
        for (keep, fineness) in
            [(ROUGH, Fineness::rough()), (FINE.max(most), Fineness::fine()), (most, Fineness::last())]
        {
            let chosen = kinds::best_apart(&best, keep);
            best.clear();
            for candidate in &chosen {
                best.push(search.refined(engine, candidate, &fineness)?);
            }
        }
        // Chosen with the nodes it was sought with, a hit looks better than it is: these are fresh, and many.
        let exam = Fineness::exam();
        for candidate in &mut best {
            *candidate = search.rescored(engine, candidate, exam.nodes())?;
        }
        for candidate in kinds::best_apart(&best, AGAIN) {
            best.push(search.refined(engine, &candidate, &exam)?);
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
        found.sort_by(|a, b| b.odds.made.total_cmp(&a.odds.made));
        Ok(found)
    }

    /// What the best of `tried` lacks, in words.
    fn lack(&self, engine: &mut Engine, tried: &[Candidate]) -> Result<String, StrokeError> {
        let Some(best) = tried.iter().max_by(|a, b| a.score.total_cmp(&b.score)) else {
            return Ok("no direction reaches the ball, or no cue can be laid there".to_owned());
        };
        let hit = best.hit;
        Ok(format!(
            "the nearest hit ({:.1} m/s, tip {:+.2} R up, {:+.2} R right) {}",
            hit.speed_mps,
            hit.tip_up,
            hit.tip_right,
            self.lacking(engine, &hit)?.words(self.plan, self.world)
        ))
    }
}
