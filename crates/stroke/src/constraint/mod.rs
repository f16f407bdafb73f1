//! Conditions that make the same layout harder, as data and as text, and what each costs in odds.

mod price;
mod text;

pub use price::{Priced, prices};
pub use text::{ConstraintError, EXAMPLES};

use longrail_math::Vec2;
use longrail_physics::{Ball, Table, TableSpec, World};
use serde::{Deserialize, Serialize};

use crate::error::{StrokeError, check};
use crate::goal::{Wish, Zone};
use crate::task::Task;

/// A condition that physics can price.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Constraint {
    /// All pockets are narrower: the mouth as a share of what it is; 0.5 to 1.
    NarrowerPocket(f64),
    /// The places where the cue ball must pass or stop, and its greatest distances, are smaller: their size as a share of
    /// what it is; 0.1 to 1.
    SmallerZone(f64),
    /// So many in a row, 2 to 20; priced as if attempts did not depend on each other.
    Streak(u32),
    /// The hit intended has a speed within these bounds.
    Speed {
        /// Softest, in m/s.
        softest_mps: f64,
        /// Hardest, in m/s.
        hardest_mps: f64,
    },
    /// The tip stays on the middle line of the cue ball.
    NoSide,
    /// A ball lies in the way, in diamonds, and the cue ball must not touch it.
    Blocker {
        /// Along the table.
        along: f64,
        /// Across it.
        across: f64,
    },
}

impl Constraint {
    /// Checks that its numbers lie within their ranges.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] with the first that does not.
    pub fn check(&self) -> Result<(), StrokeError> {
        match *self {
            Self::NarrowerPocket(share) => check("narrower_pocket", share, (0.5, 1.0), "of the mouth"),
            Self::SmallerZone(share) => check("smaller_zone", share, (0.1, 1.0), "of the size"),
            Self::Streak(count) => check("streak", f64::from(count), (2.0, 20.0), "in a row"),
            Self::Speed { softest_mps, hardest_mps } => {
                check("speed.softest_mps", softest_mps, (0.1, 20.0), "m/s")?;
                check("speed.hardest_mps", hardest_mps, (softest_mps, 20.0), "m/s")
            }
            Self::NoSide => Ok(()),
            Self::Blocker { along, across } => {
                check("blocker.along", along, (0.0, 8.0), "diamonds")?;
                check("blocker.across", across, (0.0, 4.0), "diamonds")
            }
        }
    }

    /// The task under this constraint.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] for a number out of range; [`StrokeError::NothingSmaller`] if the goal has no place to
    /// make smaller; [`StrokeError::Shot`] if the table cannot be so, or a blocker cannot lie there.
    pub fn on(&self, task: &Task) -> Result<Task, StrokeError> {
        self.check()?;
        let mut task = task.clone();
        match *self {
            Self::NarrowerPocket(share) => {
                let conditions = *task.world.conditions();
                task.world = World::new(Table::new(narrowed(task.world.table().spec(), share))?, conditions)?;
            }
            Self::SmallerZone(share) => {
                let smaller = task.goal.wishes.iter_mut().map(|wish| u32::from(shrunk(wish, share)));
                if smaller.sum::<u32>() == 0 {
                    return Err(StrokeError::NothingSmaller);
                }
            }
            Self::Streak(_) => {}
            Self::Speed { softest_mps, hardest_mps } => {
                let limits = &mut task.player.limits;
                // A player who cannot hit so hard is not made to; bounds that leave nothing are told.
                limits.softest_mps = limits.softest_mps.max(softest_mps);
                check("speed.softest_mps", limits.softest_mps, (0.1, limits.hardest_mps), "m/s")?;
                limits.hardest_mps = limits.hardest_mps.min(hardest_mps);
                check("speed.hardest_mps", limits.hardest_mps, (limits.softest_mps, 20.0), "m/s")?;
            }
            Self::NoSide => task.player.limits.most_side = 0.0,
            Self::Blocker { along, across } => {
                let spec = task.world.table().spec();
                let (x, y) = spec.from_diamonds(along, across);
                // Of so many names one is free.
                let id = (1..=task.balls.len() + 1)
                    .map(|number| format!("blocker {number}"))
                    .find(|id| task.balls.iter().all(|ball| ball.id != *id))
                    .unwrap_or_default();
                task.balls.push(Ball::at_rest(&id, x, y));
                task.goal = task.goal.and(Wish::AvoidBall { ball: id });
            }
        }
        Ok(task)
    }

    /// What a chance for one attempt becomes: of a streak, the chance of all.
    pub fn chance(&self, made: f64) -> f64 {
        match self {
            Self::Streak(count) => (0..*count).map(|_| made).product(),
            _ => made,
        }
    }
}

/// The table with narrower mouths.
fn narrowed(spec: &TableSpec, share: f64) -> TableSpec {
    TableSpec {
        corner_mouth_m: share * spec.corner_mouth_m,
        side_mouth_m: share * spec.side_mouth_m,
        mouths_m: spec.mouths_m.map(|mouth| mouth.map(|mouth| share * mouth)),
        ..*spec
    }
}

/// Makes the place in `wish` smaller, if it has one.
fn shrunk(wish: &mut Wish, share: f64) -> bool {
    match wish {
        Wish::Pass { zone: Zone::Circle { radius, .. } }
        | Wish::Stop { zone: Zone::Circle { radius, .. } } => {
            *radius *= share;
        }
        Wish::Pass { zone: Zone::Polygon { corners } } | Wish::Stop { zone: Zone::Polygon { corners } } => {
            // Of a few corners.
            #[allow(clippy::cast_precision_loss)]
            let count = corners.len().max(1) as f64;
            let sum =
                corners.iter().fold(Vec2::ZERO, |sum, [along, across]| sum + Vec2::new(*along, *across));
            let middle = sum / count;
            for [along, across] in corners {
                *along = middle.x + share * (*along - middle.x);
                *across = middle.y + share * (*across - middle.y);
            }
        }
        Wish::StopNear { diamonds, .. } | Wish::Lag { diamonds, .. } => *diamonds *= share,
        _ => return false,
    }
    true
}
