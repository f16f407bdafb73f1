//! The rule that names a trend, on simulated players one by one.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_calibration::players::{Course, tasks::session};
use longrail_math::random::Stream;
use longrail_stats::trend::{Grid, Named, Rule, Settings};

fn named(course: Course, per_week: u32, run: u64) -> Vec<(usize, Named)> {
    let grid = Grid::new(Settings::study(0.0)).unwrap();
    let mut stream = Stream::new(17, 1, run);
    let count = (26 * per_week) as usize;
    let mut sessions = Vec::new();
    let mut words = Vec::new();
    for t in 0..count {
        let days = 7.0 / f64::from(per_week);
        sessions.push(session(&grid, &mut stream, course.at(t, count), 0.06, days).unwrap());
        if let Some(windows) = Rule::STUDIED.look(&grid, &sessions).unwrap() {
            words.push((t, windows.named));
        }
    }
    words
}

#[test]
fn a_real_step_is_named_and_in_the_right_direction() {
    let mut found = 0;
    for run in 0..8 {
        let words = named(Course::Step(-0.30, 26), 3, run);
        found += usize::from(words.iter().any(|&(t, word)| t >= 26 && word == Named::Fall));
        assert!(!words.iter().any(|&(t, word)| t >= 45 && word == Named::Rise), "{run}");
    }
    assert!(found >= 6, "{found} of 8");
}

#[test]
fn nothing_is_named_before_two_windows_are_full() {
    let words = named(Course::Steady, 2, 1);
    // Eleven weeks at least, two sessions a week.
    assert!(words[0].0 >= 21, "{}", words[0].0);
}
