//! From the hits of neighbouring layouts to those of this one: nearly the same, so a short search will do.

use longrail_physics::Engine;

use super::refine::Fineness;
use super::{Candidate, kinds};
use crate::Hit;
use crate::error::StrokeError;
use crate::nodes::Nodes;
use crate::odds::Setting;

/// What a player intends, in a form that carries over to a neighbouring layout: speed and tip, and where the object ball
/// is sent rather than the direction itself.
#[derive(Clone, Copy, Debug)]
pub struct Intent(pub(super) Candidate);

impl Intent {
    /// The hit on the layout for which it was found.
    pub fn hit(&self) -> &Hit {
        &self.0.hit
    }

    /// Whether it makes the goal as intended.
    pub fn makes_it(&self) -> bool {
        self.0.score > 0.0
    }
}

/// Hits from nothing that are tried, hits that are refined, and hits that are kept.
const FRESH: usize = 4;
const REFINED: usize = 3;
const KEPT: usize = 3;

impl Setting<'_> {
    /// Good hits that lie apart, best first: from nothing, and out of those of neighbouring layouts; less thorough than
    /// [`Self::best_hits`], and many times quicker. None if nothing reaches the ball.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn quick_hits(&self, engine: &mut Engine, neighbours: &[Intent]) -> Result<Vec<Intent>, StrokeError> {
        let rough = Fineness::rough();
        let mut tried = Vec::new();
        for candidate in kinds::best_apart(&self.coarse(engine)?, FRESH) {
            tried.push(self.rescored(engine, &candidate, rough.nodes())?);
        }
        tried.extend(self.carried_over(engine, neighbours, rough.nodes())?);
        let refined = self.all_refined(engine, &kinds::best_apart(&tried, REFINED), &rough)?;
        self.kept(engine, &refined)
    }

    /// The hits that grow out of those of neighbouring layouts alone, best first; quicker still.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn followed(&self, engine: &mut Engine, neighbours: &[Intent]) -> Result<Vec<Intent>, StrokeError> {
        let tried = self.carried_over(engine, neighbours, Fineness::rough().nodes())?;
        self.kept(engine, &tried)
    }

    /// The neighbours' hits on this layout, of those that can be played.
    fn carried_over(
        &self,
        engine: &mut Engine,
        neighbours: &[Intent],
        nodes: &Nodes,
    ) -> Result<Vec<Candidate>, StrokeError> {
        let mut carried = Vec::new();
        for Intent(Candidate { hit, sight, .. }) in neighbours {
            let level = Hit { elevation_deg: 0.0, ..*hit };
            let here = match sight {
                Some(sight) => self.sighted(engine, &level, *sight)?,
                None => self.reachable(&level),
            };
            if let Some(here) = here {
                carried.extend(self.candidate(engine, &here, *sight, nodes, f64::NEG_INFINITY)?);
            }
        }
        Ok(carried)
    }

    /// The best of `candidates` that lie apart, refined.
    fn kept(&self, engine: &mut Engine, candidates: &[Candidate]) -> Result<Vec<Intent>, StrokeError> {
        let kept = self.all_refined(engine, &kinds::best_apart(candidates, KEPT), &Fineness::follow())?;
        Ok(kinds::best_apart(&kept, KEPT).into_iter().map(Intent).collect())
    }

    fn all_refined(
        &self,
        engine: &mut Engine,
        candidates: &[Candidate],
        fineness: &Fineness,
    ) -> Result<Vec<Candidate>, StrokeError> {
        candidates.iter().map(|candidate| self.refined(engine, candidate, fineness)).collect()
    }
}
