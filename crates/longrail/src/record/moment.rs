//! When something happened.

use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use jiff::{Timestamp, Zoned};
use longrail_practice::desk::Now;
use longrail_practice::event::Wall;

use crate::exit::Failure;

/// A day; zones are less apart.
const DAY_MS: u64 = 86_400_000;
/// 1 January 2000, milliseconds since 1970 UTC.
const EARLIEST_MS: u64 = 946_684_800_000;

/// This moment; events are dated `at`, if that is given.
pub(super) fn now(at: Option<&str>) -> Result<Now, Failure> {
    let clock = Zoned::now();
    let wall = match at {
        Some(text) => read(text)?,
        None => wall(&clock),
    };
    Ok(Now { clock_ms: ms(clock.timestamp()), wall })
}

fn wall(at: &Zoned) -> Wall {
    // An offset is a day at most.
    let offset_min = i16::try_from(at.offset().seconds() / 60).unwrap_or(0);
    Wall { ms: ms(at.timestamp()), offset_min }
}

fn ms(at: Timestamp) -> u64 {
    u64::try_from(at.as_millisecond()).unwrap_or(0)
}

/// A local date and time as a moment; none if clocks jumped over it in a way that names no moment.
pub(super) fn at(local: DateTime) -> Option<Wall> {
    local.to_zoned(TimeZone::system()).ok().map(|at| wall(&at))
}

/// "2026-11-03T18:00", in local time, or with an offset behind it.
fn read(text: &str) -> Result<Wall, Failure> {
    let local = || text.parse::<DateTime>().ok().and_then(at);
    let zoned = || {
        let pieces = jiff::fmt::temporal::Pieces::parse(text).ok()?;
        let (date, time) = (pieces.date(), pieces.time()?);
        let offset = pieces.to_numeric_offset()?;
        date.to_datetime(time).to_zoned(offset.to_time_zone()).ok().map(|at| wall(&at))
    };
    let found = zoned().or_else(local);
    let latest = ms(Timestamp::now()) + DAY_MS;
    if found.is_some_and(|wall| !(EARLIEST_MS..=latest).contains(&wall.ms)) {
        return Err(Failure::Input(format!("--at {text}: it must be from 2000-01-01 to now")));
    }
    found.ok_or_else(|| {
        Failure::Input(format!("--at {text:?} is no time: write it as 2026-11-03T18:00, or with an offset as 2026-11-03T18:00+01:00"))
    })
}

/// Minutes from one moment to another; 0 if the later comes first.
pub(super) fn minutes(from: Wall, to: Wall) -> u32 {
    u32::try_from(to.ms.saturating_sub(from.ms) / 60_000).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::read;

    #[test]
    fn a_time_with_an_offset_is_read_exactly_and_nonsense_is_told() {
        let wall = read("2024-02-29T23:30+01:00").unwrap();
        // 22:30 UTC on that day: date -u -d 2024-02-29T22:30Z +%s gives 1709245800 (GNU coreutils).
        assert_eq!((wall.ms, wall.offset_min), (1_709_245_800_000, 60));
        assert!(read("2024-02-29T23:30").is_ok());
        for text in ["yesterday", "2024-02-30T10:00", ""] {
            assert!(read(text).is_err(), "{text}");
        }
    }
}
