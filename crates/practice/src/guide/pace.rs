//! How quickly a player shoots, and what that makes of a proof.

use crate::advice::{Outlook, before_proof};
use crate::drill::{Drill, SHOT_SECONDS};
use crate::state::State;
use longrail_math::order;
use longrail_stats::StatsError;
use longrail_stats::promotion::Rules;

/// Attempts from which a set tells the player's pace.
const PACED: u32 = 10;
/// Sets that are looked at for the pace.
const PACES: usize = 10;
/// Seconds an attempt, between which a pace is believed: below, attempts were entered later; above, there was a break.
const PACE: (f64, f64) = (5.0, 300.0);

/// Seconds an attempt takes the player in this drill, setting up included, by the last sets that tell.
pub fn pace(state: &State, drill: &str) -> Option<f64> {
    let paces = state.sets.values().rev().filter_map(|set| {
        let (began, _) = set.began.as_ref().filter(|(_, what)| what.task.drill == drill)?;
        let tried = set.count().tried();
        // Exact: a set lasts less than 2^53 milliseconds.
        #[allow(clippy::cast_precision_loss)]
        let ms = set.last?.ms.saturating_sub(began.ms) as f64;
        let seconds = 1e-3 * ms / f64::from(tried.max(1));
        (tried >= PACED && (PACE.0..=PACE.1).contains(&seconds)).then_some(seconds)
    });
    let mut paces: Vec<f64> = paces.take(PACES).collect();
    order::sort_by(&mut paces, f64::total_cmp);
    paces.get(paces.len() / 2).copied()
}

/// What a sheet is likely to bring at this chance, at the player's own pace or, while that is not known, at the drill's.
///
/// # Errors
/// For a chance outside 0 to 1.
pub fn outlook(state: &State, rules: &Rules, drill: &Drill, chance: f64) -> Result<Outlook, StatsError> {
    let pace = pace(state, &drill.id).unwrap_or_else(|| f64::from(drill.seconds_to_reset + SHOT_SECONDS));
    before_proof(rules, chance.clamp(0.001, 0.999), pace)
}
