//! From the hits of neighbouring layouts to those of this one: nearly the same, so a short search will do.

use longrail_physics::Engine;

use super::climb::Climb;
use super::kinds::Alike;
use super::{Beginning, Candidate, kinds};
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

    /// The hits of one place with their chances as shares of the best one's: hits of places with other chances are compared by
    /// how good they are where they were found.
    pub(crate) fn shares(hits: &[Self]) -> impl Iterator<Item = Self> {
        let best = hits.first().filter(|first| first.makes_it()).map_or(1.0, |Self(first)| first.score);
        hits.iter().map(move |&Self(hit)| Self(Candidate { score: hit.score / best, ..hit }))
    }

    /// Whether it makes the goal now and then.
    pub fn makes_it(&self) -> bool {
        self.0.score > 0.0
    }
}

/// Hits from nothing that climb; hits of neighbours that are tried, hits that are kept, and of those the ones that climb on.
const FRESH: Beginning = Beginning { speeds: 20, most: 8, alike: Alike::IN_REACH };
const CARRIED: usize = 4;
const KEPT: usize = 3;
const ON: usize = 2;

/// Nodes by which hits are chosen, before and after a climb: what a climb says of its own summit flatters.
const FEW: u32 = 64;
const MORE: u32 = 256;

impl Setting<'_> {
    /// Good hits that lie apart, best first: from nothing, and out of those of neighbouring layouts; less thorough than
    /// [`Self::best_hits`], and many times quicker. None if nothing reaches the ball.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn quick_hits(&self, engine: &mut Engine, neighbours: &[Intent]) -> Result<Vec<Intent>, StrokeError> {
        let mut tried = self.afresh(engine, FRESH)?;
        tried.extend(self.carried_over(engine, neighbours, CARRIED, Alike::IN_REACH)?);
        self.kept(engine, &tried)
    }

    /// The hits that grow out of those of neighbouring layouts alone, best first; quicker still.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn followed(&self, engine: &mut Engine, neighbours: &[Intent]) -> Result<Vec<Intent>, StrokeError> {
        let tried = self.carried_over(engine, neighbours, CARRIED, Alike::IN_REACH)?;
        self.kept(engine, &tried)
    }

    /// The neighbours' hits on this layout: of those that are not `alike` the best `most`, as far as they can be played.
    pub(super) fn carried_over(
        &self,
        engine: &mut Engine,
        neighbours: &[Intent],
        most: usize,
        alike: Alike,
    ) -> Result<Vec<Candidate>, StrokeError> {
        let theirs: Vec<Candidate> = neighbours.iter().map(|Intent(candidate)| *candidate).collect();
        let mut carried = Vec::new();
        for Candidate { hit, sight, .. } in kinds::best_unlike(&theirs, most, |a, b| alike.holds(a, b)) {
            let level = Hit { elevation_deg: 0.0, ..hit };
            if let Some(here) = self.sighted_or_reachable(engine, &level, sight)? {
                carried.push(self.as_intended(engine, &here, sight)?);
            }
        }
        Ok(carried)
    }

    /// The best of `candidates` that lie apart, the first of them after a climb.
    fn kept(&self, engine: &mut Engine, candidates: &[Candidate]) -> Result<Vec<Intent>, StrokeError> {
        let (few, more, onwards) = (Nodes::sobol(1, FEW, 4), Nodes::sobol(1, MORE, 6), Climb::onwards());
        let mut judged = Vec::new();
        for candidate in candidates {
            judged.push(self.examined(engine, candidate, &few)?);
        }
        let mut kept = Vec::new();
        for (rank, start) in kinds::best_apart(&judged, KEPT).into_iter().enumerate() {
            let top = if rank < ON { self.climbed(engine, &start, &onwards)? } else { start };
            kept.push(self.examined(engine, &top, &more)?);
        }
        let mut kept = kinds::best_apart(&kept, KEPT);
        if let Some(best) = kept.first_mut() {
            *best = self.climbed(engine, best, &Climb::fine())?;
        }
        Ok(kept.into_iter().map(Intent).collect())
    }
}
