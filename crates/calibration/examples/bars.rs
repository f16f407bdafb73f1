//! The bar that a steady player passes in a tenth of half-years, for several windows: how the rule that names a trend was
//! found.
//!
//! `cargo run --release -p longrail-calibration --example bars -- 2000` simulates 2,000 players for each line.
#![allow(
    clippy::print_stdout,
    clippy::cast_precision_loss,
    reason = "an example prints, and counts small numbers"
)]

use longrail_calibration::players::tasks::session;
use longrail_math::random::Stream;
use longrail_stats::StatsError;
use longrail_stats::trend::{Grid, Rule, Settings};

const SEED: u64 = 20_250_301;
const WEEKS: usize = 26;

fn main() -> Result<(), StatsError> {
    let runs: u64 = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(200);
    let grid = Grid::new(Settings::study(0.0))?;
    println!("  days  sessions/week  bar passed in 10 % (8 %) of runs");
    for days in [28.0, 42.0, 56.0] {
        for per_week in [2, 3, 5, 7] {
            let rule = Rule { days, ..Rule::STUDIED };
            let mut peaks = Vec::new();
            for run in 0..runs {
                let mut stream = Stream::new(SEED, 2, run);
                let mut sessions = Vec::new();
                let mut peak: f64 = 0.0;
                for _ in 0..per_week * WEEKS {
                    sessions.push(session(&grid, &mut stream, 0.0, rule.day_form, 7.0 / per_week as f64)?);
                    if let Some(windows) = rule.look(&grid, &sessions)? {
                        peak = peak.max(windows.chance_rose.max(1.0 - windows.chance_rose));
                    }
                }
                peaks.push(peak);
            }
            peaks.sort_by(f64::total_cmp);
            let at = |hundredths: usize| peaks.get(peaks.len() * hundredths / 100).copied().unwrap_or(1.0);
            println!("{days:6}  {per_week:13}  {:.5} ({:.5})", at(90), at(92));
        }
    }
    Ok(())
}
