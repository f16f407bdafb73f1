//! How often the rule that names a trend speaks although nothing changed, and how long it takes when something did.
//!
//! `cargo run --release -p longrail-stats --example trend_rule -- 2000` simulates 2,000 players of each kind with a fixed
//! seed; each is looked at after every session for 26 weeks.
#![allow(
    clippy::print_stdout,
    clippy::cast_precision_loss,
    reason = "an example prints, and counts small numbers"
)]

#[path = "../tests/common/players.rs"]
mod players;

use longrail_math::random::Stream;
use longrail_stats::StatsError;
use longrail_stats::trend::{Grid, Named, Rule, Settings};
use players::{Truth, session};

const SEED: u64 = 20_250_301;
const WEEKS: usize = 26;

fn main() -> Result<(), StatsError> {
    let runs: u64 = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(200);
    let search = std::env::args().nth(2).is_some();
    let grid = Grid::new(Settings::study(0.0))?;
    if search {
        return bars(&grid, runs);
    }
    println!(
        "sessions/week  day form  truth             told   rise   fall  plateau  right  median weeks from change"
    );
    for per_week in [2, 3, 5, 7] {
        // A step comes half-way, when two windows are full.
        let half = 13 * per_week;
        for (form, truth) in [
            (0.06, Truth::Steady),
            (0.12, Truth::Steady),
            (0.06, Truth::Step(-0.15, half)),
            (0.06, Truth::Step(-0.30, half)),
            (0.06, Truth::Step(0.30, half)),
            (0.06, Truth::Ramp(-0.15)),
            (0.06, Truth::Ramp(-0.30)),
            (0.06, Truth::Ramp(-0.60)),
        ] {
            let row = measure(&grid, &Rule::STUDIED, runs, per_week, form, truth)?;
            println!("{per_week:13}  {form:8}  {:16}  {row}", format!("{truth:?}"));
        }
    }
    Ok(())
}

/// Shares of runs in which each word was ever used.
fn measure(
    grid: &Grid,
    rule: &Rule,
    runs: u64,
    per_week: usize,
    form: f64,
    truth: Truth,
) -> Result<String, StatsError> {
    let count = per_week * WEEKS;
    let days = 7.0 / per_week as f64;
    let (mut told, mut rises, mut falls, mut plateaus, mut right) = (0, 0, 0, 0, 0);
    let mut delays = Vec::new();
    for run in 0..runs {
        let mut stream = Stream::new(SEED, 1, run);
        let (from, expected) = match truth {
            Truth::Steady => (0, None),
            Truth::Step(by, at) => (at, Some(if by > 0.0 { Named::Rise } else { Named::Fall })),
            Truth::Ramp(by) => (0, Some(if by > 0.0 { Named::Rise } else { Named::Fall })),
        };
        let mut sessions = Vec::new();
        let (mut rise, mut fall, mut plateau, mut delay) = (false, false, false, None);
        for t in 0..count {
            sessions.push(session(grid, &mut stream, truth.at(t, count), form, days)?);
            let Some(windows) = rule.look(grid, &sessions)? else { continue };
            rise |= windows.named == Named::Rise;
            fall |= windows.named == Named::Fall;
            plateau |= windows.named == Named::Plateau;
            if Some(windows.named) == expected && t >= from && delay.is_none() {
                delay = Some(t + 1 - from);
            }
        }
        told += u64::from(rise || fall);
        rises += u64::from(rise);
        falls += u64::from(fall);
        plateaus += u64::from(plateau);
        right += u64::from(delay.is_some());
        delays.push(delay.unwrap_or(usize::MAX));
    }
    delays.sort_unstable();
    let median = delays.get(delays.len() / 2).filter(|&&d| d < usize::MAX);
    let share = |n: u64| n as f64 / runs as f64;
    Ok(format!(
        "{:.3}  {:.3}  {:.3}  {:7.3}  {:5.3}  {}",
        share(told),
        share(rises),
        share(falls),
        share(plateaus),
        share(right),
        median.map_or("not by week 26".to_owned(), |&d| format!("{:.1}", d as f64 / per_week as f64))
    ))
}

/// The bar that a steady player passes in a tenth of runs, for several windows: how the rule was found.
fn bars(grid: &Grid, runs: u64) -> Result<(), StatsError> {
    println!("  days  sessions/week  bar passed in 10 % (8 %) of runs");
    for days in [28.0, 42.0, 56.0] {
        for per_week in [2, 3, 5, 7] {
            let rule = Rule { days, ..Rule::STUDIED };
            let count = per_week * WEEKS;
            let mut peaks = Vec::new();
            for run in 0..runs {
                let mut stream = Stream::new(SEED, 2, run);
                let mut sessions = Vec::new();
                let mut peak: f64 = 0.0;
                for _ in 0..count {
                    sessions.push(session(grid, &mut stream, 0.0, 0.06, 7.0 / per_week as f64)?);
                    if let Some(windows) = rule.look(grid, &sessions)? {
                        peak = peak.max(windows.chance_rose.max(1.0 - windows.chance_rose));
                    }
                }
                peaks.push(peak);
            }
            peaks.sort_by(f64::total_cmp);
            let at = |tenths: usize| peaks.get(peaks.len() * tenths / 100).copied().unwrap_or(1.0);
            println!("{days:6}  {per_week:13}  {:.5} ({:.5})", at(90), at(92));
        }
    }
    Ok(())
}
