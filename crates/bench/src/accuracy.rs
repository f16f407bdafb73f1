//! What the tolerance of the cushion integration does to where balls end.

use longrail_math::Vec2;
use longrail_physics::conditions::CushionModel;
use longrail_physics::digest::{Sample, sample};
use longrail_physics::{Cue, Engine, Layout, World};

use crate::figure;
use crate::shots::with;

/// Samples played.
const SHOTS: u32 = 2000;

/// Tells the error of final positions at the two tolerances that are offered, against 1e-9.
pub(crate) fn figures() {
    for (tolerance, use_for) in [(1e-6, "shown paths"), (1e-4, "odds")] {
        let mut errors: Vec<f64> = (0..SHOTS).filter_map(|index| error_mm(index, tolerance)).collect();
        errors.sort_by(f64::total_cmp);
        let at = |share: f64| {
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
            let place = ((errors.len() - 1) as f64 * share) as usize;
            errors.get(place).copied().unwrap_or(f64::NAN)
        };
        let note =
            format!("{} shots of 2 to 4 balls, median {:.1e} mm; for {use_for}", errors.len(), at(0.5));
        figure(&format!("final position error at {tolerance:e}, 99 %"), at(0.99), "mm", None, &note);
    }
}

/// Largest distance of any ball's end from its end at tolerance 1e-9, in millimetres. `None` for samples
/// that cannot be set up, or in which a ball ends elsewhere altogether (a jaw made or missed).
fn error_mm(index: u32, tolerance: f64) -> Option<f64> {
    if index.is_multiple_of(10) {
        return None;
    }
    let Sample { world, balls, stroke, .. } = sample(index)?;
    let play = |tolerance: f64| {
        let conditions = with(CushionModel::Impulse, tolerance);
        let world = World::new(world.table().clone(), conditions).ok()?;
        let layout = Layout::new(&world, &balls).ok()?;
        let mut engine = Engine::new();
        engine.play(&world, &layout, Some(&stroke), &Cue::default(), &mut ()).ok()?;
        let ends: Vec<Vec2> = (0..balls.len()).map(|i| engine.position(i)).collect();
        Some(ends)
    };
    let (exact, fast) = (play(1e-9)?, play(tolerance)?);
    let worst = exact.iter().zip(&fast).map(|(a, b)| (*a - *b).norm()).fold(0.0, f64::max);
    Some(worst * 1e3)
}
