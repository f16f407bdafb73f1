//! What the quick things cost: `cargo run --release -p longrail-stats --example times`.
#![allow(clippy::print_stdout, reason = "an example prints")]

use longrail_math::fx;
use longrail_stats::fit::binomial;
use longrail_stats::promotion::{Rules, Sheet, Strictness};
use longrail_stats::trend::{Filter, Grid, Settings};
use longrail_stats::{Count, Level, StatsError, change, rate};
use std::hint::black_box;
use std::time::Instant;

/// Prints the least of five means, which other work on the machine disturbs least.
fn time(name: &str, limit: &str, times: u32, mut job: impl FnMut(u32)) {
    let mut least = f64::INFINITY;
    for _ in 0..5 {
        let start = Instant::now();
        (0..times).for_each(&mut job);
        least = least.min(start.elapsed().as_secs_f64() / f64::from(times));
    }
    println!("{name:44} {:10.1} ns   {limit}", least * 1e9);
}

fn main() -> Result<(), StatsError> {
    let rules = Rules::new(0.5, Strictness::Usual)?;
    let mut sheet = Sheet::default();
    time("one attempt on a sheet", "(at most 50 ns)", 1_000_000, |i| {
        if sheet.ended() {
            sheet = Sheet::default();
        }
        // An open sheet takes an attempt.
        let _ = black_box(sheet.attempt(black_box(&rules), 1, black_box(i % 2 == 0)));
    });
    time("one attempt and the evidence as a number", "", 1_000_000, |i| {
        if sheet.ended() {
            sheet = Sheet::default();
        }
        let _ = sheet.attempt(black_box(&rules), 1, i % 2 == 0);
        black_box(rules.promote().evidence().ln_e(sheet.made(), sheet.tried() - sheet.made()));
    });
    time("the advice", "", 100_000, |_| {
        black_box(sheet.advice(black_box(&rules)));
    });
    time("rules for a target", "", 1000, |_| {
        black_box(Rules::new(black_box(0.5), Strictness::Usual).is_ok());
    });
    let count = Count::new(30, 50)?;
    let mut filter = Filter::new(Grid::new(Settings::study(0.0))?);
    time("one session in the trend filter", "(at most 20 us)", 20_000, |_| {
        filter.advance(3.0);
        let _ = black_box(filter.observe(|x| binomial(count, 1.0 / (1.0 + fx::exp(-x)))));
    });
    let (first, second) = (Count::new(50, 100)?, Count::new(65, 100)?);
    time("chance that 65/100 is better than 50/100", "(at most 50 us)", 20_000, |_| {
        black_box(change::chance_greater(black_box(first), black_box(second)));
    });
    let (first, second) = (Count::new(500_000, 1_000_000)?, Count::new(501_000, 1_000_000)?);
    time("the same for a million tries each", "", 100, |_| {
        black_box(change::chance_greater(black_box(first), black_box(second)));
    });
    time("Jeffreys interval", "", 20_000, |_| {
        black_box(rate::jeffreys(black_box(count), Level::P80));
    });
    Ok(())
}
