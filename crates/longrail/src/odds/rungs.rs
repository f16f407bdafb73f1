//! The rungs of a posed ladder, ready for inference.

use longrail_physics::Layout;
use longrail_stroke::Nodes;
use longrail_stroke::curve::{Row, Rung, along};
use longrail_stroke::infer::Surface;

use super::posed::Posed;
use crate::exit::Failure;

/// What was posed as a ladder, or its one layout.
pub(super) struct Rungs {
    pub(super) layouts: Vec<Layout>,
    /// What to intend on each, and its odds.
    pub(super) solved: Vec<Rung>,
    /// What each rung's hit says of a stroke; `None` where no hit makes it.
    pub(super) surfaces: Vec<Option<Surface>>,
}

impl Rungs {
    pub(super) fn of(posed: &Posed, seed: u32) -> Result<Self, Failure> {
        let layouts = posed.layouts()?;
        let (world, player, goal) = (&posed.problem.world, &posed.player, &posed.goal);
        let row = Row { world, player, goal, layouts: &layouts };
        let solved = along(&row, &Nodes::usual(seed))?;
        let surface = |(index, rung): (usize, &Rung)| -> Result<Option<Surface>, Failure> {
            let Some((hit, _)) = &rung.best else { return Ok(None) };
            Ok(row.ready(index, |setting| Surface::of(setting, hit))?)
        };
        let surfaces = solved.iter().enumerate().map(surface).collect::<Result<Vec<_>, _>>()?;
        Ok(Self { layouts, solved, surfaces })
    }
}
