//! Placement: what the next attempt is expected to tell, and how quickly a choice by it learns.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_math::fx;
use longrail_math::random::Stream;
use longrail_stats::placement::{Curve, Placement, Shape};
use longrail_stats::special::normal_quantile;
use longrail_stats::window::Scatter;
use longrail_stats::{Count, StatsError};
use proptest::prelude::*;

#[test]
fn two_hypotheses_and_one_question_are_told_apart_as_shannon_says() {
    // Chances 0 and 1 at the first stimulus: the outcome decides, ln 2 nats. Chances alike at the second: nothing.
    // Chances .75 and .25 at the third: 1 − H(.75) bits = ln 2 − H (Shannon 1948).
    let chances = [[0.0, 1.0], [0.4, 0.4], [0.75, 0.25]];
    let mut placement = Placement::new(&[1.0, 1.0], &[0, 1], 3, |s, h| chances[s][h]).unwrap();
    let entropy = |p: f64| -p * fx::ln(p) - (1.0 - p) * fx::ln(1.0 - p);
    assert!((placement.expected_information(0) - fx::ln(2.0)).abs() < 1e-15);
    assert!(placement.expected_information(1) < 1e-15);
    assert!((placement.expected_information(2) - (fx::ln(2.0) - entropy(0.25))).abs() < 1e-15);
    assert_eq!(placement.best(), 0);
    placement.observe(0, true).unwrap();
    assert_eq!(placement.posterior(), [0.0, 1.0]);
    // What nobody allows is refused, and nothing changes.
    assert!(placement.observe(0, false).is_err());
    assert_eq!(placement.posterior(), [0.0, 1.0]);
}

#[test]
fn what_is_of_no_interest_is_not_asked_for() {
    // Both hypotheses in one group: whatever tells them apart tells nothing of interest.
    let placement = Placement::new(&[1.0, 1.0], &[0, 0], 1, |_, h| [0.1, 0.9][h]).unwrap();
    assert!(placement.expected_information(0) < 1e-15);
}

#[test]
fn a_curve_runs_from_ceiling_to_floor_and_back_to_its_stimulus() {
    let curve = Curve::new(Shape::Normal, 2.0, 0.5, 0.1, 0.02).unwrap();
    assert!((curve.chance(-50.0) - 0.98).abs() < 1e-12);
    assert!((curve.chance(50.0) - 0.10).abs() < 1e-12);
    for shape in [Shape::Normal, Shape::Logistic] {
        let curve = Curve::new(shape, 2.0, 0.5, 0.1, 0.02).unwrap();
        assert!((curve.chance(curve.stimulus_for(0.68).unwrap()) - 0.68).abs() < 1e-12);
        assert_eq!(curve.stimulus_for(0.99), None);
    }
    assert!(Curve::new(Shape::Normal, 0.0, 0.0, 0.0, 0.0).is_err());
    assert!(Curve::new(Shape::Normal, 0.0, 1.0, 0.6, 0.5).is_err());
}

#[test]
fn lists_that_do_not_fit_are_refused() {
    assert!(matches!(Placement::new(&[1.0, 1.0], &[0], 1, |_, _| 0.5), Err(StatsError::WrongLength { .. })));
    assert!(Placement::new(&[], &[], 1, |_, _| 0.5).is_err());
    assert!(Placement::new(&[0.0], &[0], 1, |_, _| 0.5).is_err());
    assert!(Placement::new(&[1.0], &[0], 1, |_, _| 1.5).is_err());
    assert!(Placement::new(&[1.0], &[usize::MAX], 1, |_, _| 0.5).is_err());
}

#[test]
fn choosing_by_information_learns_the_spread_as_fast_as_the_study_says() {
    // Section 3.5: "Psi, entropy of ln sigma only: .197 .147 .110 .083" after 25/50/100/200 attempts, "make rate .73 to
    // .76"; prior sd .5 on ln σ, lapse in {0, .02, .05, .10} with weights .3, .4, .2, .1 and unknown; lapse in truth .02.
    let lapses = [(0.0, 0.3), (0.02, 0.4), (0.05, 0.2), (0.10, 0.1)];
    let spreads: Vec<f64> = (-60..=60).map(|i| f64::from(i) * 0.03).collect();
    let widths: Vec<f64> = (-12..=12).map(|i| fx::exp(f64::from(i) * 0.1)).collect();
    let hypotheses: Vec<(f64, f64, f64, usize)> = spreads
        .iter()
        .enumerate()
        .flat_map(|(i, &x)| {
            lapses.map(|(lapse, weight)| (x, lapse, weight * fx::exp(-0.5 * x * x / 0.25), i))
        })
        .collect();
    let prior: Vec<f64> = hypotheses.iter().map(|h| h.2).collect();
    let groups: Vec<usize> = hypotheses.iter().map(|h| h.3).collect();
    let chance =
        |x: f64, lapse: f64, w: f64| Scatter::new(fx::exp(x), 0.0, lapse).unwrap().chance(w).unwrap();
    let fresh = Placement::new(&prior, &groups, widths.len(), |s, h| {
        chance(hypotheses[h].0, hypotheses[h].1, widths[s])
    })
    .unwrap();
    let (mut sds, mut made) = ([0.0; 2], 0);
    let players = 60_u32;
    for player in 0..players {
        let mut stream = Stream::new(9, 9, u64::from(player));
        let truth = 0.5 * normal_quantile(stream.unit().max(1e-12));
        let mut placement = fresh.clone();
        for attempt in 1..=50 {
            let stimulus = placement.best();
            let hit = stream.unit() < chance(truth, 0.02, widths[stimulus]);
            made += u32::from(hit);
            placement.observe(stimulus, hit).unwrap();
            if attempt % 25 == 0 {
                sds[attempt / 25 - 1] += placement.moments(|h| hypotheses[h].0).1 / f64::from(players);
            }
        }
    }
    let rate = f64::from(made) / f64::from(50 * players);
    assert!((sds[0] - 0.197).abs() < 0.015, "{sds:?}");
    assert!((sds[1] - 0.147).abs() < 0.010, "{sds:?}");
    assert!((0.71..0.79).contains(&rate), "{rate}");
}

proptest! {
    #[test]
    fn information_is_never_negative_and_never_more_than_a_yes_or_no_can_tell(
        rows in prop::collection::vec((0.0..1.0_f64, 0.0..1.0_f64, 0..3_usize), 1..12),
    ) {
        let prior: Vec<f64> = rows.iter().map(|row| row.0 + 1e-3).collect();
        let groups: Vec<usize> = rows.iter().map(|row| row.2).collect();
        let mut placement = Placement::new(&prior, &groups, 1, |_, h| rows[h].1).unwrap();
        let information = placement.expected_information(0);
        prop_assert!((0.0..=fx::ln(2.0) + 1e-12).contains(&information));
        if placement.observe_count(0, Count::new(3, 5).unwrap()).is_ok() {
            prop_assert!((placement.posterior().iter().sum::<f64>() - 1.0).abs() < 1e-12);
        }
    }
}
