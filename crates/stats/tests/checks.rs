//! Every row of `stats_checks.csv`, through the public interface, each within the row's own tolerance. Where a value
//! comes from stands in its `source` column: scipy, statsmodels, mpmath, or a closed form.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{number, rows, text, whole};
use longrail_stats::promotion::Evidence;
use longrail_stats::race::{Race, chance_per_step};
use longrail_stats::rate::{Prior, against, clopper_pearson, jeffreys, wilson};
use longrail_stats::special::{beta_quantile, binomial_tails};
use longrail_stats::window::{Scatter, most_informative, most_sensitive, spread_from_chance};
use longrail_stats::{Count, Level, change, sequence};

fn count(inputs: &str) -> Count {
    Count::new(whole(inputs, "s"), whole(inputs, "n")).unwrap()
}

fn pair(inputs: &str) -> (Count, Count) {
    let one = |s, n| Count::new(whole(inputs, s), whole(inputs, n)).unwrap();
    (one("s1", "n1"), one("s2", "n2"))
}

fn level(inputs: &str) -> Level {
    Level::new(number(inputs, "conf")).unwrap()
}

fn race(inputs: &str) -> (Race, f64) {
    (Race::new(whole(inputs, "to"), whole(inputs, "opp_to")).unwrap(), number(inputs, "p"))
}

/// The rows use the mixture that the crate has built in.
fn mixture_is_ours(inputs: &str) {
    assert_eq!(text(inputs, "weights"), "0.5|0.3|0.2");
    assert_eq!(text(inputs, "fractions"), "0.2|0.4|0.6");
}

fn ours(function: &str, i: &str) -> f64 {
    match function {
        "posterior_prob_above" => {
            let prior = Prior::new(number(i, "a"), number(i, "b")).unwrap();
            against(count(i), prior, number(i, "target")).unwrap().above
        }
        "wilson_lower" => wilson(count(i), level(i)).low,
        "wilson_upper" => wilson(count(i), level(i)).high,
        "clopper_pearson_lower" => clopper_pearson(count(i), level(i)).low,
        "jeffreys_lower" => jeffreys(count(i), level(i)).low,
        "jeffreys_upper" => jeffreys(count(i), level(i)).high,
        "fisher_two_sided_p" => change::fisher_two_sided(pair(i).0, pair(i).1),
        "newcombe_diff_lower" => change::newcombe(pair(i).0, pair(i).1, level(i)).low,
        "newcombe_diff_upper" => change::newcombe(pair(i).0, pair(i).1, level(i)).high,
        "prob_p2_greater_p1" => {
            assert_eq!(text(i, "prior"), "Jeffreys");
            change::chance_greater(pair(i).0, pair(i).1)
        }
        "log_e_promote" => {
            mixture_is_ours(i);
            Evidence::above(number(i, "p0")).unwrap().ln_e(count(i).made(), count(i).missed())
        }
        "log_e_step_back" => {
            mixture_is_ours(i);
            Evidence::below(number(i, "q0")).unwrap().ln_e(count(i).made(), count(i).missed())
        }
        "confidence_sequence_lower" => {
            sequence::uniform(count(i), Level::new(1.0 - number(i, "alpha")).unwrap()).low
        }
        "confidence_sequence_upper" => {
            sequence::uniform(count(i), Level::new(1.0 - number(i, "alpha")).unwrap()).high
        }
        "ladder_make_prob" => {
            let scatter = Scatter::new(number(i, "sigma"), 0.0, number(i, "lapse")).unwrap();
            scatter.chance(number(i, "w")).unwrap()
        }
        "ladder_make_prob_bias" => {
            let scatter = Scatter::new(number(i, "sigma"), number(i, "mu"), number(i, "lapse")).unwrap();
            scatter.chance(number(i, "w")).unwrap()
        }
        "ladder_sigma_from_p" => {
            spread_from_chance(number(i, "p"), number(i, "w"), number(i, "lapse")).unwrap()
        }
        "max_information_make_prob" => most_informative(number(i, "lapse")).unwrap().0,
        "max_sensitivity_make_prob" => most_sensitive(number(i, "lapse")).unwrap(),
        "race_win_prob" => race(i).0.win(race(i).1).unwrap(),
        "race_expected_racks" => race(i).0.expected_games(race(i).1).unwrap(),
        "run_out_per_ball" => chance_per_step(whole(i, "balls"), number(i, "rack_p")).unwrap(),
        "binomial_sf" => binomial_tails(whole(i, "k"), whole(i, "n"), number(i, "p")).above,
        "beta_quantile" => beta_quantile(number(i, "a"), number(i, "b"), number(i, "q")),
        other => panic!("{other} cannot be posed"),
    }
}

#[test]
fn every_check_value_of_the_study_is_met() {
    let rows = rows("stats_checks.csv");
    assert_eq!(rows.len(), 58, "section 8 of the study counts 58 cases");
    let mut wrong = Vec::new();
    for row in &rows {
        let expected: f64 = row["expected"].parse().unwrap();
        let tolerance: f64 = row["tolerance"].parse().unwrap();
        let value = ours(&row["function"], &row["inputs"]);
        let misses = (value - expected).abs() > tolerance;
        if misses || value.is_nan() {
            wrong.push(format!("{} {}: {value} instead of {expected}", row["id"], row["function"]));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
