//! Good hits at one place of a map, whose neighbours are solved as well.
//!
//! All that may be good is examined with a few nodes; the best that lie apart climb roughly, and the best of these finely.
//! So a hit of another kind than the neighbours' has its chance, and most shots go to what is left at the end.

use longrail_math::order;
use longrail_physics::Engine;

use super::climb::Climb;
use super::exam::Examined;
use super::kinds::Alike;
use super::{Beginning, Candidate, Intent, kinds};
use crate::Hit;
use crate::error::StrokeError;
use crate::nodes::Nodes;
use crate::odds::Setting;

/// Hits from nothing that are examined: of those that send a ball straight into its pocket, and of those in all directions,
/// whose chances are only guessed.
const STRAIGHT: Beginning = Beginning { speeds: 20, most: 10, alike: Alike::NEAR };
const SCANNED: usize = 160;

/// Hits of coarser neighbours that are examined, and of near ones that differ from one's own.
const CARRIED: usize = 6;
const OTHERS: usize = 5;

/// Hits that are brought nearer to a goal that they fail.
const APPROACHED: usize = 8;

/// Hits that climb roughly, unless their chance is less than so much of the best one's.
const ROUGH: usize = 8;
const HOPEFUL: f64 = 0.45;

/// Hits that are kept, and of those the ones that climb finely, unless their chance is less than so much of the best one's.
const KEPT: usize = 3;
const FINE: usize = 2;
const CLOSE: f64 = 0.92;

/// After a climb an exam is ended where the chance is less than so much of the best one's.
const GOOD: f64 = 0.8;

/// A near neighbour's hit climbs here if its chance is at least so much of that of one's own, which has climbed already; and it
/// climbs on while its chance is at least so much of it.
const WORTH_A_CLIMB: f64 = 0.75;
const WORTH_MORE: f64 = 0.9;

/// What hits are chosen with: nodes of exams, and climbs. Made once for all places of a map.
pub struct Sieve {
    few: Nodes,
    some: Nodes,
    more: Nodes,
    rough: Climb,
    fine: Climb,
    again: Climb,
}

impl Default for Sieve {
    fn default() -> Self {
        Self {
            few: Nodes::sobol(1, 64, 4),
            some: Nodes::sobol(1, 256, 5),
            more: Nodes::sobol(1, 512, 6),
            rough: Climb::rough(),
            fine: Climb::new(3, 256),
            again: Climb::new(3, 256),
        }
    }
}

impl Setting<'_> {
    /// Good hits that lie apart, best first: from nothing, and out of those of neighbouring places; less where the neighbours
    /// are `near`. None if nothing reaches the ball.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn hits_at(
        &self,
        engine: &mut Engine,
        sieve: &Sieve,
        neighbours: &[Intent],
        near: bool,
    ) -> Result<Vec<Intent>, StrokeError> {
        let mut tried = self.carried_over(engine, neighbours, CARRIED, Alike::IN_REACH)?;
        tried.extend(match self.straight(engine, STRAIGHT.speeds)? {
            Some(found) => self.starts(engine, &found)?,
            None => kinds::best_apart(&self.scanned(engine)?, SCANNED),
        });
        if !near {
            for start in tried.iter_mut().filter(|start| start.score < 0.0).take(APPROACHED) {
                *start = self.approached(engine, start)?;
            }
        }
        // Where no neighbour makes it, what fails as intended is not worth more shots.
        let hopeless = near && !neighbours.iter().any(Intent::makes_it);
        let (mut best, mut examined) = (0.0_f64, Vec::with_capacity(tried.len()));
        for candidate in tried {
            let exam = if hopeless && candidate.score < 0.0 {
                Examined { one: candidate, shots: Vec::new() }
            } else {
                self.examined_for(engine, &candidate, &sieve.few, HOPEFUL * best)?
            };
            best = best.max(exam.one.score);
            examined.push(exam);
        }
        let mut tops = kinds::best_apart(&examined, ROUGH);
        self.climb_all(engine, &mut tops, HOPEFUL, &sieve.rough, &sieve.some)?;
        let mut kept = kinds::best_apart(&tops, KEPT);
        let fine = kept.len().min(FINE);
        self.climb_all(engine, &mut kept[..fine], CLOSE, &sieve.fine, &sieve.more)?;
        order::sort_by(&mut kept, |a, b| b.one.score.total_cmp(&a.one.score));
        Ok(kept.into_iter().map(|exam| Intent(exam.one)).collect())
    }

    /// The best of the lattice's hits, each aimed as exactly as can be.
    fn starts(&self, engine: &mut Engine, found: &[Candidate]) -> Result<Vec<Candidate>, StrokeError> {
        let mut starts = STRAIGHT.of(found);
        for start in &mut starts {
            let level = Hit { elevation_deg: 0.0, ..start.hit };
            if let Some(hit) = self.sighted_or_reachable(engine, &level, start.sight)? {
                start.hit = hit;
            }
        }
        Ok(starts)
    }

    /// The hits of a place, best first, if one from near `neighbours` is better than its `own`.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn better_hits(
        &self,
        engine: &mut Engine,
        sieve: &Sieve,
        own: &[Intent],
        neighbours: &[Intent],
    ) -> Result<Option<Vec<Intent>>, StrokeError> {
        // Not only other kinds: what a neighbour's climb found may be a higher summit on the same ridge.
        let known = |Intent(its): &Intent| own.iter().any(|Intent(mine)| Alike::THE_SAME.holds(mine, its));
        let others: Vec<Intent> =
            neighbours.iter().filter(|one| one.makes_it() && !known(one)).copied().collect();
        let mut best: Option<Candidate> = None;
        let mine = own.first().map_or(0.0, |Intent(mine)| mine.score.max(0.0));
        for candidate in self.carried_over(engine, &others, OTHERS, Alike::THE_SAME)? {
            let least = best.map_or(0.0, |best| best.score).max(WORTH_A_CLIMB * mine);
            let examined = self.examined_for(engine, &candidate, &sieve.few, least)?.one;
            if best.is_none_or(|best| examined.score > best.score) {
                best = Some(examined);
            }
        }
        let Some(start) = best.filter(|best| best.score > WORTH_A_CLIMB * mine) else { return Ok(None) };
        let top = self.climbed_on(engine, &start, &[], &sieve.again, WORTH_MORE * mine)?;
        // What a climb says of its own summit flatters: if even that is no better, an exam will not find it better.
        if top.score <= mine {
            return Ok(None);
        }
        let top = self.examined_for(engine, &top, &sieve.more, mine)?.one;
        if top.score <= mine {
            return Ok(None);
        }
        Ok(Some(std::iter::once(Intent(top)).chain(own.iter().copied().take(KEPT - 1)).collect()))
    }

    /// Lets those of `starts` climb that make it, and at least `share` of the times that the first does; each is then examined
    /// with `nodes`.
    fn climb_all(
        &self,
        engine: &mut Engine,
        starts: &mut [Examined],
        share: f64,
        climb: &Climb,
        nodes: &Nodes,
    ) -> Result<(), StrokeError> {
        let mut best = 0.0_f64;
        let least = starts.first().map_or(0.0, |first| share * first.one.score.max(0.0));
        for start in starts.iter_mut().filter(|start| start.one.score > 0.0 && start.one.score >= least) {
            let top = self.climbed_on(engine, &start.one, &start.shots, climb, 0.0)?;
            *start = self.examined_for(engine, &top, nodes, GOOD * best)?;
            best = best.max(start.one.score);
        }
        Ok(())
    }
}
