//! From the hits of neighbouring layouts to those of this one: nearly the same, so a short search will do.

use longrail_physics::Engine;

use super::refine::Fineness;
use super::{Candidate, Kind, kinds};
use crate::Hit;
use crate::error::StrokeError;
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
        let (rough, follow) = (Fineness::rough(), Fineness::follow());
        let mut tried = Vec::new();
        for candidate in kinds::best_apart(&self.coarse(engine)?, FRESH) {
            // Scored with the nodes with which the others are.
            if let Some(score) = self.score(engine, &candidate.hit, rough.nodes(), f64::NEG_INFINITY)? {
                tried.push(Candidate { score, ..candidate });
            }
        }
        for Intent(neighbour) in neighbours {
            tried.extend(self.carried_over(engine, neighbour, &rough)?);
        }
        let refined = self.all_refined(engine, &kinds::best_apart(&tried, REFINED), &rough)?;
        let kept = self.all_refined(engine, &kinds::best_apart(&refined, KEPT), &follow)?;
        Ok(kinds::best_apart(&kept, KEPT).into_iter().map(Intent).collect())
    }

    /// The hits that grow out of those of neighbouring layouts alone, best first; quicker still.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn followed(&self, engine: &mut Engine, neighbours: &[Intent]) -> Result<Vec<Intent>, StrokeError> {
        let (rough, follow) = (Fineness::rough(), Fineness::follow());
        let mut tried = Vec::new();
        for Intent(neighbour) in neighbours {
            tried.extend(self.carried_over(engine, neighbour, &rough)?);
        }
        let kept = self.all_refined(engine, &kinds::best_apart(&tried, KEPT), &follow)?;
        Ok(kinds::best_apart(&kept, KEPT).into_iter().map(Intent).collect())
    }

    /// A neighbour's hit on this layout, if it can be played.
    fn carried_over(
        &self,
        engine: &mut Engine,
        neighbour: &Candidate,
        fineness: &Fineness,
    ) -> Result<Option<Candidate>, StrokeError> {
        let level = Hit { elevation_deg: 0.0, ..neighbour.hit };
        let hit = match neighbour.sight {
            Some(sight) => self.sighted(engine, &level, sight)?,
            None => self.reachable(&level),
        };
        let Some(hit) = hit else { return Ok(None) };
        let Some(score) = self.score(engine, &hit, fineness.nodes(), f64::NEG_INFINITY)? else {
            return Ok(None);
        };
        let kind = Kind::of(&hit, self.lacking(engine, &hit)?.rails);
        Ok(Some(Candidate { hit, kind, score, ..*neighbour }))
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
