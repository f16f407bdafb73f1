//! Rates, confidence sequences, races, windows and measured values.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_stats::measured::Measured;
use longrail_stats::promotion::Evidence;
use longrail_stats::race::{Race, chance_per_step};
use longrail_stats::rate::{Prior, against, clopper_pearson, jeffreys, wilson};
use longrail_stats::special::binomial_tails;
use longrail_stats::window::{Scatter, information, most_informative, most_sensitive, spread_from_chance};
use longrail_stats::{Count, Interval, Level, StatsError, sequence};
use proptest::prelude::*;

fn count(made: u32, tried: u32) -> Count {
    Count::new(made, tried).unwrap()
}

fn within(interval: Interval) -> bool {
    0.0 <= interval.low && interval.low <= interval.high && interval.high <= 1.0
}

#[test]
fn more_made_than_tried_is_refused_with_both_numbers() {
    let refusal = Count::new(51, 50).unwrap_err();
    assert_eq!(refusal, StatsError::MoreMadeThanTried { made: 51, tried: 50 });
    assert_eq!(refusal.to_string(), "51 made of 50 tried: made cannot exceed tried");
}

#[test]
fn nothing_tried_leaves_everything_open() {
    let none = count(0, 0);
    let all = Interval { low: 0.0, high: 1.0 };
    assert_eq!(wilson(none, Level::P95), all);
    assert_eq!(clopper_pearson(none, Level::P95), all);
    assert_eq!(sequence::uniform(none, Level::P95), all);
    assert!((against(none, Prior::JEFFREYS, 0.5).unwrap().above - 0.5).abs() < 1e-15);
    // The arcsine distribution: quantiles sin²(π q/2) in closed form; at 10 % 0.024472 (any table of sines).
    assert!((jeffreys(none, Level::P80).low - 0.024_471_741_852_423).abs() < 1e-12);
}

#[test]
fn clopper_and_pearson_have_closed_forms_at_the_ends() {
    // 0 of n: the upper end is 1 − (α/2)^(1/n). For 10 and 95 %: 1 − .025^.1 = 0.308497 (Clopper & Pearson 1934).
    let interval = clopper_pearson(count(0, 10), Level::P95);
    assert_eq!(interval.low, 0.0);
    assert!((interval.high - 0.308_497_107_818_8).abs() < 1e-11);
}

#[test]
fn the_exact_interval_is_where_the_exact_tests_begin_to_reject() {
    for (made, tried) in [(1, 3), (40, 50), (999_990, 1_000_000)] {
        let interval = clopper_pearson(count(made, tried), Level::P95);
        let upper = binomial_tails(made, tried, interval.low).above;
        let lower = binomial_tails(made + 1, tried, interval.high).below;
        assert!((upper - 0.025).abs() < 1e-9 && (lower - 0.025).abs() < 1e-9, "{made}/{tried}");
    }
}

#[test]
fn a_confidence_sequence_ends_where_the_mixture_reaches_its_bar() {
    // For 1 of 1: B(2, 1)/p = 1/(2p) < 1/α, so p > α/2.
    let range = sequence::uniform(count(1, 1), Level::P95);
    assert!((range.low - 0.025).abs() < 1e-12);
    assert_eq!(range.high, 1.0);
}

#[test]
fn races_are_as_hard_as_section_7_says() {
    let table = [
        (0.30, [0.163_080, 0.098_809, 0.062_375, 0.040_277, 0.026_390]),
        (0.40, [0.317_440, 0.266_568, 0.228_844, 0.198_936, 0.174_378]),
        (0.45, [0.406_873, 0.378_579, 0.356_258, 0.337_436, 0.320_997]),
        (0.55, [0.593_127, 0.621_421, 0.643_742, 0.662_564, 0.679_003]),
        (0.60, [0.682_560, 0.733_432, 0.771_156, 0.801_064, 0.825_622]),
    ];
    let lengths = [3, 5, 7, 9, 11];
    for (p, chances) in table {
        for (length, chance) in lengths.into_iter().zip(chances) {
            let ours = Race::new(length, length).unwrap().win(p).unwrap();
            assert!((ours - chance).abs() <= 0.000_000_6, "race to {length} at {p}: {ours}");
        }
    }
    for (length, rate) in lengths.into_iter().zip([0.673, 0.634, 0.613, 0.600, 0.590]) {
        let ours = Race::new(length, length).unwrap().rate_for(0.8).unwrap();
        assert!((ours - rate).abs() <= 0.000_51, "80 % in a race to {length}: {ours}");
    }
    for (own, other, even) in
        [(5, 7, 0.411_890), (5, 9, 0.350_163), (3, 7, 0.286_237), (4, 7, 0.355_100), (6, 6, 0.5)]
    {
        let ours = Race::new(own, other).unwrap().even_rate();
        assert!((ours - even).abs() <= 0.000_000_6, "{own} against {other}: {ours}");
    }
    for (p, games) in [(0.5, 11.067), (0.4, 10.706), (0.3, 9.801)] {
        let ours = Race::new(7, 7).unwrap().expected_games(p).unwrap();
        assert!((ours - games).abs() <= 0.000_51, "{p}: {ours}");
    }
    for (balls, chance) in [(3, 0.7937), (5, 0.8706), (7, 0.9057), (9, 0.9259), (10, 0.9330)] {
        assert!((chance_per_step(balls, 0.5).unwrap() - chance).abs() <= 0.000_051);
    }
}

#[test]
fn a_hopeless_race_ends_after_the_other_side_s_wins() {
    let race = Race::new(5, 7).unwrap();
    assert_eq!(race.win(0.0).unwrap(), 0.0);
    assert_eq!(race.win(1.0).unwrap(), 1.0);
    assert_eq!(race.expected_games(0.0).unwrap(), 7.0);
    assert_eq!(race.expected_games(1.0).unwrap(), 5.0);
    assert!(Race::new(0, 7).is_err());
    assert!(race.win(1.5).is_err());
    assert!(chance_per_step(0, 0.5).is_err());
}

#[test]
fn an_attempt_tells_most_where_section_3_2_says() {
    for (lapse, p) in [(0.0, 0.8617), (0.01, 0.833), (0.02, 0.809), (0.05, 0.752)] {
        let ours = most_informative(lapse).unwrap().0;
        assert!((ours - p).abs() <= 0.000_51, "lapse {lapse}: {ours}");
    }
    assert!((most_informative(0.02).unwrap().1 - 1.154).abs() <= 0.000_51);
    // "1.016 at p near .68, .706 at p near .5", lapse .02: at one spread (p = .669), and at p = .490; at .5 it is .724.
    let (p, at_one) = information(1.0, 0.02).unwrap();
    assert!((p - 0.669).abs() < 0.001 && (at_one - 1.016).abs() <= 0.001);
    let half = 1.0 / spread_from_chance(0.49, 1.0, 0.02).unwrap();
    assert!((information(half, 0.02).unwrap().1 - 0.706).abs() <= 0.001);
    assert!((most_sensitive(0.0).unwrap() - 0.682_689).abs() < 1e-6);
}

#[test]
fn the_straight_shot_of_section_3_1_has_the_chances_printed_there() {
    // w = atan(h/d) / (D/(2R) − 1) in degrees: h 28 mm, d 1.5 diamonds, 2R 57.15 mm, diamond 317.5 mm, σ 0.25°.
    let study =
        [(1.5, 0.934), (2.0, 0.817), (2.5, 0.704), (3.0, 0.610), (3.5, 0.534), (4.0, 0.474), (5.0, 0.385)];
    let angle = longrail_math::fx::atan(28.0 / (1.5 * 317.5)).to_degrees();
    let scatter = Scatter::new(0.25, 0.0, 0.0).unwrap();
    for (diamonds, chance) in study {
        let window = angle / (diamonds * 317.5 / 57.15 - 1.0);
        let ours = scatter.chance(window).unwrap();
        assert!((ours - chance).abs() <= 0.000_6, "{diamonds}: {ours}");
    }
}

#[test]
fn student_s_sleep_data_come_out_as_published() {
    // "Student", The Probable Error of a Mean (1908), extra hours of sleep under two drugs. As R's t.test(extra ~ group)
    // prints them (R documentation, data set `sleep`): t = −1.8608, df = 17.776, p = 0.07939, interval −3.3654832 to
    // 0.2054832, means 0.75 and 2.33.
    let one = Measured::of(&[0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]).unwrap();
    let two = Measured::of(&[1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]).unwrap();
    assert!((one.mean().unwrap() - 0.75).abs() < 1e-12 && (two.mean().unwrap() - 2.33).abs() < 1e-12);
    let welch = one.compare(&two, Level::P95).unwrap();
    assert!((welch.t - 1.8608).abs() < 0.000_05);
    assert!((welch.freedom - 17.776).abs() < 0.000_5);
    assert!((welch.p - 0.079_39).abs() < 0.000_005);
    assert!((welch.interval.high - 3.365_483_2).abs() < 1e-6);
    assert!((welch.interval.low + 0.205_483_2).abs() < 1e-6);
}

#[test]
fn mean_and_spread_of_ten_have_the_textbook_intervals() {
    // n = 10, mean 0, s = 1: mean ± t(.975; 9)/√10 with t = 2.262157; s √(9/19.02277) to s √(9/2.700389): tables of t
    // and chi-square with nine degrees of freedom.
    let value = 0.9_f64.sqrt();
    let values: Vec<f64> = (0..10).map(|i| if i % 2 == 0 { value } else { -value }).collect();
    let measured = Measured::of(&values).unwrap();
    assert!((measured.spread().unwrap() - 1.0).abs() < 1e-14);
    let mean = measured.mean_interval(Level::P95).unwrap();
    assert!((mean.high - 2.262_157 / 10.0_f64.sqrt()).abs() < 1e-6);
    let spread = measured.spread_interval(Level::P95).unwrap();
    assert!((spread.low - (9.0 / 19.022_77_f64).sqrt()).abs() < 1e-6);
    assert!((spread.high - (9.0 / 2.700_389_f64).sqrt()).abs() < 1e-6);
}

#[test]
fn too_few_values_are_named() {
    let one = Measured::of(&[1.0]).unwrap();
    assert_eq!(one.spread(), Err(StatsError::TooFew { given: 1, needed: 2 }));
    assert!(Measured::of(&[f64::NAN]).is_err());
    assert!(Measured::default().mean().is_err());
}

proptest! {
    #[test]
    fn intervals_hold_the_rate_seen_and_stay_within_the_unit(made in 0..2000_u32, missed in 0..2000_u32, share in 0.01..0.999_f64) {
        let count = count(made, made + missed);
        let level = Level::new(share).unwrap();
        let all = [wilson(count, level), clopper_pearson(count, level), sequence::uniform(count, level), jeffreys(count, level)];
        for interval in all {
            prop_assert!(within(interval), "{:?}", interval);
        }
        if let Some(rate) = count.rate() {
            for interval in &all[..3] {
                prop_assert!(interval.low <= rate + 1e-12 && rate <= interval.high + 1e-12);
            }
        }
        // Jeffreys lies within Clopper–Pearson (Brown, Cai & DasGupta 2001, 4.3).
        let (exact, jeffreys) = (clopper_pearson(count, level), jeffreys(count, level));
        prop_assert!(exact.low <= jeffreys.low && jeffreys.high <= exact.high);
    }

    #[test]
    fn intervals_mirror(made in 0..500_u32, missed in 0..500_u32) {
        let count = count(made, made + missed);
        for f in [wilson, clopper_pearson, jeffreys, sequence::uniform] {
            let (one, other) = (f(count, Level::P80), f(count.mirrored(), Level::P80));
            prop_assert!((one.low + other.high - 1.0).abs() < 1e-10);
        }
    }

    #[test]
    fn no_counts_make_an_interval_panic(made in any::<u32>(), tried in any::<u32>()) {
        if let Ok(count) = Count::new(made, tried) {
            for f in [wilson, clopper_pearson, jeffreys, sequence::uniform] {
                prop_assert!(within(f(count, Level::P80)));
            }
            prop_assert!(Evidence::above(0.5).unwrap().ln_e(count.made(), count.missed()).is_finite());
        }
    }

    #[test]
    fn one_side_wins_a_race(own in 1..50_u32, other in 1..50_u32, p in 0.0..=1.0_f64) {
        let win = Race::new(own, other).unwrap().win(p).unwrap();
        let lose = Race::new(other, own).unwrap().win(1.0 - p).unwrap();
        prop_assert!((win + lose - 1.0).abs() < 1e-12);
        let games = Race::new(own, other).unwrap().expected_games(p).unwrap();
        prop_assert!(games >= f64::from(own.min(other)) - 1e-9 && games <= f64::from(own + other - 1) + 1e-9);
    }

    #[test]
    fn the_rate_for_a_wanted_chance_gives_that_chance(own in 1..30_u32, other in 1..30_u32, wanted in 0.001..0.999_f64) {
        let race = Race::new(own, other).unwrap();
        let rate = race.rate_for(wanted).unwrap();
        prop_assert!((race.win(rate).unwrap() - wanted).abs() < 1e-10);
    }

    #[test]
    fn three_outcomes_are_all_there_is(spread in 0.01..10.0_f64, bias in -5.0..5.0_f64, lapse in 0.0..0.99_f64, w in 0.0..20.0_f64) {
        let o = Scatter::new(spread, bias, lapse).unwrap().outcomes(w).unwrap();
        prop_assert!((o.low + o.made + o.high - 1.0).abs() < 1e-12);
    }
}
