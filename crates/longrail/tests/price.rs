//! `longrail price` as a person meets it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{answer, longrail, refused};
use serde_json::{Value, json};

fn shot(constraints: &Value) -> Value {
    json!({
        "balls": [{"id": "cue", "along": 5, "across": 1}, {"id": "1", "along": 6.5, "across": 2.5}],
        "goal": {"all": [{"pot": {"ball": "1", "pocket": "foot-left"}}]},
        "player": {"reference": "solid"},
        "constraints": constraints,
    })
}

#[test]
fn a_streak_costs_the_power_of_the_chance() {
    let answer = answer(&["price", "--json"], &shot(&json!([{"streak": 3}])).to_string());
    let prices = answer["prices"].as_array().unwrap();
    assert_eq!(prices.len(), 2);
    let made = prices[0]["chance"].as_f64().unwrap();
    // Attempts that do not depend on each other multiply.
    assert!((prices[1]["chance"].as_f64().unwrap() - made * made * made).abs() < 1e-12, "{answer}");
    let text = longrail(&["price"], &shot(&json!([{"streak": 3}])).to_string());
    let text = String::from_utf8(text.stdout).unwrap();
    assert!(text.contains("3 in a row") && text.contains("did not depend on each other"), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
}

#[test]
fn wrong_constraints_are_refused_in_a_line() {
    for (constraints, says) in [
        (json!([]), "1 to 12"),
        (json!([{"streak": 1}]), "streak is 1; it must be 2 to 20"),
        (json!([{"smaller_zone": 0.5}]), "no zone or distance"),
        (json!([{"longer_cue": 1}]), "constraints"),
        (json!([{"blocker": {"along": 5, "across": 1}}]), "blocker 1"),
    ] {
        refused(&["price"], &shot(&constraints).to_string(), 3, says);
    }
    // Elsewhere they are not left out in silence.
    refused(&["odds"], &shot(&json!(["no_side"])).to_string(), 3, "longrail price");
}
