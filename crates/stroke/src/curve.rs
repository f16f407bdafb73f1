//! Odds along a row of layouts: a ladder from easy to hard.

use longrail_physics::{Engine, Layout, World};
use serde::Serialize;

use crate::Hit;
use crate::error::StrokeError;
use crate::goal::{Goal, Plan};
use crate::nodes::Nodes;
use crate::odds::{Odds, Setting};
use crate::player::Player;
use crate::solve::{Intent, eased};

/// One rung.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rung {
    /// What to intend, and its odds; `None` where no hit makes the goal.
    pub best: Option<(Hit, Odds)>,
}

impl Rung {
    /// The chance; 0 where no hit makes the goal.
    pub fn made(&self) -> f64 {
        self.best.map_or(0.0, |(_, odds)| odds.made)
    }
}

/// Layouts with one goal, for one player on one table.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    /// Table and conditions.
    pub world: &'a World,
    /// The player.
    pub player: &'a Player,
    /// What counts as made, on each of them.
    pub goal: &'a Goal,
    /// The layouts, neighbours beside each other.
    pub layouts: &'a [Layout],
}

impl Row<'_> {
    /// Calls `ask` with the layout at `index`, counted from 0, made ready; `None` if there is no such layout.
    ///
    /// # Errors
    /// What is wrong with the goal, or with what is asked.
    pub fn ready<T>(
        &self,
        index: usize,
        ask: impl FnOnce(&Setting<'_>) -> Result<T, StrokeError>,
    ) -> Result<Option<T>, StrokeError> {
        let Some(layout) = self.layouts.get(index) else { return Ok(None) };
        let plan = self.goal.plan(self.world, layout)?;
        ask(&Setting { world: self.world, layout, player: self.player, plan: &plan }).map(Some)
    }
}

/// The odds along a row, worked out layout by layout, so that the caller may stop between two of them. The hit grows from rung
/// to rung, outwards and then back again, and each rung keeps the better one, so that a curve does not jump where a search
/// ended elsewhere.
#[derive(Debug)]
pub struct Way {
    rough: World,
    engine: Engine,
    carried: Vec<Intent>,
    /// What was foreseen on each layout on the way out.
    plans: Vec<Option<Plan>>,
    rungs: Vec<Rung>,
    done: usize,
}

impl Way {
    /// At the beginning of `row`.
    ///
    /// # Errors
    /// What is wrong with the player or the world.
    pub fn new(row: &Row<'_>) -> Result<Self, StrokeError> {
        row.player.check()?;
        let rungs = vec![Rung { best: None }; row.layouts.len()];
        let plans = vec![None; row.layouts.len()];
        Ok(Self {
            rough: eased(row.world)?,
            engine: Engine::new(),
            carried: Vec::new(),
            plans,
            rungs,
            done: 0,
        })
    }

    /// Steps in all: one out and one back for each layout.
    pub fn steps(&self) -> usize {
        2 * self.rungs.len()
    }

    /// Steps done.
    pub fn done(&self) -> usize {
        self.done
    }

    /// One step more along the same row; false at the end.
    ///
    /// # Errors
    /// What is wrong with the goal.
    pub fn step(&mut self, row: &Row<'_>, nodes: &Nodes) -> Result<bool, StrokeError> {
        if self.done >= self.steps() {
            return Ok(false);
        }
        let count = self.rungs.len();
        let outwards = self.done < count;
        let index = if outwards { self.done } else { 2 * count - 1 - self.done };
        let Self { rough, engine, carried, plans, rungs, done } = self;
        row.ready(index, |setting| {
            let plan = setting.plan.foreseeing(plans[index].as_ref(), rough, setting.layout, engine)?;
            let unbiased = setting.player.unbiased();
            let plan = plans[index].insert(plan);
            let search = Setting { world: rough, player: &unbiased, plan, ..*setting };
            *carried = if outwards {
                search.quick_hits(engine, carried)?
            } else {
                search.followed(engine, carried)?
            };
            if let Some(intent) = carried.first().filter(|intent| intent.makes_it()) {
                let odds = setting.odds(engine, intent.hit(), nodes)?;
                if odds.made > rungs[index].made() {
                    rungs[index].best = Some((*intent.hit(), odds));
                }
            }
            Ok(())
        })?;
        *done += 1;
        Ok(true)
    }

    /// What was found so far.
    pub fn rungs(&self) -> &[Rung] {
        &self.rungs
    }
}

/// The odds on each of a row's layouts, with the hit solved on each: the whole [`Way`].
///
/// # Errors
/// What is wrong with the player or the goal.
pub fn along(row: &Row<'_>, nodes: &Nodes) -> Result<Vec<Rung>, StrokeError> {
    let mut way = Way::new(row)?;
    while way.step(row, nodes)? {}
    Ok(way.rungs)
}

/// Where a curve passes a target.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Crossing {
    /// Already the first rung is below it.
    Before,
    /// At this rung, counted from 0; a fraction lies between two rungs.
    At(f64),
    /// Even the last rung is above it.
    Beyond,
}

/// Where `made` last falls through `target`, in a straight line between rungs.
///
/// ```
/// use longrail_stroke::curve::{Crossing, crossing};
/// assert_eq!(crossing(&[0.9, 0.6, 0.4, 0.2], 0.5), Crossing::At(1.5));
/// assert_eq!(crossing(&[0.4, 0.3], 0.5), Crossing::Before);
/// assert_eq!(crossing(&[0.9, 0.8], 0.5), Crossing::Beyond);
/// ```
pub fn crossing(made: &[f64], target: f64) -> Crossing {
    let Some(last) = made.iter().rposition(|&chance| chance >= target) else { return Crossing::Before };
    let Some(&next) = made.get(last + 1) else { return Crossing::Beyond };
    // Small whole numbers.
    #[allow(clippy::cast_precision_loss)]
    Crossing::At(last as f64 + (made[last] - target) / (made[last] - next))
}
