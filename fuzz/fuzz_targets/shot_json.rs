//! Any text at all: the engine answers or refuses, it never panics, and its answer is JSON whose
//! numbers are finite.

#![no_main]

use libfuzzer_sys::fuzz_target;
use longrail_physics::json::{Output, run};
use serde_json::Value;

fuzz_target!(|bytes: &[u8]| {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    match run(text, Output { paths: false, states: true }) {
        Ok(answer) => {
            let answer = serde_json::from_str(&answer).expect("the answer is JSON");
            assert_finite(&answer, "answer");
        }
        Err(refusal) => assert!(!refusal.to_string().is_empty(), "a refusal says why"),
    }
});

/// JSON cannot write NaN or infinity: they become null, so a null is allowed only for a pocket.
fn assert_finite(value: &Value, at: &str) {
    match value {
        Value::Null => assert_eq!(at, "pocket", "`{at}` is null: not a finite number"),
        Value::Number(number) => {
            assert!(number.as_f64().is_some_and(f64::is_finite), "`{at}` is {number}");
        }
        Value::Array(items) => items.iter().for_each(|item| assert_finite(item, at)),
        Value::Object(fields) => fields.iter().for_each(|(name, field)| assert_finite(field, name)),
        Value::Bool(_) | Value::String(_) => {}
    }
}
