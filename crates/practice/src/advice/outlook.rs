//! Before a proof: how long it is likely to take, and how it is likely to end.

use longrail_stats::StatsError;
use longrail_stats::promotion::{Rules, SHEET, sheet_chances};

/// What one sheet is likely to bring, if every attempt has the same chance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlook {
    /// The chance it was worked out for.
    pub chance: f64,
    /// Attempts after which half of all sheets are decided; none if not even a full one is.
    pub attempts: Option<u32>,
    /// The same in minutes.
    pub minutes: Option<f64>,
    /// Share of sheets that promote.
    pub promoted: f64,
    /// Share that end in a step back.
    pub stepped_back: f64,
    /// Share that are full and decide nothing.
    pub undecided: f64,
}

/// The outlook for a player of this `chance` whose attempts take so many seconds each, setting up included.
///
/// # Errors
/// [`StatsError::OutOfRange`] for a chance outside 0 to 1 or seconds outside 1 to 3600.
pub fn before_proof(rules: &Rules, chance: f64, seconds_an_attempt: f64) -> Result<Outlook, StatsError> {
    if !(1.0..=3600.0).contains(&seconds_an_attempt) {
        let (name, allowed) = ("seconds an attempt", "from 1 to 3600");
        return Err(StatsError::OutOfRange { name, value: seconds_an_attempt, allowed });
    }
    let chances = sheet_chances(rules, chance)?;
    let attempts = chances.median_to_decision();
    Ok(Outlook {
        chance,
        attempts,
        minutes: attempts.map(|attempts| f64::from(attempts) * seconds_an_attempt / 60.0),
        promoted: chances.promoted_by(SHEET),
        stepped_back: chances.stepped_back_by(SHEET),
        undecided: chances.undecided_after(SHEET),
    })
}
