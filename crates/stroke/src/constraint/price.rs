//! What constraints cost in odds.

use longrail_physics::Engine;

use super::Constraint;
use crate::Hit;
use crate::error::StrokeError;
use crate::nodes::Nodes;
use crate::odds::Odds;
use crate::task::Task;

/// A task under some constraints.
#[derive(Clone, Debug, PartialEq)]
pub struct Priced {
    /// The constraints; none for the plain task.
    pub constraints: Vec<Constraint>,
    /// The best hit and its odds, for one attempt; if none reaches the goal, what is lacking.
    pub best: Result<(Hit, Odds), String>,
}

impl Priced {
    /// The chance of what is asked, a streak as a whole; 0 where no hit reaches the goal.
    pub fn chance(&self) -> f64 {
        let made = self.best.as_ref().map_or(0.0, |(_, odds)| odds.made);
        self.constraints.iter().fold(made, |chance, constraint| constraint.chance(chance))
    }
}

/// The task as it is, under each of `constraints` alone, and, if there are several, under all of them; each with the hit
/// that is best there.
///
/// # Errors
/// What is wrong with the task or a constraint. A goal that is out of reach is no error, but a price.
pub fn prices(task: &Task, constraints: &[Constraint], nodes: &Nodes) -> Result<Vec<Priced>, StrokeError> {
    let mut wanted: Vec<Vec<Constraint>> = vec![Vec::new()];
    wanted.extend(constraints.iter().map(|constraint| vec![constraint.clone()]));
    if constraints.len() > 1 {
        wanted.push(constraints.to_vec());
    }
    let mut tasks: Vec<Task> = Vec::with_capacity(wanted.len());
    let mut priced: Vec<Priced> = Vec::with_capacity(wanted.len());
    for constraints in wanted {
        let under = constraints.iter().try_fold(task.clone(), |task, constraint| constraint.on(&task))?;
        let best = match under.best_hit(nodes) {
            Ok(found) => Ok((found.hit, found.odds)),
            Err(StrokeError::OutOfReach { why }) => Err(why),
            Err(error) => return Err(error),
        };
        tasks.push(under);
        priced.push(Priced { constraints, best });
    }
    // A hit found for one may be better for another than its own: no price is wrong because a search fell short.
    let hits: Vec<Hit> =
        priced.iter().filter_map(|one| one.best.as_ref().ok()).map(|(hit, _)| *hit).collect();
    for (under, one) in tasks.iter().zip(&mut priced) {
        for hit in hits.iter().filter(|hit| under.player.limits.allow(hit)) {
            let odds = under.ready(|setting| setting.odds(&mut Engine::new(), hit, nodes))?;
            if odds.made > one.best.as_ref().map_or(0.0, |(_, odds)| odds.made) {
                one.best = Ok((*hit, odds));
            }
        }
    }
    Ok(priced)
}
