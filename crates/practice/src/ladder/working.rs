//! Working a ladder out, a rung at a time, so that a phone may stop between two of them.
//!
//! First the hits, out along the ladder and back again, since each grows out of its neighbour's; then the surfaces, those first
//! that are needed first.

use longrail_stroke::Nodes;
use longrail_stroke::curve::{Row, Rung as Solved, Way};
use longrail_stroke::infer::Surface;

use super::worked::{Prescribed, WorkError, Worked};
use super::{Posed, WORK_CENTRE};

/// Seed of the nodes; part of the model, as their number is.
const SEED: u32 = 1;

/// How far a ladder is worked out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Steps done.
    pub done: u32,
    /// Steps in all, each of some tens of milliseconds on a desktop.
    pub of: u32,
}

/// A ladder being worked out.
#[derive(Debug)]
pub struct Working {
    posed: Posed,
    nodes: Nodes,
    /// The way along the hits, until all are solved.
    way: Option<Way>,
    worked: Worked,
    /// Rungs whose surfaces are wanted first, from 1.
    wanted: Vec<u32>,
}

impl Working {
    /// From the beginning. The stroke of `posed.player` is the reference stroke: the hits prescribed are the best ones for it.
    ///
    /// # Errors
    /// What is wrong with the player or the table.
    pub fn new(posed: Posed) -> Result<Self, WorkError> {
        let worked = Worked::open(posed.key(), posed.layouts.len());
        Self::resume(posed, worked)
    }

    /// From where it was left. Where not all hits were solved they are solved again.
    ///
    /// # Errors
    /// [`WorkError::OtherKey`] if `worked` is of another ladder, table, player or model.
    pub fn resume(posed: Posed, worked: Worked) -> Result<Self, WorkError> {
        if worked.key() != posed.key() || worked.hits.len() != posed.layouts.len() {
            return Err(WorkError::OtherKey);
        }
        let way = if worked.solved { None } else { Some(Way::new(&posed.row())?) };
        Ok(Self { posed, nodes: Nodes::usual(SEED), way, worked, wanted: Vec::new() })
    }

    /// Wants the surfaces of these rungs, from 1, before all others, in this order.
    pub fn want(&mut self, rungs: &[u32]) {
        self.wanted = rungs.to_vec();
    }

    /// One step more; `None` when nothing is left. Without a wish the surfaces nearest to the reference stroke's work rung come
    /// first.
    ///
    /// # Errors
    /// What is wrong with the goal, or where the engine gives up.
    pub fn next_rung(&mut self) -> Result<Option<Progress>, WorkError> {
        let row: Row<'_> = self.posed.row();
        if let Some(way) = &mut self.way {
            way.step(&row, &self.nodes)?;
            if way.done() >= way.steps() {
                let prescribed =
                    |rung: &Solved| rung.best.map(|(hit, odds)| Prescribed { hit, made: odds.made });
                self.worked.hits = way.rungs().iter().map(prescribed).collect();
                self.worked.solved = true;
                self.way = None;
            }
        } else {
            let Some((index, prescribed)) = self.next_surface() else { return Ok(None) };
            self.worked.surfaces[index] =
                row.ready(index, |setting| Surface::of(setting, &prescribed.hit))?;
        }
        Ok(Some(self.progress()))
    }

    /// How far it is.
    pub fn progress(&self) -> Progress {
        let rungs = self.worked.hits.len();
        let done = match &self.way {
            Some(way) => way.done(),
            // A rung that no hit makes needs no surface.
            None => 2 * rungs + (0..rungs).filter(|&index| !self.lacks(index)).count(),
        };
        let whole = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        Progress { done: whole(done), of: whole(3 * rungs) }
    }

    /// What is there so far; surfaces that are there can be used.
    pub fn so_far(&self) -> &Worked {
        &self.worked
    }

    /// All that is left, at once.
    ///
    /// # Errors
    /// As [`Self::next_rung`].
    pub fn finish(mut self) -> Result<Worked, WorkError> {
        while self.next_rung()?.is_some() {}
        Ok(self.worked)
    }

    /// Whether the rung at `index` can be made and has no surface yet.
    fn lacks(&self, index: usize) -> bool {
        let there = |list: Option<bool>| list.unwrap_or(false);
        there(self.worked.hits.get(index).map(Option::is_some))
            && !there(self.worked.surfaces.get(index).map(Option::is_some))
    }

    fn next_surface(&self) -> Option<(usize, Prescribed)> {
        let wanted = self
            .wanted
            .iter()
            .filter_map(|rung| usize::try_from(*rung).ok()?.checked_sub(1))
            .find(|index| self.lacks(*index));
        let away = |index: &usize| {
            self.worked.hits[*index].map_or(f64::INFINITY, |prescribed| (prescribed.made - WORK_CENTRE).abs())
        };
        let index = wanted.or_else(|| {
            (0..self.worked.hits.len())
                .filter(|index| self.lacks(*index))
                .min_by(|a, b| away(a).total_cmp(&away(b)))
        })?;
        Some((index, self.worked.hits[index]?))
    }
}
