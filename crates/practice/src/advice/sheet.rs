//! What the promotion rule makes of a sheet on record.

use crate::state;
use longrail_stats::promotion::{Rules, Sheet};
use longrail_stats::{Count, Interval, Level, StatsError, rate, sequence};

/// The sheet as the rule sees it: a look after each entry, warm-up left out.
///
/// # Errors
/// If entries follow behind the hundredth attempt, which no sheet of [`state::State`] has.
pub fn judged(sheet: &state::Sheet, rules: &Rules) -> Result<Sheet, StatsError> {
    let mut judged = Sheet::default();
    for entry in sheet.entries.iter().filter(|entry| !entry.warm_up) {
        judged.enter(rules, entry.visit, Count::new(entry.made, entry.tried)?)?;
    }
    Ok(judged)
}

/// The 80 % range of a count. One that a rule stopped flatters: its range is the one that holds however often one looks.
pub fn range(count: Count, stopped: bool) -> Interval {
    if stopped { sequence::uniform(count, Level::P80) } else { rate::jeffreys(count, Level::P80) }
}
