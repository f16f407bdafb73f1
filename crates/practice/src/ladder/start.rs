//! A newcomer's first rung: from words, or from a first set.
//!
//! The player picks a sentence, which moves the prior to the stroke it stands for; or shoots [`FIRST_SET`] attempts at one rung;
//! or both. Either way the rung follows as any later one does, from [`crate::form::Form`]. It is a start and no verdict.

use longrail_math::fx;
use longrail_stroke::StrokeError;
use longrail_stroke::infer::{Inferred, Parameter, Prior};
use longrail_stroke::stroke::Reference;

use super::{WorkRung, Worked};
use crate::form::{Elsewhere, Form};

/// Attempts of a first set.
pub const FIRST_SET: u32 = 20;

/// Standard deviation of ln σ after a sentence: reference strokes are a factor of two apart, and who picks a sentence may well
/// mean its neighbour. A judgement, as the sentences are.
const IN_WORDS_SD: f64 = 0.5;

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

/// What is thought of a player who has picked this sentence, or none.
pub fn prior(words: Option<Reference>) -> Prior {
    let Some(reference) = words else { return Prior::default() };
    let stroke = reference.stroke();
    Prior {
        spread_deg: stroke.aim_sd_deg,
        ln_sd: IN_WORDS_SD,
        speed_spread: stroke.speed_sd,
        ..Prior::default()
    }
}

/// The reference stroke whose hits are prescribed to a player: the one whose spread of aim is nearest to what is known, by
/// factors; *regular* while too little is known. A ladder worked out for one is worked out anew for another, and the player may
/// prefer to keep the hits that are practised.
pub fn reference_for(inferred: &Inferred) -> Reference {
    let Parameter { mean, shown, .. } = inferred.ln_spread;
    let away = |reference: &Reference| (fx::ln(reference.stroke().aim_sd_deg) - mean).abs();
    let nearest = Reference::ALL.into_iter().min_by(|a, b| away(a).total_cmp(&away(b)));
    nearest.filter(|_| shown).unwrap_or(Reference::Regular)
}

/// The rung on which to begin after a sentence, before any attempt; `None` while the ladder is not wholly worked out, or if it
/// has no rungs.
///
/// # Errors
/// None with the sentences there are.
pub fn first_rung(words: Reference, worked: &Worked) -> Result<Option<WorkRung>, StrokeError> {
    let form = Form::read(prior(Some(words)), &[])?;
    Ok(form.on(worked, Elsewhere::default(), 0.5).and_then(|standing| standing.work()))
}
