//! An attempt costs no allocation, neither on a sheet nor in the trend. One test, so that no other thread allocates.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_math::fx;
use longrail_stats::Count;
use longrail_stats::fit::binomial;
use longrail_stats::promotion::{Rules, Sheet, Strictness};
use longrail_stats::trend::{Filter, Grid, Settings};
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};
use std::alloc::System;

#[global_allocator]
static GLOBAL: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

#[test]
fn an_attempt_allocates_nothing() {
    let rules = Rules::new(0.5, Strictness::Usual).unwrap();
    let mut sheet = Sheet::default();
    let mut filter = Filter::new(Grid::new(Settings::study(0.0)).unwrap());
    let count = Count::new(30, 50).unwrap();
    let seen = |x: f64| binomial(count, 1.0 / (1.0 + fx::exp(-x)));
    filter.observe(seen).unwrap();

    let region = Region::new(GLOBAL);
    for shot in 0..100 {
        sheet.attempt(&rules, shot / 50, shot % 3 == 0).unwrap();
    }
    let advice = sheet.advice(&rules);
    filter.advance(3.0);
    filter.observe(seen).unwrap();
    assert_eq!(region.change().allocations, 0);
    assert_eq!(advice.count.tried(), 100);
}
