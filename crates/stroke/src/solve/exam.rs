//! The chance of a hit with nodes that all hits compared share.

use longrail_physics::Engine;

use super::Candidate;
use crate::error::StrokeError;
use crate::nodes::{Node, Nodes};
use crate::odds::{Setting, scattered};
use crate::whole;

/// After so many nodes, and each time as many more, an exam is ended that can hardly be passed any more: where the share that
/// makes it is so many standard errors too low.
const PART: usize = 16;
const HARDLY: f64 = 1.5;

/// A candidate after an exam, and with which errors each of its shots was played and whether it made the goal: a climb may go
/// on from them.
#[derive(Clone)]
pub(super) struct Examined {
    pub(super) one: Candidate,
    pub(super) shots: Vec<(Node, bool)>,
}

impl AsRef<Candidate> for Examined {
    fn as_ref(&self) -> &Candidate {
        &self.one
    }
}

impl Setting<'_> {
    /// The candidate with its chance by `nodes`, lapses left out, for a score. Scores by different nodes must not be
    /// compared. One that makes it with no node keeps what it lacks, or a score next to nothing if it lacks nothing.
    pub(super) fn examined(
        &self,
        engine: &mut Engine,
        candidate: &Candidate,
        nodes: &Nodes,
    ) -> Result<Candidate, StrokeError> {
        Ok(self.examined_for(engine, candidate, nodes, 0.0)?.one)
    }

    /// As [`Self::examined`] where a chance below `least` will not do: the exam ends, with the chance so far, as soon as it can
    /// hardly be reached.
    pub(super) fn examined_for(
        &self,
        engine: &mut Engine,
        candidate: &Candidate,
        nodes: &Nodes,
        least: f64,
    ) -> Result<Examined, StrokeError> {
        let stroke = self.stroke(&candidate.hit);
        let axes = self.axes(engine, &candidate.hit, &stroke)?;
        let (mut made, mut shots) = (0_usize, Vec::with_capacity(nodes.all().len()));
        for part in nodes.all().chunks(PART) {
            for node in part {
                let errors = axes.errors(node);
                let makes = self.play(engine, &scattered(&candidate.hit, &stroke, &errors))?.made();
                made += usize::from(makes);
                shots.push((errors, makes));
            }
            // One more than there are, so that none at all has an error as well.
            let most = whole(made + 1) + HARDLY * whole(made + 1).sqrt();
            if most < least * whole(shots.len()) {
                break;
            }
        }
        if made > 0 {
            let score = whole(made) / whole(shots.len());
            return Ok(Examined { one: Candidate { score, ..*candidate }, shots });
        }
        let plain = self.as_intended(engine, &candidate.hit, candidate.sight)?;
        let score = if plain.score == 0.0 { 1e-6 } else { plain.score };
        Ok(Examined { one: Candidate { score, ..plain }, shots })
    }
}
