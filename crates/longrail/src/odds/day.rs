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
    let mut parts = text.split('-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() || (year.len(), month.len(), day.len()) != (4, 2, 2) {
        return None;
    }
    let (year, month, day) =
        (year.parse::<u16>().ok()?, month.parse::<u16>().ok()?, day.parse::<u16>().ok()?);
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let most = match month {
        2 => 28 + u16::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return None,
    };
    if !(1..=most).contains(&day) {
        return None;
    }
    // Hinnant, "chrono-Compatible Low-Level Date Algorithms", days_from_civil: years begin in March.
    let (year, month, day) = (i32::from(year), i32::from(month), i32::from(day));
    let year = if month <= 2 { year - 1 } else { year };
    let era = year.div_euclid(400);
    let of_era = year.rem_euclid(400);
    let of_year = (153 * (month + if month > 2 { -3 } else { 9 }) + 2) / 5 + day - 1;
    Some(f64::from(era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468))
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
