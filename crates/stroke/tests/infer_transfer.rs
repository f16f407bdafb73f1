//! What was learnt on one table, on another; and between one session and the next.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_math::fx;
use longrail_math::random::Stream;
use longrail_stats::special::{normal_cdf, normal_quantile};
use longrail_stroke::infer::{Offset, Posterior, Prior, Seen, Surface, Tally};

fn normal(random: &mut Stream) -> f64 {
    normal_quantile(random.between(1e-12, 1.0))
}

/// The study's window (3.1) for a straight shot from `diamonds` on a table whose diamonds measure `diamond_mm`; the object
/// ball lies 1.5 diamonds from the pocket, which leaves 28 mm clear to either side.
fn window(diamonds: f64, diamond_mm: f64) -> f64 {
    let angle = fx::atan(28.0 / (1.5 * diamond_mm)).to_degrees();
    angle / (diamonds * diamond_mm / 57.15 - 1.0)
}

/// Chance of a make through a window, with a lapse of 2 %.
fn made(half: f64, sigma: f64, bias: f64) -> f64 {
    0.98 * (normal_cdf((half - bias) / sigma) - normal_cdf((-half - bias) / sigma))
}

/// Attempts through a window, with the side of each miss.
fn shot(random: &mut Stream, half: f64, sigma: f64, bias: f64, attempts: u32) -> Tally {
    let mut tally = Tally::default();
    for _ in 0..attempts {
        let error = bias + sigma * normal(random);
        let side = if error < 0.0 { Seen::Left } else { Seen::Right };
        if random.unit() < 0.02 {
            tally.add(if random.below(2) == 0 { Seen::Left } else { Seen::Right });
        } else {
            tally.add(if error.abs() > half { side } else { Seen::Made });
        }
    }
    tally
}

/// Rungs on either table. The study names those on 9 ft; "three 7-ft rungs" are taken to be the same.
const DIAMONDS: [f64; 3] = [2.5, 3.5, 4.5];

const SEVEN: f64 = 247.65;
const NINE: f64 = 317.5;

/// How often 80 % ranges of three 9-ft rungs hold the true chance after attempts at three 7-ft rungs, with nothing added to
/// ln σ and with the table's offset; the true difference between the tables has standard deviation `extra`.
fn covered(players: u32, attempts: u32, extra: f64) -> [f64; 2] {
    let mut random = Stream::new(34, 4, u64::from(attempts));
    let mut held = [0_u32; 2];
    for _ in 0..players {
        let (sigma, bias) = (0.25, 0.0);
        let mut posterior = Posterior::new(Prior::default()).unwrap();
        let seen = DIAMONDS
            .map(|diamonds| window(diamonds, SEVEN))
            .map(|half| (Surface::window(half), shot(&mut random, half, sigma, bias, attempts / 3)));
        posterior.take_all(seen.iter().map(|(surface, tally)| (surface, tally, None)));
        let there = sigma * fx::exp(extra * normal(&mut random));
        for diamonds in DIAMONDS {
            let half = window(diamonds, NINE);
            let (surface, truth) = (Surface::window(half), made(half, there, bias));
            for (held, offset) in held.iter_mut().zip([None, Some(Offset::table("9ft"))]) {
                let range = posterior.predicted_under(&surface, Seen::Made, offset.as_ref());
                *held += u32::from(range.low <= truth && truth <= range.high);
            }
        }
    }
    held.map(|held| f64::from(held) / f64::from(3 * players))
}

#[test]
fn a_stroke_carried_from_seven_feet_to_nine_covers_as_the_study_says() {
    // Study, 3.4: coverage of 80 % ranges with 0 and with .10 added, for these attempts and true differences. It does not
    // say with how many players; 60, as in its 4.1, have errors of .04 to .06 (the three rungs of a player go together), and
    // twice that, .12, is allowed. At sigma = .25, the study's own player of 3.1, without bias.
    let rows = [
        (100, 0.0, [0.77, 0.92]),
        (100, 0.10, [0.69, 0.80]),
        (100, 0.20, [0.41, 0.53]),
        (200, 0.0, [0.83, 0.98]),
    ];
    for (attempts, extra, published) in rows {
        let ours = covered(300, attempts, extra);
        for (ours, published) in ours.iter().zip(published) {
            assert!((ours - published).abs() < 0.12, "{attempts}, {extra}: {ours} instead of {published}");
        }
        // What is added is worth having wherever tables differ.
        assert!(ours[1] > ours[0] + 0.05);
    }
}

/// No lapses, and next to no bias: what is left is ln σ.
fn plain() -> Prior {
    let lapses = [(0.0, 1.0), (0.02, 0.0), (0.05, 0.0), (0.10, 0.0)];
    Prior { bias_sd_deg: 0.005, lapses, ..Prior::default() }
}

/// Mean and standard deviation of values with ln of their weights.
fn moments(points: &[(f64, f64)]) -> (f64, f64) {
    let most = points.iter().map(|point| point.1).fold(f64::NEG_INFINITY, f64::max);
    let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
    for (value, ln) in points {
        let weight = fx::exp(ln - most);
        sum += weight;
        first += weight * value;
        second += weight * value * value;
    }
    (first / sum, (second / sum - first * first / sum / sum).sqrt())
}

/// ln of the chance of `made` of `tried` through a window.
fn ln_chance(ln_sigma: f64, half: f64, made: u32, tried: u32) -> f64 {
    let chance = 2.0 * normal_cdf(half / fx::exp(ln_sigma)) - 1.0;
    f64::from(made) * fx::ln(chance) + f64::from(tried - made) * fx::ln((1.0 - chance).max(1e-300))
}

#[test]
fn a_lay_off_widens_by_the_formula() {
    // Study, 4.1: sd √(.04² + .012² · days), "60 days: sd .10"; variances of independent normal numbers add up.
    for days in [0.0, 3.0, 60.0, 400.0] {
        let mut posterior = Posterior::new(plain()).unwrap();
        posterior.take(&Surface::window(0.25), &Tally::of(136, 200));
        let before = posterior.inferred().ln_spread;
        posterior.session(days).unwrap();
        let after = posterior.inferred().ln_spread;
        let step = 0.0016 + 0.000_144 * days;
        assert!((days - 60.0).abs() > 0.1 || (step.sqrt() - 0.10).abs() < 0.0013);
        assert!((after.sd / (before.sd * before.sd + step).sqrt() - 1.0).abs() < 0.005, "{days}: {after:?}");
        assert!((after.mean - before.mean).abs() < 0.002);
    }
    let mut posterior = Posterior::new(plain()).unwrap();
    assert!(posterior.session(-1.0).is_err() && posterior.session(f64::NAN).is_err());
}

#[test]
fn sessions_one_after_the_other_are_filtered_as_by_a_fine_grid() {
    // A player who improves by a third over eight sessions; brute force: 1,201 values of ln σ, every step a full sum.
    let sessions: [(f64, u32); 8] =
        [(0.0, 20), (2.0, 24), (5.0, 23), (1.0, 28), (40.0, 27), (3.0, 31), (3.0, 33), (7.0, 34)];
    let mut posterior = Posterior::new(plain()).unwrap();
    let grid: Vec<f64> = (0..=1200).map(|k| fx::ln(0.3) - 2.4 + 0.004 * f64::from(k)).collect();
    let mut weights: Vec<f64> =
        grid.iter().map(|x| (x - fx::ln(0.3)) / 0.6).map(|z| fx::exp(-0.5 * z * z)).collect();
    for (number, (days, made)) in sessions.into_iter().enumerate() {
        if number > 0 {
            posterior.session(days).unwrap();
            let variance = 0.0016 + 0.000_144 * days;
            weights = grid
                .iter()
                .map(|to| {
                    let from = grid.iter().zip(&weights);
                    from.map(|(from, weight)| weight * fx::exp(-0.5 * (to - from) * (to - from) / variance))
                        .sum()
                })
                .collect();
        }
        // In two helpings: their order and number do not matter.
        for made in [made / 2, made - made / 2] {
            posterior.take(&Surface::window(0.25), &Tally::of(made, 20));
        }
        for (x, weight) in grid.iter().zip(&mut weights) {
            *weight *= fx::exp(ln_chance(*x, 0.25, made, 40));
        }
        let points: Vec<(f64, f64)> =
            grid.iter().zip(&weights).map(|(x, weight)| (*x, fx::ln(weight.max(1e-300)))).collect();
        let (mean, sd) = moments(&points);
        let ours = posterior.inferred().ln_spread;
        assert!((ours.mean - mean).abs() < 0.01 * sd, "{number}: {ours:?} {mean} {sd}");
        assert!((ours.sd / sd - 1.0).abs() < 0.01, "{number}: {ours:?} {mean} {sd}");
    }
}

#[test]
fn own_attempts_on_another_table_replace_the_prediction() {
    // Brute force over ln σ and the offset, whose standard deviation is .10 (study, 3.4).
    let other = Offset::table("9ft");
    for (made_there, tried_there) in [(0, 0), (18, 50), (180, 500)] {
        let mut posterior = Posterior::new(plain()).unwrap();
        let (here, there) = (Tally::of(136, 200), Tally::of(made_there, tried_there));
        posterior.take_all([
            (&Surface::window(0.25), &here, None),
            (&Surface::window(0.15), &there, Some(&other)),
        ]);
        let (mut own, mut chance) = (Vec::new(), Vec::new());
        for i in 0..=600 {
            let x = fx::ln(0.3) - 1.5 + 0.005 * f64::from(i);
            let z = (x - fx::ln(0.3)) / 0.6;
            for j in -50..=50 {
                let d = 0.01 * f64::from(j);
                let y = d / 0.10;
                let ln = -0.5 * (z * z + y * y)
                    + ln_chance(x, 0.25, 136, 200)
                    + ln_chance(x + d, 0.15, made_there, tried_there);
                own.push((x, ln));
                chance.push((2.0 * normal_cdf(0.15 / fx::exp(x + d)) - 1.0, ln));
            }
        }
        // The offset has seven values, so that a hundredth is too much to ask.
        let (inferred, (mean, sd)) = (posterior.inferred().ln_spread, moments(&own));
        assert!((inferred.mean - mean).abs() < 0.05 * sd, "{tried_there}: {inferred:?} {mean} {sd}");
        assert!((inferred.sd / sd - 1.0).abs() < 0.03, "{tried_there}: {inferred:?} {mean} {sd}");
        let predicted = posterior.predicted_under(&Surface::window(0.15), Seen::Made, Some(&other));
        let (mean, sd) = moments(&chance);
        assert!((predicted.mean - mean).abs() < 0.05 * sd, "{tried_there}: {predicted:?} {mean} {sd}");
        assert!((predicted.sd / sd - 1.0).abs() < 0.05, "{tried_there}: {predicted:?} {mean} {sd}");
    }
}

#[test]
fn one_attempt_after_the_other_says_the_same_as_all_at_once() {
    let (here, there) = (Surface::window(0.25), Surface::window(0.15));
    let other = Offset::table("9ft").and(&Offset::family("draw"));
    let cycle = [Seen::Made, Seen::Left, Seen::Made, Seen::Missed, Seen::Made, Seen::Right, Seen::Failed];
    let mut one_by_one = Posterior::new(Prior::default()).unwrap();
    let (mut tally_here, mut tally_there) = (Tally::default(), Tally::default());
    for (k, seen) in (0..120).zip(cycle.into_iter().cycle()) {
        if k % 3 == 0 {
            one_by_one.attempt(&there, Some(&other), seen);
            tally_there.add(seen);
        } else {
            one_by_one.attempt(&here, None, seen);
            tally_here.add(seen);
        }
    }
    let mut at_once = Posterior::new(Prior::default()).unwrap();
    at_once.take_all([(&here, &tally_here, None), (&there, &tally_there, Some(&other))]);
    let (a, b) = (one_by_one.inferred(), at_once.inferred());
    // Other grids, the same posterior.
    for (a, b) in [(a.ln_spread, b.ln_spread), (a.bias_deg, b.bias_deg)] {
        assert!((a.mean - b.mean).abs() < 0.01 * b.sd && (a.sd / b.sd - 1.0).abs() < 0.01, "{a:?} {b:?}");
    }
    let there_now = |posterior: &Posterior| posterior.predicted_under(&there, Seen::Made, Some(&other));
    assert!((there_now(&one_by_one).mean - there_now(&at_once).mean).abs() < 0.001);
}
