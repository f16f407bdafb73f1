//! Pictures of layouts and ladders, by the crate that draws.

use longrail_physics::{Engine, Log};
use longrail_practice::drill::Rung;
use longrail_practice::guide::Posed;
use longrail_scene::{Lie, Style, Theme, setup_svg};
use longrail_stroke::{Hit, Player};

/// Widths for which weights and figures are chosen: half a phone, and half a wide screen.
const UPRIGHT_PX: f64 = 190.0;
const WIDE_PX: f64 = 700.0;

/// How a picture is drawn for a screen.
pub(crate) const fn style(light: bool, wide: bool) -> Style {
    Style {
        theme: if light { Theme::Light } else { Theme::Dark },
        lie: if wide { Lie::Landscape } else { Lie::Portrait },
        width_px: if wide { WIDE_PX } else { UPRIGHT_PX },
    }
}

/// The layout of a rung, with the shot that is intended where it is known.
pub(crate) fn layout(
    posed: &Posed,
    rung: &Rung,
    hit: Option<(&Player, &Hit)>,
    light: bool,
    wide: bool,
) -> String {
    let (mut engine, mut log) = (Engine::new(), Log::default());
    let played = hit.is_some_and(|(player, hit)| {
        engine.play(&posed.world, &rung.layout, Some(hit), &player.cue(), &mut log).is_ok()
    });
    let played = played.then_some((&engine, &log));
    setup_svg(posed.world.table(), &rung.layout, &rung.goal, played, &style(light, wide))
}
