//! What the statistics of made and missed cost.

use std::hint::black_box;
use std::time::Instant;

use longrail_math::fx;
use longrail_stats::fit::binomial;
use longrail_stats::promotion::{Rules, Sheet, Strictness};
use longrail_stats::trend::{Filter, Grid, Settings};
use longrail_stats::{Count, Level, StatsError, change, rate};

use crate::figure;

/// Tells the figures; a refusal by the statistics is told in their place.
pub(crate) fn figures() {
    if let Err(error) = measure() {
        crate::say(&format!("the statistics were not measured: {error}"));
    }
}

fn measure() -> Result<(), StatsError> {
    sheets()?;
    let mut filter = Filter::new(Grid::new(Settings::study(0.0))?);
    let count = Count::new(30, 50)?;
    let session = median_ns(|_| {
        filter.advance(3.0);
        // A likelihood of finite values is always taken.
        let _ = black_box(filter.observe(|x| binomial(count, 1.0 / (1.0 + fx::exp(-x)))));
    });
    figure("trend filter, one update", session / 1e3, "µs", Some(20.0), "three days on, 30 of 50 made");
    for (tried, later, target) in [(100, 65, Some(50.0)), (1_000_000, 501_000, None)] {
        let (first, second) = (Count::new(tried / 2, tried)?, Count::new(later, tried)?);
        let time = median_ns(|_| {
            black_box(change::chance_greater(black_box(first), black_box(second)));
        });
        let note = format!("{} and {later} of {tried} each", tried / 2);
        figure(&format!("chance that a rate is the better, n = {tried}"), time / 1e3, "µs", target, &note);
    }
    let interval = median_ns(|_| {
        black_box(rate::jeffreys(black_box(count), Level::P80));
    });
    figure("Jeffreys interval", interval / 1e3, "µs", None, "30 of 50");
    Ok(())
}

fn sheets() -> Result<(), StatsError> {
    let rules = Rules::new(0.5, Strictness::Usual)?;
    let mut sheet = Sheet::default();
    let attempt = median_ns(|round| {
        if sheet.ended() {
            sheet = Sheet::default();
        }
        // An open sheet takes an attempt.
        let _ = black_box(sheet.attempt(black_box(&rules), 1, black_box(round % 2 == 0)));
    });
    figure(
        "promotion sheet, one attempt",
        attempt,
        "ns",
        Some(50.0),
        "every other made, new sheets included",
    );
    let advice = median_ns(|_| {
        black_box(sheet.advice(black_box(&rules)));
    });
    figure("promotion sheet, the advice", advice, "ns", None, "with both evidences and what is still needed");
    let made = median_ns(|_| {
        black_box(Rules::new(black_box(0.5), Strictness::Usual).is_ok());
    });
    figure("promotion rule for a target", made / 1e3, "µs", None, "made once");
    Ok(())
}

/// Median over 101 repeats of the mean time of a round, in nanoseconds; a repeat lasts about 2 ms.
fn median_ns(mut round: impl FnMut(u32)) -> f64 {
    let started = Instant::now();
    let mut rounds = 0_u32;
    while started.elapsed().as_micros() < 2000 {
        // The clock costs as much as a quick round, so it is asked seldom.
        for _ in 0..64 {
            round(rounds);
            rounds += 1;
        }
    }
    let mut times: Vec<f64> = (0..101)
        .map(|_| {
            let started = Instant::now();
            (0..rounds).for_each(&mut round);
            started.elapsed().as_secs_f64() * 1e9 / f64::from(rounds)
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}
