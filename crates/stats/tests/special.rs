//! Distribution functions against mpmath with 50 digits, shapes up to 10⁶ and tails down to 10⁻³⁰⁰.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{number, rows, whole};
use longrail_stats::Count;
use longrail_stats::change::chance_greater;
use longrail_stats::special::{
    beta_cdf, beta_quantile, chi_square_quantile, gamma_cdf, ln_beta, ln_gamma, normal_cdf, normal_quantile,
    student_cdf, student_quantile,
};
use proptest::prelude::*;

/// Value, and the relative error that the module states.
fn ours(function: &str, inputs: &str) -> (f64, f64) {
    let x = |key| number(inputs, key);
    match function {
        "beta_cdf_below" => (beta_cdf(x("a"), x("b"), x("x")).below, 1e-12),
        "beta_cdf_above" => (beta_cdf(x("a"), x("b"), x("x")).above, 1e-12),
        "beta_quantile" => (beta_quantile(x("a"), x("b"), x("p")), 1e-11),
        "ln_beta" => (ln_beta(x("a"), x("b")), 1e-13),
        "ln_gamma" => (ln_gamma(x("x")), 1e-15),
        "normal_cdf" => (normal_cdf(x("z")), 1e-15 * (1.0 + x("z") * x("z"))),
        "normal_quantile" => (normal_quantile(x("p")), 1e-14),
        "gamma_cdf_below" => (gamma_cdf(x("a"), x("x")).below, 1e-12),
        "gamma_cdf_above" => (gamma_cdf(x("a"), x("x")).above, 1e-12),
        "chi_square_quantile" => (chi_square_quantile(x("k"), x("p")), 1e-11),
        "student_cdf_below" => (student_cdf(x("v"), x("t")).below, 1e-12),
        "chance_greater" => {
            let count = |s, n| Count::new(whole(inputs, s), whole(inputs, n)).unwrap();
            (chance_greater(count("s1", "n1"), count("s2", "n2")), 1e-10)
        }
        "student_quantile" => (student_quantile(x("v"), x("p")), 1e-10),
        other => panic!("no function for {other}"),
    }
}

#[test]
fn special_functions_keep_their_stated_errors_even_for_a_million_attempts() {
    let mut wrong = Vec::new();
    let rows = rows("special_functions.csv");
    assert!(rows.len() > 150);
    for row in &rows {
        let expected: f64 = row["expected"].parse().unwrap();
        let (value, bound) = ours(&row["function"], &row["inputs"]);
        // ln B passes through zero, and its stated error has an absolute part; that of a comparison is absolute.
        let absolute = ["ln_beta", "chance_greater"].contains(&row["function"].as_str());
        let scale = if absolute { expected.abs().max(1.0) } else { expected.abs() };
        let error = (value - expected).abs();
        // A number below 10⁻³⁰⁷ has no relative precision left.
        if !(error <= bound * scale || expected.abs() < 1e-307) {
            wrong.push(format!(
                "{} {}: {value:e} {expected:e}, {:e}",
                row["function"],
                row["inputs"],
                error / scale
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn outside_their_domain_they_answer_nan_and_do_not_stop() {
    let bad = [f64::NAN, -1.0, 2.0, f64::INFINITY, f64::NEG_INFINITY];
    for a in bad {
        assert!(beta_cdf(a.min(-0.0), 1.0, 0.5).below.is_nan());
        assert!(beta_cdf(1.0, 1.0, a).below.is_nan());
        assert!(beta_quantile(1.0, 1.0, a).is_nan());
        assert!(normal_quantile(a).is_nan());
        assert!(student_quantile(3.0, a).is_nan());
        assert!(chi_square_quantile(3.0, a).is_nan());
    }
}

proptest! {
    #[test]
    fn a_quantile_undoes_its_distribution(a in 0.5..3000.0_f64, b in 0.5..3000.0_f64, p in 1e-9..1.0_f64) {
        let x = beta_quantile(a, b, p);
        let tails = beta_cdf(a, b, x);
        // At x near 1 the distribution moves by more than rounding of p from one number to the next.
        prop_assert!((tails.below - p).abs() < 1e-9 * p.max(1e-3) || x > 1.0 - 1e-9);
    }

    #[test]
    fn tails_add_up_and_mirror(a in 0.01..1e4_f64, b in 0.01..1e4_f64, x in 0.0..1.0_f64) {
        let (tails, mirror) = (beta_cdf(a, b, x), beta_cdf(b, a, 1.0 - x));
        prop_assert!((tails.below + tails.above - 1.0).abs() < 1e-14);
        prop_assert!((tails.below - mirror.above).abs() < 1e-9);
    }

    #[test]
    fn no_argument_makes_them_panic_or_leave_the_unit_interval(a in any::<f64>(), b in any::<f64>(), x in any::<f64>()) {
        // Up to 10⁹ is promised; larger shapes may take long, so they are cut.
        let (a, b) = (a.min(1e9), b.min(1e9));
        let below = beta_cdf(a, b, x).below;
        prop_assert!(below.is_nan() || (0.0..=1.0).contains(&below));
    }
}
