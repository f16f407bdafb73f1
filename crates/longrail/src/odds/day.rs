//! Days as they are typed: a date of the calendar, or a number of days from anywhere.

/// Days since 1970-01-01 of "2026-11-25", or the number itself of "12".
pub(super) fn days(text: &str) -> Result<f64, String> {
    let wrong = || format!("day is {text:?}; write a date such as 2026-11-25, or a number of days");
    let days = match text.parse::<f64>() {
        Ok(days) => days,
        Err(_) => date(text).ok_or_else(wrong)?,
    };
    if days.abs() <= 1e7 { Ok(days) } else { Err(wrong()) }
}

fn date(text: &str) -> Option<f64> {
    // The library also takes longer forms, with a time of day.
    let date: jiff::civil::Date = text.parse().ok().filter(|_| text.len() == 10)?;
    let since = date.since(jiff::civil::date(1970, 1, 1)).ok()?;
    Some(f64::from(since.get_days()))
}

#[cfg(test)]
mod tests {
    use super::days;

    #[test]
    fn dates_are_those_of_the_calendar() {
        // `date -u -d "1970-01-01 + N days" +%F` for N of 0, 11016 and 20818.
        assert_eq!(days("1970-01-01"), Ok(0.0));
        assert_eq!(days("2000-02-29"), Ok(11_016.0));
        assert_eq!(days("2026-12-31"), Ok(20_818.0));
        assert_eq!(days("12.5"), Ok(12.5));
    }

    #[test]
    fn what_is_no_day_is_refused() {
        for text in ["2026-02-29", "2026-13-01", "26-1-1", "2026-01-01-01", "tomorrow", "inf", "nan", ""] {
            assert!(days(text).is_err(), "{text}");
        }
    }
}
