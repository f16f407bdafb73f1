//! The shot engine and the odds for browsers and node: the JSON of `longrail shot` and
//! `longrail odds`, called from JavaScript.
//!
//! Knows how values cross between JavaScript and the engine. Does not know what they mean: each
//! function hands its text on to `longrail_physics` or `longrail_stroke` and brings the answer back.

use longrail_physics::digest::corpus_digest;
use longrail_physics::json::{self, Output};
use wasm_bindgen::prelude::{JsError, wasm_bindgen};

/// Plays one shot given as contract JSON; returns contract JSON.
///
/// `paths` adds sampled paths, `states` the balls' states before and after each event.
///
/// # Errors
/// The engine's refusal, in its own words.
#[wasm_bindgen]
pub fn shot(input: &str, paths: bool, states: bool) -> Result<String, JsError> {
    json::run(input, Output { paths, states }).map_err(|refusal| refused(&refusal))
}

/// The digest of the first `shots` shots of the corpus, as 16 hexadecimal digits. The native
/// engine gives the same.
#[wasm_bindgen]
pub fn digest(shots: u32) -> String {
    format!("{:016x}", corpus_digest(shots))
}

/// Plays the same shot `times` times and returns the sum of the rest times; for measuring.
///
/// # Errors
/// The engine's refusal, in its own words.
#[wasm_bindgen]
pub fn repeat(input: &str, times: u32) -> Result<f64, JsError> {
    json::repeat(input, times).map_err(|refusal| refused(&refusal))
}

/// The chance of a task given as JSON (docs/odds-json.md), with the hit given or the best; returns
/// JSON with `made`, `standard_error`, `shares`, `shots` and `hit`.
///
/// # Errors
/// The refusal, in its own words.
#[wasm_bindgen]
pub fn odds(input: &str, seed: u32) -> Result<String, JsError> {
    longrail_stroke::json::run(input, seed).map_err(|refusal| refused(&refusal))
}

/// Computes the same odds `times` times and returns the sum of the chances; for measuring.
///
/// # Errors
/// The refusal, in its own words.
#[wasm_bindgen]
pub fn repeat_odds(input: &str, times: u32) -> Result<f64, JsError> {
    longrail_stroke::json::repeat(input, times).map_err(|refusal| refused(&refusal))
}

fn refused(refusal: &impl std::fmt::Display) -> JsError {
    JsError::new(&refusal.to_string())
}
