//! A player's stroke, and what it makes of a shot.
//!
//! **Knows** the spread of a player's aim, speed and tip, what counts as made, the odds of that, and the hit with the
//! best odds.
//! **Does not know** sessions, attempts on record, drills, storage, pictures, or any operating system.
//!
//! A *hit* is one strike of the cue on the ball ([`Hit`], the engine's own type); a *stroke* is the distribution from
//! which a player's hits come. Reading order: [`stroke`] (the distribution), [`player`] (what a player can and will do),
//! [`goal`] (what counts as made), [`nodes`], `axes` and [`odds`] (the chance of it), [`windows`] (how far a hit may stray),
//! [`solve`] (the best hits), [`ladder`] and [`curve`] (odds along a row of layouts), [`grid`] (odds over positions of a ball),
//! [`task`] and [`constraint`] (what makes it harder, and by how much), [`infer`] (a stroke from attempts).

mod axes;
pub mod constraint;
pub mod curve;
pub mod cushions;
pub mod digest;
mod error;
pub mod goal;
pub mod grid;
pub mod infer;
#[cfg(feature = "json")]
pub mod json;
pub mod ladder;
pub mod nodes;
pub mod odds;
pub mod player;
pub mod solve;
pub mod stroke;
pub mod task;
pub mod windows;

pub use error::StrokeError;
pub use goal::Goal;
pub use ladder::Ladder;
pub use longrail_physics::Stroke as Hit;
pub use nodes::Nodes;
pub use odds::{Category, Odds, Setting};
pub use player::Player;
pub use stroke::Stroke;
pub use task::Task;

/// A small whole number.
#[allow(clippy::cast_precision_loss)]
fn whole(k: usize) -> f64 {
    k as f64
}
