//! What people type: counts, shares.

use longrail_stats::{Count, StatsError};

use crate::exit::Failure;

/// "34/50": made of tried, at least one tried.
pub(crate) fn count(text: &str) -> Result<Count, Failure> {
    let malformed = || {
        Failure::Input(format!("\"{text}\" is no count: write made/tried in whole numbers, such as 34/50"))
    };
    let (made, tried) = text.split_once('/').ok_or_else(malformed)?;
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(made) || !digits(tried) {
        return Err(malformed());
    }
    // Digits only, so what does not fit is too large.
    let too_many =
        || Failure::Input(format!("{text} is too many: at most {} attempts are counted", Count::MOST));
    let whole = |part: &str| part.parse().map_err(|_| too_many());
    let count = Count::new(whole(made)?, whole(tried)?).map_err(|error| match error {
        StatsError::TooMany { .. } => too_many(),
        other => other.into(),
    })?;
    if count.tried() == 0 {
        return Err(Failure::Input(format!("{text} has no attempts: a rate needs at least one")));
    }
    Ok(count)
}

/// "0.6" or "60%": more than 0, less than 1. `name` is what it is called in a refusal.
pub(super) fn share(name: &str, text: &str) -> Result<f64, Failure> {
    let trimmed = text.trim();
    let value = match trimmed.strip_suffix('%') {
        Some(percent) => percent.trim_end().parse::<f64>().map(|value| value / 100.0),
        None => trimmed.parse(),
    };
    match value {
        Ok(value) if value > 0.0 && value < 1.0 => Ok(value),
        _ => Err(Failure::Input(format!(
            "{name} is \"{text}\"; it must be greater than 0 and less than 1, such as 0.6 or 60%"
        ))),
    }
}

/// A count that begins with a minus sign, which the reader of the command line takes for a switch.
pub(crate) fn negative(mut arguments: impl Iterator<Item = String>) -> Option<Failure> {
    let found = arguments.find(|argument| {
        argument.strip_prefix('-').is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
    })?;
    Some(Failure::Input(format!("\"{found}\" is negative; counts are whole numbers, 0 or more")))
}
