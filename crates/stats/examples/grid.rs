//! Random cases for a comparison with other libraries: one line of JSON each, `{"function", "inputs", "value"}`.
//!
//! `cargo run -p longrail-stats --example grid -- 500 | python3 crates/stats/tests/reference_python/compare.py` computes
//! 500 cases of each function, the same every time, and holds them against scipy and statsmodels.
#![allow(clippy::print_stdout, reason = "an example prints")]

use longrail_math::fx;
use longrail_math::random::Stream;
use longrail_stats::measured::Measured;
use longrail_stats::race::Race;
use longrail_stats::rate::{Prior, against, clopper_pearson, jeffreys, wilson};
use longrail_stats::special::{
    beta_cdf, beta_quantile, binomial_tails, chi_square_quantile, gamma_cdf, normal_quantile, student_cdf,
    student_quantile,
};
use longrail_stats::window::Scatter;
use longrail_stats::{Count, Level, StatsError, change, sequence};
use serde_json::{Value, json};

const SEED: u64 = 2_718_281;

type Case = fn(&mut Stream) -> Result<(Value, f64), StatsError>;

/// A count whose number of tries is spread over the magnitudes 1 to `most`, at any rate.
fn count(stream: &mut Stream, most: f64) -> Result<Count, StatsError> {
    let tried = fx::exp(stream.unit() * fx::ln(most));
    // From 1 to `most`, which fits.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let tried = tried as u32;
    Count::new(stream.below(tried + 1), tried)
}

fn level(stream: &mut Stream) -> Result<Level, StatsError> {
    Level::new(stream.between(0.5, 0.999))
}

fn one(count: Count, level: Level) -> Value {
    json!({"s": count.made(), "n": count.tried(), "level": level.share()})
}

fn two(a: Count, b: Count) -> Value {
    json!({"s1": a.made(), "n1": a.tried(), "s2": b.made(), "n2": b.tried()})
}

fn shape(stream: &mut Stream) -> f64 {
    fx::exp(stream.between(-0.7, 9.0))
}

/// Each function with a way to draw a case.
const CASES: [(&str, Case); 24] = [
    ("wilson_low", |s| {
        let (c, l) = (count(s, 1e5)?, level(s)?);
        Ok((one(c, l), wilson(c, l).low))
    }),
    ("wilson_high", |s| {
        let (c, l) = (count(s, 1e5)?, level(s)?);
        Ok((one(c, l), wilson(c, l).high))
    }),
    ("jeffreys_low", |s| {
        let (c, l) = (count(s, 1e5)?, level(s)?);
        Ok((one(c, l), jeffreys(c, l).low))
    }),
    ("jeffreys_high", |s| {
        let (c, l) = (count(s, 1e5)?, level(s)?);
        Ok((one(c, l), jeffreys(c, l).high))
    }),
    ("clopper_pearson_low", |s| {
        let (c, l) = (count(s, 1e5)?, level(s)?);
        Ok((one(c, l), clopper_pearson(c, l).low))
    }),
    ("clopper_pearson_high", |s| {
        let (c, l) = (count(s, 1e5)?, level(s)?);
        Ok((one(c, l), clopper_pearson(c, l).high))
    }),
    ("posterior_above", |s| {
        let (c, target) = (count(s, 1e5)?, s.unit());
        let value = against(c, Prior::JEFFREYS, target)?.above;
        Ok((json!({"s": c.made(), "n": c.tried(), "target": target}), value))
    }),
    ("confidence_sequence_low", |s| {
        let (c, l) = (count(s, 1e4)?, level(s)?);
        Ok((one(c, l), sequence::uniform(c, l).low))
    }),
    ("confidence_sequence_high", |s| {
        let (c, l) = (count(s, 1e4)?, level(s)?);
        Ok((one(c, l), sequence::uniform(c, l).high))
    }),
    ("chance_greater", |s| {
        let (a, b) = (count(s, 2e3)?, count(s, 2e3)?);
        Ok((two(a, b), change::chance_greater(a, b)))
    }),
    ("newcombe_low", |s| {
        let (a, b) = (count(s, 1e4)?, count(s, 1e4)?);
        Ok((two(a, b), change::newcombe(a, b, Level::P95).low))
    }),
    ("newcombe_high", |s| {
        let (a, b) = (count(s, 1e4)?, count(s, 1e4)?);
        Ok((two(a, b), change::newcombe(a, b, Level::P95).high))
    }),
    ("fisher", |s| {
        let (a, b) = (count(s, 2e3)?, count(s, 2e3)?);
        Ok((two(a, b), change::fisher_two_sided(a, b)))
    }),
    ("beta_cdf", |s| {
        let (a, b, x) = (shape(s), shape(s), s.unit());
        Ok((json!({"a": a, "b": b, "x": x}), beta_cdf(a, b, x).below))
    }),
    ("beta_quantile", |s| {
        let (a, b, p) = (shape(s), shape(s), s.between(1e-6, 1.0));
        Ok((json!({"a": a, "b": b, "p": p}), beta_quantile(a, b, p)))
    }),
    ("binomial_at_least", |s| {
        let (c, p) = (count(s, 1e5)?, s.unit());
        let value = binomial_tails(c.made(), c.tried(), p).above;
        Ok((json!({"k": c.made(), "n": c.tried(), "p": p}), value))
    }),
    ("normal_quantile", |s| {
        let p = s.unit().max(1e-12);
        Ok((json!({"p": p}), normal_quantile(p)))
    }),
    ("student_cdf", |s| {
        let (freedom, t) = (shape(s), s.between(-8.0, 8.0));
        Ok((json!({"freedom": freedom, "t": t}), student_cdf(freedom, t).below))
    }),
    ("student_quantile", |s| {
        let (freedom, p) = (shape(s), s.between(1e-4, 0.9999));
        Ok((json!({"freedom": freedom, "p": p}), student_quantile(freedom, p)))
    }),
    ("chi_square_quantile", |s| {
        let (freedom, p) = (shape(s), s.between(1e-4, 0.9999));
        Ok((json!({"freedom": freedom, "p": p}), chi_square_quantile(freedom, p)))
    }),
    ("gamma_cdf", |s| {
        let a = shape(s);
        let x = a * fx::exp(s.between(-2.0, 1.5));
        Ok((json!({"a": a, "x": x}), gamma_cdf(a, x).below))
    }),
    ("race_win", |s| {
        let (own, other, p) = (s.below(50) + 1, s.below(50) + 1, s.unit());
        Ok((json!({"own": own, "other": other, "p": p}), Race::new(own, other)?.win(p)?))
    }),
    ("welch_p", |s| {
        let mut draw = |scale: f64, shift: f64| -> Vec<f64> {
            (0..3 + s.below(30)).map(|_| shift + scale * normal_quantile(s.unit().max(1e-12))).collect()
        };
        let (a, b) = (draw(1.0, 0.0), draw(2.0, 0.5));
        let p = Measured::of(&a)?.compare(&Measured::of(&b)?, Level::P95)?.p;
        Ok((json!({"a": a, "b": b}), p))
    }),
    ("window_chance", |s| {
        let (spread, bias, lapse, w) =
            (s.between(0.05, 2.0), s.between(-1.0, 1.0), s.between(0.0, 0.2), s.between(0.0, 3.0));
        let value = Scatter::new(spread, bias, lapse)?.chance(w)?;
        Ok((json!({"spread": spread, "bias": bias, "lapse": lapse, "half_width": w}), value))
    }),
];

fn main() -> Result<(), StatsError> {
    let cases = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(500);
    for (purpose, (function, case)) in (0..).zip(CASES) {
        for index in 0..cases {
            let (inputs, value) = case(&mut Stream::new(SEED, purpose, index))?;
            println!("{}", json!({"function": function, "inputs": inputs, "value": value}));
        }
    }
    Ok(())
}
