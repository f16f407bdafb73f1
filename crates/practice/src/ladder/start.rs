//! A newcomer's first rung: from words, or from a first set.
//!
//! The player picks a sentence, and the ladder is worked out for the stroke it stands for; or shoots [`FIRST_SET`] attempts at
//! one rung, and all [`candidates`] are weighed by them. Either way it is a start and no verdict.

use longrail_math::fx;
use longrail_stroke::Stroke;
use longrail_stroke::infer::Prior;
use longrail_stroke::stroke::Reference;

/// Attempts of a first set.
pub const FIRST_SET: u32 = 20;

/// Strokes from one reference stroke to the next, the first included.
const BETWEEN: u32 = 3;

/// What a player of this stroke may say of their own game. The strokes are assumptions, and so are the sentences.
pub fn in_words(reference: Reference) -> &'static str {
    match reference {
        Reference::Learning => "I often miss a ball near a pocket, and the cue ball goes where it will.",
        Reference::Regular => {
            "I make the easy ones, miss many long ones, and sometimes plan where the cue ball goes."
        }
        Reference::Solid => "I make most open balls, some long ones too, and mostly play for the next ball.",
        Reference::Fine => "I rarely miss an open ball, and the cue ball usually stops where I want it.",
    }
}

/// Strokes from *learning* to *fine* with steps between, and the weight of each by [`Prior`]: spread of aim, speed and tip, and
/// lapses, go by equal factors from one reference stroke to the next.
pub fn candidates() -> Vec<(Stroke, f64)> {
    let Prior { spread_deg, ln_sd, .. } = Prior::default();
    let mut found = Vec::new();
    let mut add = |stroke: Stroke| {
        let z = (fx::ln(stroke.aim_sd_deg) - fx::ln(spread_deg)) / ln_sd;
        found.push((stroke, fx::exp(-0.5 * z * z)));
    };
    for pair in Reference::ALL.windows(2) {
        let (wide, narrow) = (pair[0].stroke(), pair[1].stroke());
        for step in 0..BETWEEN {
            add(between(&wide, &narrow, f64::from(step) / f64::from(BETWEEN)));
        }
    }
    add(Reference::Fine.stroke());
    let sum: f64 = found.iter().map(|(_, weight)| weight).sum();
    found.into_iter().map(|(stroke, weight)| (stroke, weight / sum)).collect()
}

/// The stroke a `share` of the way from `a` to `b`, by equal factors.
fn between(a: &Stroke, b: &Stroke, share: f64) -> Stroke {
    let mean = |a: f64, b: f64| a * fx::pow(b / a, share);
    Stroke {
        aim_sd_deg: mean(a.aim_sd_deg, b.aim_sd_deg),
        speed_sd: mean(a.speed_sd, b.speed_sd),
        tip_right_sd: mean(a.tip_right_sd, b.tip_right_sd),
        tip_up_sd: mean(a.tip_up_sd, b.tip_up_sd),
        lapse: mean(a.lapse, b.lapse),
        ..*a
    }
}
