//! A name for a surface, by what it depends on.

use std::fmt::{self, Write};

use siphasher::sip128::{Hasher128, SipHasher24};
use std::hash::Hasher;

use super::surface;
use crate::player::Limits;
use crate::stroke::Stroke;
use crate::{Goal, Hit, Player, Setting};

/// Grows whenever the engine, the goals' judge or the surface's cells change what a surface holds.
const MODEL: u32 = 1;

/// The name under which the surface of `hit` may be stored: 32 hexadecimal digits that depend on table, conditions, balls,
/// goal, hit, what of the player a surface holds (spread of the tip, hampered strokes, reach, cue), and the version of the
/// model. They do not depend on the spread and bias of aim, the spread of speed, the lapse and the limits, for which one
/// surface serves all values. `goal` is that of the setting's plan.
///
/// SipHash-2-4 with 128 bits (Aumasson & Bernstein 2012) of all fields as Rust's `Debug` writes them, which tells every two
/// numbers apart. Should that form change one day, a stored surface is computed again and nothing is lost.
pub fn key(setting: &Setting<'_>, goal: &Goal, hit: &Hit) -> String {
    let stroke = Stroke {
        tip_right_sd: setting.player.stroke.tip_right_sd,
        tip_up_sd: setting.player.stroke.tip_up_sd,
        aim_growth_per_mps: setting.player.stroke.aim_growth_per_mps,
        ..Stroke::aim_only(0.0)
    };
    let player = Player { stroke, limits: Limits::default(), ..*setting.player };
    let mut text = Hashed(SipHasher24::new());
    let (spec, conditions) = (setting.world.table().spec(), setting.world.conditions());
    let balls = setting.layout.balls();
    // A hasher takes all that is written.
    let _ = write!(
        text,
        "{MODEL} {:?} {spec:?} {conditions:?} {balls:?} {goal:?} {hit:?} {player:?}",
        surface::CELLS
    );
    format!("{:032x}", text.0.finish128().as_u128())
}

/// Text that is hashed as it is written.
struct Hashed(SipHasher24);

impl Write for Hashed {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        self.0.write(text.as_bytes());
        Ok(())
    }
}
