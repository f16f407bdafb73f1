//! A ladder: layouts from easy to hard, each one step further than the one before.

use longrail_physics::{Ball, Layout, World};
use serde::{Deserialize, Serialize};

use crate::error::{StrokeError, check};

/// Fewest and most rungs.
const RUNGS: (f64, f64) = (2.0, 60.0);

/// How a ladder goes on from the layout of its first rung.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Ladder {
    /// Number of rungs, the first included; 2 to 60.
    pub rungs: u32,
    /// What moves from rung to rung.
    pub moves: Vec<Move>,
}

/// A ball's way from rung to rung, in diamonds.
#[derive(Clone, Debug, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Move {
    /// Which ball.
    pub ball: String,
    /// Along the table.
    #[serde(default)]
    pub along: f64,
    /// Across it.
    #[serde(default)]
    pub across: f64,
}

impl Ladder {
    /// The layouts of the rungs, from the one with these balls on, as many as are legal.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] for the number of rungs, [`StrokeError::NoSuchBall`] for a ball that is not there,
    /// [`StrokeError::StillLadder`] if nothing moves, [`StrokeError::Shot`] if the first layout is not legal.
    pub fn layouts(&self, world: &World, balls: &[Ball]) -> Result<Vec<Layout>, StrokeError> {
        check("ladder.rungs", f64::from(self.rungs), RUNGS, "")?;
        if let Some(step) = self.moves.iter().find(|step| !balls.iter().any(|ball| ball.id == step.ball)) {
            return Err(StrokeError::NoSuchBall {
                name: step.ball.clone(),
                known: balls.iter().map(|ball| ball.id.as_str()).collect::<Vec<_>>().join(", "),
            });
        }
        if self.moves.iter().all(|step| step.along == 0.0 && step.across == 0.0) {
            return Err(StrokeError::StillLadder);
        }
        let spec = world.table().spec();
        let mut layouts = Vec::new();
        for rung in 0..self.rungs {
            let mut moved: Vec<Ball> = balls.to_vec();
            for step in &self.moves {
                let (x, y) = spec.from_diamonds(step.along, step.across);
                for ball in moved.iter_mut().filter(|ball| ball.id == step.ball) {
                    ball.position.x += f64::from(rung) * x;
                    ball.position.y += f64::from(rung) * y;
                }
            }
            match Layout::new(world, &moved) {
                Ok(layout) => layouts.push(layout),
                Err(error) if rung == 0 => return Err(error.into()),
                Err(_) => break,
            }
        }
        Ok(layouts)
    }
}
