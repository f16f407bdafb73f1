//! The JSON contract of `longrail shot`: a shot in, its events and end out.
//!
//! Shared by the command line and the browser, so that both read and write the same to the byte. The
//! contract is written down, with every field, default and range, in `docs/shot-json.md`.

mod input;
mod output;

use thiserror::Error;

use crate::cue::{Cue, Cueing, Stroke};
use crate::engine::{Engine, Log};
use crate::error::ShotError;
use crate::layout::Layout;
use crate::world::World;

pub use input::read;
pub use output::write;

/// What the output holds besides events and final positions.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Output {
    /// Sampled paths.
    pub paths: bool,
    /// States of the balls before and after each event.
    pub states: bool,
}

/// Why a shot was not played.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum Refusal {
    /// The text is not JSON, or not of the contract's form.
    #[error("{0}")]
    Form(String),
    /// The shot makes no sense, or the engine gave up.
    #[error(transparent)]
    Shot(#[from] ShotError),
}

/// A shot that has been read and checked.
#[derive(Clone, Debug)]
pub struct Problem {
    /// Table and conditions.
    pub world: World,
    /// The balls.
    pub layout: Layout,
    /// The stroke, if there is one, as it can be played.
    pub stroke: Option<Stroke>,
    /// The cue.
    pub cue: Cue,
}

/// A shot that has been played.
#[derive(Clone, Debug)]
pub struct Played {
    /// Events and legs.
    pub log: Log,
    /// The engine at the end: where every ball is.
    pub engine: Engine,
}

impl Problem {
    /// Plays the shot.
    ///
    /// # Errors
    /// [`ShotError::Miscue`], and whatever [`Engine::play`] gives up on.
    pub fn play(&self) -> Result<Played, ShotError> {
        let mut played = Played { log: Log::default(), engine: Engine::new() };
        played.engine.play(&self.world, &self.layout, self.stroke.as_ref(), &self.cue, &mut played.log)?;
        if let (true, Some(stroke)) = (played.engine.miscued(), &self.stroke) {
            return Err(ShotError::Miscue { offset: stroke.tip_offset(), limit: crate::cue::MISCUE_LIMIT });
        }
        Ok(played)
    }

    /// The stroke among rails and balls, if there is one.
    pub fn cueing(&self) -> Option<Cueing<'_>> {
        let balls = self.layout.balls();
        Some(Cueing {
            table: self.world.table().spec(),
            nose_height_m: self.world.conditions().cushion.height_m,
            cue: &self.cue,
            stroke: self.stroke.as_ref()?,
            cue_ball: &balls[self.layout.cue_ball()?],
            balls,
        })
    }

    /// Raises or refuses the stroke as its cue's clearance says. A miscue passes: it is told as one, whatever
    /// stands behind the cue ball.
    fn made_playable(mut self) -> Result<Self, ShotError> {
        let holds = |cueing: &Cueing<'_>| cueing.stroke.tip_offset() <= crate::cue::MISCUE_LIMIT;
        let playable = self.cueing().filter(holds).map(|cueing| cueing.playable()).transpose()?;
        self.stroke = playable.or(self.stroke);
        Ok(self)
    }
}

/// Reads, plays and writes a shot.
///
/// # Errors
/// [`Refusal`] with one line that says what to mend.
///
/// ```
/// use longrail_physics::json::{Output, run};
/// let shot = r#"{"balls": [{"id": "cue", "along": 2, "across": 2}],
///                "stroke": {"speed_mps": 1.0, "direction_deg": 0}}"#;
/// assert!(run(shot, Output::default()).is_ok());
/// let wrong = run(r#"{"balls": [], "stroke": {"speed": 1}}"#, Output::default());
/// assert!(wrong.is_err_and(|refusal| refusal.to_string().contains("speed")));
/// ```
pub fn run(input: &str, output: Output) -> Result<String, Refusal> {
    let problem = read(input)?;
    let played = problem.play()?;
    Ok(write(&problem, &played, output))
}

/// Plays a shot `times` times and returns the sum of its rest times, for measuring speed.
///
/// # Errors
/// As [`run`].
pub fn repeat(input: &str, times: u32) -> Result<f64, Refusal> {
    let Problem { world, layout, stroke, cue } = read(input)?;
    let mut engine = Engine::new();
    let mut sum = 0.0;
    for _ in 0..times {
        engine.play(&world, &layout, stroke.as_ref(), &cue, &mut ())?;
        sum += engine.rest_time_s();
    }
    Ok(sum)
}
