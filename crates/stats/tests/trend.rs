//! The trend filter against exact answers. Simulated players meet it in the crate `calibration`.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_math::random::Stream;
use longrail_stats::fit::binomial;
use longrail_stats::special::normal_quantile;
use longrail_stats::trend::{Filter, Grid, Session, Settings, change_since, smooth};
use longrail_stats::{Count, Level, StatsError};
use proptest::prelude::*;

/// A standard normal number.
fn normal(stream: &mut Stream) -> f64 {
    normal_quantile(stream.unit().max(1e-18))
}

fn grid() -> Grid {
    Grid::new(Settings::study(0.0)).unwrap()
}

/// Kalman's filter and smoother for the same walk with normal observations: an exact answer that needs no grid
/// (Kalman 1960; Rauch, Tung & Striebel 1965). Observations: days since the last, value; all of variance `noise`.
fn kalman(settings: &Settings, seen: &[(f64, f64)], noise: f64) -> [Vec<(f64, f64)>; 2] {
    let (mut mean, mut variance) = (settings.prior_mean, settings.prior_sd * settings.prior_sd);
    let mut filtered: Vec<(f64, f64)> = Vec::new();
    let mut predicted = Vec::new();
    for (i, &(days, value)) in seen.iter().enumerate() {
        if i > 0 {
            variance += settings.drift(days) * settings.drift(days);
        }
        predicted.push((mean, variance));
        let gain = variance / (variance + noise);
        mean += gain * (value - mean);
        variance *= 1.0 - gain;
        filtered.push((mean, variance));
    }
    let mut smoothed = filtered.clone();
    for t in (0..seen.len() - 1).rev() {
        let gain = filtered[t].1 / predicted[t + 1].1;
        smoothed[t].0 += gain * (smoothed[t + 1].0 - predicted[t + 1].0);
        smoothed[t].1 += gain * gain * (smoothed[t + 1].1 - predicted[t + 1].1);
    }
    [filtered, smoothed]
}

fn normal_sessions(grid: &Grid, seen: &[(f64, f64)], noise: f64) -> Vec<Session> {
    let one = |&(days, value): &(f64, f64)| {
        grid.session(days, |x| -0.5 * (x - value) * (x - value) / noise).unwrap()
    };
    seen.iter().map(one).collect()
}

#[test]
fn with_normal_observations_it_is_kalman_s_filter_and_smoother() {
    let grid = grid();
    let mut stream = Stream::new(3, 3, 3);
    let seen: Vec<(f64, f64)> =
        (0..25).map(|t| (2.0 + f64::from(t % 4), -0.01 * f64::from(t) + 0.1 * normal(&mut stream))).collect();
    let noise = 0.1 * 0.1;
    let sessions = normal_sessions(&grid, &seen, noise);
    let [filtered, smoothed] = kalman(grid.settings(), &seen, noise);
    let mut filter = Filter::new(grid.clone());
    for (session, (mean, variance)) in sessions.iter().zip(&filtered) {
        filter.session(session).unwrap();
        let belief = filter.belief(Level::P80);
        assert!(
            (belief.mean - mean).abs() < 1e-5 && (belief.sd - variance.sqrt()).abs() < 1e-5,
            "{belief:?}"
        );
        // 80 % of a normal distribution: 1.281552 standard deviations either way; a cell is half a sd wide here.
        assert!((belief.interval.high - mean - 1.281_552 * variance.sqrt()).abs() < 0.004);
    }
    let ours = smooth(&grid, &sessions, Level::P80).unwrap();
    for (belief, (mean, variance)) in ours.iter().zip(&smoothed) {
        assert!(
            (belief.mean - mean).abs() < 1e-5 && (belief.sd - variance.sqrt()).abs() < 1e-4,
            "{belief:?}"
        );
    }
}

#[test]
fn the_change_since_a_session_is_the_difference_of_the_smoothed_means() {
    let grid = grid();
    let seen = [(0.0, 0.2), (3.0, 0.1), (3.0, 0.15), (10.0, -0.05), (2.0, -0.1)];
    let sessions = normal_sessions(&grid, &seen, 0.01);
    let [_, smoothed] = kalman(grid.settings(), &seen, 0.01);
    let change = change_since(&grid, &sessions, 1, Level::P80).unwrap();
    assert!((change.mean - (smoothed[4].0 - smoothed[1].0)).abs() < 1e-5, "{change:?}");
    assert_eq!((change.sessions, change.days), (3, 15.0));
    // No change to itself, for certain.
    let none = change_since(&grid, &sessions, 4, Level::P80).unwrap();
    assert_eq!((none.mean, none.sd, none.chance_rose), (0.0, 0.0, 0.5));
}

#[test]
fn sixty_days_off_widen_by_a_tenth() {
    // Section 4.1: "it also widens by itself over a layoff (60 days: sd .10)": √(.04² + .012²·60) = .1012.
    let drift = Settings::study(0.0).drift(60.0);
    assert!((drift - 0.1012).abs() < 0.000_05);
    let mut filter = Filter::new(grid());
    filter.observe(|x| -0.5 * x * x / (0.05 * 0.05)).unwrap();
    let before = filter.belief(Level::P80);
    filter.advance(60.0);
    let after = filter.belief(Level::P80);
    let expected = (before.sd * before.sd + drift * drift).sqrt();
    assert!((after.sd - expected).abs() < 1e-4 && (after.mean - before.mean).abs() < 1e-9);
}

#[test]
fn impossible_observations_are_refused_and_change_nothing() {
    let mut filter = Filter::new(grid());
    let before = filter.clone();
    assert!(filter.observe(|_| f64::NAN).is_err());
    assert!(filter.observe(|_| f64::NEG_INFINITY).is_err());
    assert_eq!(filter.weights(), before.weights());
    let other = Grid::new(Settings { points: 150, ..Settings::study(0.0) }).unwrap();
    let foreign = other.session(1.0, |_| 0.0).unwrap();
    assert!(matches!(filter.session(&foreign), Err(StatsError::WrongLength { .. })));
    assert!(Grid::new(Settings { points: 30, ..Settings::study(0.0) }).is_err());
    assert!(grid().session(-1.0, |_| 0.0).is_err());
}

proptest! {
    #[test]
    fn beliefs_stay_beliefs(counts in prop::collection::vec((0..60_u32, 0..60_u32, 0.0..400.0_f64), 1..12)) {
        let grid = grid();
        let mut filter = Filter::new(grid.clone());
        let mut sessions = Vec::new();
        for (made, missed, days) in counts {
            let count = Count::new(made, made + missed).unwrap();
            let seen = grid.session(days, |x| binomial(count, 1.0 / (1.0 + longrail_math::fx::exp(-x)))).unwrap();
            filter.session(&seen).unwrap();
            sessions.push(seen);
            let sum: f64 = filter.weights().iter().sum();
            prop_assert!((sum - 1.0).abs() < 1e-12);
            let belief = filter.belief(Level::P80);
            prop_assert!(belief.interval.low <= belief.interval.high && belief.sd >= 0.0);
        }
        let smoothed = smooth(&grid, &sessions, Level::P80).unwrap();
        // At the last session there is nothing to look ahead to.
        prop_assert!((smoothed.last().unwrap().mean - filter.belief(Level::P80).mean).abs() < 1e-12);
    }
}
