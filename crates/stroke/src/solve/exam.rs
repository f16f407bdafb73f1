//! The chance of a hit with nodes that all hits compared share.

use longrail_physics::Engine;

use super::Candidate;
use crate::error::StrokeError;
use crate::nodes::Nodes;
use crate::odds::{Category, Setting};

impl Setting<'_> {
    /// The candidate with its chance by `nodes`, lapses left out, for a score. Scores by different nodes must not be
    /// compared. One that makes it with no node keeps what it lacks, or a score next to nothing if it lacks nothing.
    pub(super) fn examined(
        &self,
        engine: &mut Engine,
        candidate: &Candidate,
        nodes: &Nodes,
    ) -> Result<Candidate, StrokeError> {
        let score = self.odds(engine, &candidate.hit, nodes)?.share(Category::Made);
        if score > 0.0 {
            return Ok(Candidate { score, ..*candidate });
        }
        let plain = self.as_intended(engine, &candidate.hit, candidate.sight)?;
        Ok(Candidate { score: if plain.score == 0.0 { 1e-6 } else { plain.score }, ..plain })
    }
}
