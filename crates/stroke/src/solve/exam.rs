//! The chance of a hit with nodes that all hits compared share.

use longrail_physics::Engine;

use super::Candidate;
use crate::error::StrokeError;
use crate::nodes::Nodes;
use crate::odds::{Setting, scattered};

impl Setting<'_> {
    /// The candidate with its chance by `nodes` for a score, if that is above `beat`. Scores by different nodes must not be
    /// compared. One that makes it with no node keeps what it lacks, or a score next to nothing if it lacks nothing.
    pub(super) fn examined(
        &self,
        engine: &mut Engine,
        candidate: &Candidate,
        nodes: &Nodes,
        beat: f64,
    ) -> Result<Option<Candidate>, StrokeError> {
        let stroke = self.stroke(&candidate.hit);
        let axes = self.axes(engine, &candidate.hit, &stroke)?;
        let (mut made, mut left) = (0_u32, nodes.all().len());
        // Nodes in their hundreds.
        #[allow(clippy::cast_precision_loss)]
        let share = |made: u32, left: usize| (f64::from(made) + left as f64) / nodes.all().len() as f64;
        for node in nodes.all() {
            made +=
                u32::from(self.play(engine, &scattered(&candidate.hit, &stroke, &axes.errors(node)))?.made());
            left -= 1;
            // Not even if all that are left were made.
            if share(made, left) <= beat {
                return Ok(None);
            }
        }
        if made > 0 {
            return Ok(Some(Candidate { score: share(made, 0), ..*candidate }));
        }
        let plain = self.as_intended(engine, &candidate.hit, candidate.sight)?;
        Ok(Some(Candidate { score: if plain.score == 0.0 { 1e-6 } else { plain.score }, ..plain }))
    }
}
