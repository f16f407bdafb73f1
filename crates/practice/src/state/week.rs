//! Days and weeks of ISO 8601: weeks begin on Monday, and the week of a year's first Thursday is its first.

use crate::event::Wall;
use std::fmt;

/// A week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Week {
    /// The year to which the week belongs, which in its first and last days may differ from the calendar's.
    pub year: i64,
    /// 1 to 53.
    pub number: u8,
}

const DAY_MIN: i64 = 1440;
const MIN_MS: u64 = 60_000;

impl Week {
    /// The week of a moment, by the local time of the place where it was noted.
    pub fn of(wall: Wall) -> Self {
        let day = wall.day();
        // 1 January 1970 was a Thursday. A week belongs to the year of its Thursday.
        let thursday = day - (day + 3).rem_euclid(7) + 3;
        let (year, first) = year_of(thursday);
        // At most 52, since a year has at most 366 days.
        let number = u8::try_from((thursday - first) / 7 + 1).unwrap_or(53);
        Self { year, number }
    }
}

impl fmt::Display for Week {
    /// As ISO 8601 writes it: 2026-W07.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-W{:02}", self.year, self.number)
    }
}

impl Wall {
    /// The local day, counted from 1 January 1970.
    pub fn day(self) -> i64 {
        let minutes = i64::try_from(self.ms / MIN_MS).unwrap_or(i64::MAX / 2) + i64::from(self.offset_min);
        minutes.div_euclid(DAY_MIN)
    }

    /// The local date, as ISO 8601 writes it.
    ///
    /// ```
    /// use longrail_practice::event::Wall;
    /// // 29 February 2024, 23:30 UTC, an hour east of it.
    /// let wall = Wall { ms: 1_709_249_400_000, offset_min: 60 };
    /// assert_eq!((wall.date().as_str(), wall.time().as_str()), ("2024-03-01", "00:30"));
    /// ```
    pub fn date(self) -> String {
        let day = self.day();
        let (year, first) = year_of(day);
        let leap = new_year(year + 1) - first == 366;
        let mut left = day - first;
        let mut month = 1;
        for length in [31, if leap { 29 } else { 28 }, 31, 30, 31, 30, 31, 31, 30, 31, 30] {
            if left < length {
                break;
            }
            left -= length;
            month += 1;
        }
        format!("{year:04}-{month:02}-{:02}", left + 1)
    }

    /// The local time of the day, in hours and minutes.
    pub fn time(self) -> String {
        let minutes = i64::try_from(self.ms / MIN_MS).unwrap_or(i64::MAX / 2) + i64::from(self.offset_min);
        let of_day = minutes.rem_euclid(DAY_MIN);
        format!("{:02}:{:02}", of_day / 60, of_day % 60)
    }
}

/// The year of a day, and its 1 January; both days counted from 1 January 1970.
fn year_of(day: i64) -> (i64, i64) {
    // Off by one at most, since years differ from the mean by less than two days.
    let guess = 1970 + (day * 400).div_euclid(146_097);
    [guess + 1, guess, guess - 1]
        .into_iter()
        .map(|year| (year, new_year(year)))
        .find(|(_, first)| *first <= day)
        .unwrap_or((guess, new_year(guess)))
}

/// Days from 1 January 1970 to 1 January of a year of the Gregorian calendar.
const fn new_year(year: i64) -> i64 {
    let past = year - 1;
    past * 365 + past.div_euclid(4) - past.div_euclid(100) + past.div_euclid(400) - 719_162
}

#[cfg(test)]
mod tests {
    use super::{Wall, Week};

    /// Noon UTC of days since 1970, with year and week by Python 3.11, `datetime.date.isocalendar`.
    const PYTHON: &[(u64, i64, u8)] = &[
        (0, 1970, 1),
        (3, 1970, 1),
        (361, 1970, 53),
        (364, 1970, 53),
        (2_191, 1976, 1),
        (2_194, 1976, 1),
        (2_553, 1976, 53),
        (2_556, 1976, 53),
        (4_018, 1981, 1),
        (4_021, 1981, 1),
        (4_379, 1981, 53),
        (4_382, 1981, 53),
        (10_592, 1998, 53),
        (10_595, 1999, 1),
        (10_953, 1999, 52),
        (10_956, 1999, 52),
        (10_957, 1999, 52),
        (10_960, 2000, 1),
        (11_319, 2000, 52),
        (11_322, 2000, 52),
        (12_418, 2004, 1),
        (12_421, 2004, 1),
        (12_780, 2004, 53),
        (12_783, 2004, 53),
        (12_784, 2004, 53),
        (12_787, 2005, 1),
        (13_145, 2005, 52),
        (13_148, 2005, 52),
        (13_879, 2008, 1),
        (13_882, 2008, 1),
        (14_241, 2008, 52),
        (14_244, 2009, 1),
        (14_245, 2009, 1),
        (14_248, 2009, 1),
        (14_606, 2009, 53),
        (14_609, 2009, 53),
        (16_436, 2015, 1),
        (16_439, 2015, 1),
        (16_797, 2015, 53),
        (16_800, 2015, 53),
        (16_801, 2015, 53),
        (16_804, 2016, 1),
        (17_163, 2016, 52),
        (17_166, 2016, 52),
        (18_262, 2020, 1),
        (18_265, 2020, 1),
        (18_624, 2020, 53),
        (18_627, 2020, 53),
        (18_628, 2020, 53),
        (18_631, 2021, 1),
        (18_989, 2021, 52),
        (18_992, 2021, 52),
        (19_723, 2024, 1),
        (19_726, 2024, 1),
        (20_085, 2024, 52),
        (20_088, 2025, 1),
        (20_454, 2026, 1),
        (20_457, 2026, 1),
        (20_815, 2026, 53),
        (20_818, 2026, 53),
        (20_819, 2026, 53),
        (20_822, 2027, 1),
        (21_180, 2027, 52),
        (21_183, 2027, 52),
        (22_645, 2032, 1),
        (22_648, 2032, 1),
        (23_007, 2032, 53),
        (23_010, 2032, 53),
        (47_117, 2099, 1),
        (47_120, 2099, 1),
        (47_478, 2099, 53),
        (47_481, 2099, 53),
        (47_482, 2099, 53),
        (47_485, 2100, 1),
        (47_843, 2100, 52),
        (47_846, 2100, 52),
        (47_847, 2100, 52),
        (47_850, 2101, 1),
        (48_208, 2101, 52),
        (48_211, 2101, 52),
    ];

    #[test]
    fn weeks_are_those_of_the_calendar_of_python() {
        for &(day, year, number) in PYTHON {
            let wall = Wall { ms: day * 86_400_000 + 43_200_000, offset_min: 0 };
            assert_eq!(Week::of(wall), Week { year, number }, "day {day}");
        }
    }

    #[test]
    fn dates_are_those_of_the_calendar_of_python() {
        // Python 3.11: datetime.date(1970, 1, 1) + datetime.timedelta(days).
        for (day, date) in [
            (0, "1970-01-01"),
            (58, "1970-02-28"),
            (59, "1970-03-01"),
            (10_957, "2000-01-01"),
            (11_016, "2000-02-29"),
            (11_322, "2000-12-31"),
            (19_782, "2024-02-29"),
            (20_785, "2026-11-28"),
            (47_540, "2100-02-28"),
            (47_541, "2100-03-01"),
        ] {
            assert_eq!(Wall { ms: day * 86_400_000 + 1, offset_min: 0 }.date(), date);
        }
    }

    #[test]
    fn the_local_day_decides() {
        // Sunday, 3 January 2021, 23:30 UTC is Monday in Berlin (ISO 8601: week 53 of 2020 ends on that Sunday).
        let ms = 18_630 * 86_400_000 + 84_600_000;
        assert_eq!(Week::of(Wall { ms, offset_min: 0 }), Week { year: 2020, number: 53 });
        assert_eq!(Week::of(Wall { ms, offset_min: 60 }), Week { year: 2021, number: 1 });
    }
}
