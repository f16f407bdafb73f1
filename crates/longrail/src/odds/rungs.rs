//! The rungs of a posed ladder, ready for inference.

use longrail_physics::Layout;
use longrail_stroke::curve::{Rung, along};
use longrail_stroke::infer::Surface;
use longrail_stroke::{Nodes, Setting};

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
        let solved = along(&posed.problem.world, &posed.player, &posed.goal, &layouts, &Nodes::usual(seed))?;
        let surface = |(rung, layout): (&Rung, _)| -> Result<Option<Surface>, Failure> {
            let Some((hit, _)) = &rung.best else { return Ok(None) };
            let plan = posed.goal.plan(&posed.problem.world, layout)?;
            let setting = Setting { layout, plan: &plan, ..posed.setting() };
            Ok(Some(Surface::of(&setting, hit)?))
        };
        let surfaces = solved.iter().zip(&layouts).map(surface).collect::<Result<Vec<_>, _>>()?;
        Ok(Self { layouts, solved, surfaces })
    }
}
