//! Names for surfaces, by what they depend on.

use longrail_physics::Layout;

use super::cells::CELLS;
use crate::curve::Row;
use crate::digest;
use crate::player::Limits;
use crate::stroke::Stroke;
use crate::{Goal, Hit, Player, Setting};

/// Grows whenever the engine, the goals' judge, the search for hits or the surface's cells change what a surface holds.
const MODEL: u32 = 4;

/// The name under which the surface of `hit` may be stored: 32 hexadecimal digits that depend on table, conditions, balls,
/// goal, hit, what of the player a surface holds (spread of the tip, hampered strokes, reach, cue), and the version of the
/// model. They do not depend on the spread and bias of aim, the spread of speed, the lapse and the limits, for which one
/// surface serves all values. `goal` is that of the setting's plan.
///
/// It is the [`digest`] of all fields as Rust's `Debug` writes them, which tells every two numbers apart. Should that form
/// change one day, a stored surface is computed again and nothing is lost.
pub fn key(setting: &Setting<'_>, goal: &Goal, hit: &Hit) -> String {
    let stroke = Stroke {
        tip_right_sd: setting.player.stroke.tip_right_sd,
        tip_up_sd: setting.player.stroke.tip_up_sd,
        aim_growth_per_mps: setting.player.stroke.aim_growth_per_mps,
        ..Stroke::aim_only(0.0)
    };
    let player = Player { stroke, limits: Limits::default(), ..*setting.player };
    let (spec, conditions) = (setting.world.table().spec(), setting.world.conditions());
    let balls = setting.layout.balls();
    digest::of(format_args!(
        "{MODEL} {CELLS:?} {spec:?} {conditions:?} {balls:?} {goal:?} {hit:?} {player:?}"
    ))
}

/// The name under which hits and surfaces of a whole row may be stored, known before any hit is solved: it depends on table,
/// conditions, the balls of each layout, goal, the whole player, since the hits are those that are best for this stroke within
/// these limits, and the version of the model. The nodes are taken to be [`crate::Nodes::usual`] with seed 1.
pub fn row_key(row: &Row<'_>) -> String {
    let Row { world, player, goal, layouts } = row;
    let (spec, conditions) = (world.table().spec(), world.conditions());
    let balls: Vec<_> = layouts.iter().map(Layout::balls).collect();
    digest::of(format_args!("row {MODEL} {CELLS:?} {spec:?} {conditions:?} {balls:?} {goal:?} {player:?}"))
}
