//! The grid that follows the weights, against a fine one that stays: brute force, with code of its own.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_math::fx;
use longrail_stats::special::normal_cdf;
use longrail_stroke::infer::{Posterior, Prior, Surface, Tally};

/// Mean and standard deviation of ln σ and of the bias for windows with these counts, on 801 × 401 values of ln σ and bias
/// over five prior standard deviations. The model is the study's, 3.1, written down again.
fn brute(rungs: &[(f64, Tally)]) -> [(f64, f64); 2] {
    let prior = Prior::default();
    let lapses = [(0.0, 0.3), (0.02, 0.4), (0.05, 0.2), (0.10, 0.1)];
    let mut ln = Vec::new();
    for i in 0..=800 {
        let x = fx::ln(0.3) + 0.6 * 5.0 * f64::from(i - 400) / 400.0;
        let sigma = fx::exp(x);
        for j in 0..=400 {
            let mu = 0.08 * 5.0 * f64::from(j - 200) / 200.0;
            let z = (x - fx::ln(prior.spread_deg)) / 0.6;
            let y = mu / 0.08;
            for (lapse, weight) in lapses {
                let mut sum = fx::ln(weight) - 0.5 * (z * z + y * y);
                for (half, tally) in rungs {
                    let (low, high) = (normal_cdf((-half - mu) / sigma), normal_cdf((mu - half) / sigma));
                    let left = (1.0 - lapse) * low + lapse / 2.0;
                    let right = (1.0 - lapse) * high + lapse / 2.0;
                    let made = (1.0 - lapse) * (1.0 - low - high);
                    // Made, left, right, missed, strayed, failed.
                    let chances = [made, left, right, left + right, 1.0, 1.0 - made];
                    for (count, chance) in tally.counts.iter().zip(chances) {
                        if *count > 0 {
                            sum += f64::from(*count) * fx::ln(chance.max(1e-300));
                        }
                    }
                }
                ln.push((x, mu, sum));
            }
        }
    }
    let most = ln.iter().map(|point| point.2).fold(f64::NEG_INFINITY, f64::max);
    let moments = |of: fn(&(f64, f64, f64)) -> f64| {
        let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
        for point in &ln {
            let weight = fx::exp(point.2 - most);
            sum += weight;
            first += weight * of(point);
            second += weight * of(point) * of(point);
        }
        (first / sum, (second / sum - first * first / sum / sum).sqrt())
    };
    [moments(|point| point.0), moments(|point| point.1)]
}

#[test]
fn the_grid_that_follows_agrees_with_a_fine_one_that_stays() {
    let cases = [
        vec![(0.2, Tally::sided(10, 3, 2))],
        vec![(0.2, Tally::of(31, 67)), (0.3, Tally::of(46, 67)), (0.43, Tally::of(57, 66))],
        vec![(0.2, Tally::of(155, 335)), (0.3, Tally::of(230, 335)), (0.43, Tally::of(285, 330))],
        vec![(0.15, Tally::sided(140, 20, 60)), (0.3, Tally::sided(190, 2, 28))],
        vec![(0.15, Tally::sided(1400, 200, 600)), (0.3, Tally::sided(1900, 20, 280))],
    ];
    for rungs in cases {
        let mut posterior = Posterior::new(Prior::default()).unwrap();
        for (half, tally) in &rungs {
            posterior.take(&Surface::window(*half), tally);
        }
        let inferred = posterior.inferred();
        let [spread, bias] = brute(&rungs);
        for (what, ours, brute) in [("ln σ", inferred.ln_spread, spread), ("bias", inferred.bias_deg, bias)]
        {
            let (mean, sd) = brute;
            // A hundredth of the standard deviation: the mean itself may be 0.
            assert!((ours.mean - mean).abs() < 0.01 * sd, "{what}, mean: {ours:?}, {brute:?}, {rungs:?}");
            assert!((ours.sd / sd - 1.0).abs() < 0.01, "{what}, sd: {ours:?}, {brute:?}, {rungs:?}");
        }
    }
}
