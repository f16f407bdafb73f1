//! Comparisons against section 2 of the study of progression (scipy, statsmodels, mpmath) and by property.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_stats::change::{
    Collection, Direction, Picked, Sample, Word, attempts_to_settle, chance_greater, chance_greater_under,
    compare, fisher_two_sided, newcombe, threshold,
};
use longrail_stats::rate::Prior;
use longrail_stats::special::binomial_tails;
use longrail_stats::{Count, Level, StatsError};
use proptest::prelude::*;

fn count(made: u32, tried: u32) -> Count {
    Count::new(made, tried).unwrap()
}

/// Counts, Fisher, Newcombe, Jeffreys, uniform: the first table of section 2; NaN where it has a dash.
const TABLE: [([u32; 4], [f64; 5]); 8] = [
    ([20, 50, 30, 50], [0.071_342, 0.004_576, 0.375_244, 0.977_516, 0.976_426]),
    ([25, 50, 35, 50], [0.065_578, 0.008_312, 0.372_366, 0.979_696, 0.978_585]),
    ([30, 50, 41, 50], [0.026_605, 0.041_873, 0.380_836, 0.992_720, f64::NAN]),
    ([30, 50, 36, 50], [0.291_173, -0.064_469, 0.293_708, 0.897_498, 0.894_730]),
    ([5, 10, 8, 10], [0.349_845, -0.106_672, 0.599_872, 0.920_972, 0.908_669]),
    ([10, 20, 15, 20], [0.190_793, -0.046_836, 0.493_646, 0.949_458, 0.944_551]),
    ([50, 100, 65, 100], [0.044_932, 0.013_084, 0.279_252, 0.984_187, 0.983_737]),
    ([80, 100, 90, 100], [0.073_428, 0.000_149, 0.199_474, 0.976_828, 0.975_173]),
];

#[test]
fn the_comparisons_of_section_2_come_out_as_printed() {
    for ([s1, n1, s2, n2], study) in TABLE {
        let (first, second) = (count(s1, n1), count(s2, n2));
        let difference = newcombe(first, second, Level::P95);
        let ours = [
            fisher_two_sided(first, second),
            difference.low,
            difference.high,
            chance_greater(first, second),
            chance_greater_under(first, Prior::UNIFORM, second, Prior::UNIFORM),
        ];
        for (ours, study) in ours.into_iter().zip(study) {
            assert!(study.is_nan() || (ours - study).abs() <= 0.000_001, "{s2}/{n2}: {ours} {study}");
        }
    }
}

/// n, first made, smallest second made by Fisher .05, Newcombe 95 %, Jeffreys .95 and .90: second table of section 2.
const SMALLEST: [(u32, u32, [Option<u32>; 4]); 16] = [
    (10, 3, [Some(9), Some(8), Some(7), Some(6)]),
    (10, 5, [Some(10), Some(10), Some(9), Some(8)]),
    (10, 7, [None, None, Some(10), Some(10)]),
    (10, 8, [None, None, None, Some(10)]),
    (20, 6, [Some(14), Some(13), Some(12), Some(10)]),
    (20, 10, [Some(17), Some(16), Some(16), Some(14)]),
    (20, 14, [Some(20), Some(19), Some(19), Some(18)]),
    (20, 16, [None, None, Some(20), Some(19)]),
    (50, 15, [Some(26), Some(25), Some(23), Some(22)]),
    (50, 25, [Some(36), Some(35), Some(34), Some(32)]),
    (50, 35, [Some(44), Some(44), Some(42), Some(41)]),
    (50, 40, [Some(48), Some(47), Some(46), Some(45)]),
    (100, 30, [Some(45), Some(44), Some(42), Some(39)]),
    (100, 50, [Some(65), Some(64), Some(62), Some(60)]),
    (100, 70, [Some(83), Some(82), Some(81), Some(78)]),
    (100, 80, [Some(91), Some(90), Some(89), Some(87)]),
];

#[test]
fn the_smallest_second_score_that_passes_is_that_of_section_2() {
    for (n, s1, study) in SMALLEST {
        let first = count(s1, n);
        let smallest = |passes: &dyn Fn(Count) -> bool| (s1..=n).find(|&s2| passes(count(s2, n)));
        let ours = [
            smallest(&|second| fisher_two_sided(first, second) < 0.05),
            smallest(&|second| newcombe(first, second, Level::P95).low > 0.0),
            smallest(&|second| chance_greater(first, second) >= 0.95),
            smallest(&|second| chance_greater(first, second) >= 0.90),
        ];
        assert_eq!(ours, study, "{s1}/{n}");
    }
}

#[test]
fn a_gain_of_ten_points_is_noticed_as_seldom_as_the_study_says() {
    // "noticed with probability .13 / .14 / .25 / .42 (Jeffreys .95) at n = 10/20/50/100"; false alarm .058 .042 .045 .052.
    let study = [(10, 0.13, 0.058), (20, 0.14, 0.042), (50, 0.25, 0.045), (100, 0.42, 0.052)];
    for (n, power, alarm) in study {
        let exactly = |k: u32, p: f64| binomial_tails(k, n, p).above - binomial_tails(k + 1, n, p).above;
        let noticed = |p2: f64| -> f64 {
            let mut sum = 0.0;
            for s1 in 0..=n {
                for s2 in s1..=n {
                    if chance_greater(count(s1, n), count(s2, n)) >= 0.95 {
                        sum += exactly(s1, 0.5) * exactly(s2, p2);
                    }
                }
            }
            sum
        };
        assert!((noticed(0.6) - power).abs() <= 0.005_1, "{n}: {}", noticed(0.6));
        assert!((noticed(0.5) - alarm).abs() <= 0.000_51, "{n}: {}", noticed(0.5));
    }
}

#[test]
fn words_have_their_thresholds_and_tighten_with_the_number_of_comparisons() {
    use Direction::{Down, Up};
    assert_eq!(Word::of(0.5, 1), Word::NotSettled(None));
    assert_eq!(Word::of(0.899, 1), Word::NotSettled(Some(Up)));
    assert_eq!(Word::of(0.90, 1), Word::Leaning(Up));
    assert_eq!(Word::of(0.95, 1), Word::Likely(Up));
    assert_eq!(Word::of(0.99, 1), Word::Clear(Up));
    assert_eq!(Word::of(0.005, 1), Word::Clear(Down));
    assert_eq!(Word::of(0.02, 1).text(), "likely down");
    // Section 2: "picking the best pair among k needs a threshold of 1 - .05/k".
    assert_eq!(threshold(0.05, 5), 0.99);
    assert_eq!(Word::of(0.985, 5), Word::Leaning(Up));
    assert_eq!(Word::of(0.99, 5), Word::Likely(Up));
}

#[test]
fn a_rate_that_a_rule_stopped_is_not_compared() {
    let stopped = Sample { count: count(13, 16), collection: Collection::StoppedByRule };
    let fixed = Sample::fixed(count(20, 50));
    for (first, second) in [(stopped, fixed), (fixed, stopped)] {
        let refusal = compare(first, second, 1, Picked::Beforehand).unwrap_err();
        assert_eq!(refusal, StatsError::StoppedByRule { made: 13, tried: 16 });
        assert!(refusal.to_string().contains("flatters"));
    }
    let after = compare(fixed, fixed, 3, Picked::AfterLooking).unwrap();
    assert_eq!((after.picked, after.comparisons, after.chance_greater), (Picked::AfterLooking, 3, 0.5));
}

#[test]
fn nothing_against_nothing_is_even() {
    let none = count(0, 0);
    assert_eq!(chance_greater(none, none), 0.5);
    assert_eq!(fisher_two_sided(none, none), 1.0);
    assert_eq!(newcombe(none, count(3, 4), Level::P95).low, -1.0);
    assert_eq!(attempts_to_settle(none, count(3, 4), 0.95).unwrap().both, None);
}

#[test]
fn what_would_settle_it_does_settle_it_and_one_fewer_does_not() {
    let (first, second) = (count(30, 50), count(36, 50));
    let more = attempts_to_settle(first, second, 0.95).unwrap().both.unwrap();
    // Whole counts at the same rates nearby, with the sum instead of the integral.
    let at = |n: u32| chance_greater(count(n * 3 / 5, n), count(n * 18 / 25, n));
    let above = (50 + more).next_multiple_of(25);
    assert!(at(above) >= 0.95, "{more}");
    assert!(at(above - 25) < 0.95, "{more}");
    // A first count of ten leaves so much doubt that no number of further attempts settles it.
    assert_eq!(attempts_to_settle(count(5, 10), count(6, 10), 0.95).unwrap().second_alone, None);
}

proptest! {
    #[test]
    fn either_is_the_greater(n1 in 0..700_u32, n2 in 0..700_u32, q1 in 0.0..=1.0_f64, q2 in 0.0..=1.0_f64) {
        let made = |n: u32, q: f64| (0..=n).find(|&k| f64::from(k) >= q * f64::from(n)).unwrap_or(n);
        let (first, second) = (count(made(n1, q1), n1), count(made(n2, q2), n2));
        let (up, down) = (chance_greater(first, second), chance_greater(second, first));
        prop_assert!((up + down - 1.0).abs() < 1e-10);
        // Misses are makes of the opposite.
        prop_assert!((chance_greater(first.mirrored(), second.mirrored()) - down).abs() < 1e-10);
    }

    #[test]
    fn fisher_and_newcombe_do_not_care_which_side_is_called_made(s1 in 0..60_u32, f1 in 0..60_u32, s2 in 0..60_u32, f2 in 0..60_u32) {
        let (first, second) = (count(s1, s1 + f1), count(s2, s2 + f2));
        let p = fisher_two_sided(first, second);
        prop_assert!((0.0..=1.0).contains(&p));
        prop_assert!((p - fisher_two_sided(second, first)).abs() < 1e-9);
        prop_assert!((p - fisher_two_sided(first.mirrored(), second.mirrored())).abs() < 1e-9);
        let (there, back) = (newcombe(first, second, Level::P80), newcombe(second, first, Level::P80));
        prop_assert!((there.low + back.high).abs() < 1e-12);
    }

    #[test]
    fn no_counts_make_a_comparison_panic(a in any::<u32>(), b in any::<u32>(), c in 0..2000_u32, d in 0..2000_u32, k in any::<u32>()) {
        if let (Ok(first), Ok(second)) = (Count::new(a, b), Count::new(c.min(d), d)) {
            let result = compare(Sample::fixed(first), Sample::fixed(second), k, Picked::Beforehand).unwrap();
            prop_assert!((0.0..=1.0).contains(&result.chance_greater));
        }
    }
}
