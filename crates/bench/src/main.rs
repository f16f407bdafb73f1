//! Measures the engine, the statistics and the record. `longrail-bench record` measures the record
//! alone, and `longrail-bench stroke` strokes.
//!
//! **Knows** the shots that stand for play, ten years of practice, the clock, and the protocol of `cargo xtask bench`: one JSON
//! object a line with name, value, unit, target and note.
//! **Does not know** how the engine works.
//!
//! Times are the median of repeats: the machines are shared, and a median forgives a neighbour.

mod accuracy;
mod evidence;
mod form;
mod record;
#[cfg(feature = "rigid-body")]
mod rigid_body;
mod shots;
mod stroke;

use std::hint::black_box;
use std::time::Instant;

use longrail_physics::{Cue, Engine};
use serde_json::{Value, json};
use shots::Shot;

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["callgrind"] => {
            for shot in shots::all() {
                say(&shot.name);
            }
        }
        ["callgrind", name] => {
            let Some(shot) = shots::all().into_iter().find(|shot| shot.name == name) else {
                say("there is no such shot");
                std::process::exit(2);
            };
            let mut engine = Engine::new();
            for _ in 0..3 {
                play(&shot, &mut engine);
            }
            measured_shot(&shot, &mut engine);
        }
        ["record"] => record::figures(),
        ["stroke"] => stroke::figures(),
        ["record-open", file] => record::child(file),
        _ => all(),
    }
}

fn all() {
    for shot in shots::all() {
        let note = format!("{} balls, {} events", shot.layout.balls().len(), shot.events());
        figure(&shot.name, time_us(&shot), "µs", shot.target_us, &note);
    }
    examples();
    accuracy::figures();
    evidence::figures();
    stroke::figures();
    form::figures();
    record::figures();
    #[cfg(feature = "rigid-body")]
    rigid_body::figures();
}

/// Plays of an example in one round.
const PLAYS: u32 = 2000;

/// The shots of `examples/shots`, by the same function that `tests/wasm/bench.mjs` times: their ratio is the browser's.
fn examples() {
    for name in ["break.json", "demo.json"] {
        let Ok(input) = std::fs::read_to_string(format!("examples/shots/{name}")) else {
            say(&format!("examples/shots/{name} is not there: run from the root of the repository"));
            continue;
        };
        let mut times: Vec<f64> = (0..31)
            .map(|_| {
                let started = Instant::now();
                let _ = black_box(longrail_physics::json::repeat(&input, PLAYS));
                started.elapsed().as_secs_f64() * 1e6 / f64::from(PLAYS)
            })
            .collect();
        times.sort_by(f64::total_cmp);
        figure(&format!("native: {name}"), times[times.len() / 2], "µs", None, "as the browser plays it");
    }
}

/// Median time of one play in microseconds.
fn time_us(shot: &Shot) -> f64 {
    let mut engine = Engine::new();
    // As many plays as fill about 5 ms.
    let started = Instant::now();
    let mut plays = 0_u32;
    while started.elapsed().as_micros() < 5000 {
        play(shot, &mut engine);
        plays += 1;
    }
    let mut times: Vec<f64> = (0..101)
        .map(|_| {
            let started = Instant::now();
            for _ in 0..plays {
                play(shot, &mut engine);
            }
            started.elapsed().as_secs_f64() * 1e6 / f64::from(plays)
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn play(shot: &Shot, engine: &mut Engine) {
    let stroke = black_box(&shot.stroke);
    // The shots are known to play; a failure would show as an absurd time and an event count of none.
    let outcome = engine.play(&shot.world, black_box(&shot.layout), Some(stroke), &Cue::default(), &mut ());
    let _ = black_box(outcome);
    black_box(engine.rest_time_s());
}

/// One play; callgrind counts inside this function alone.
#[inline(never)]
fn measured_shot(shot: &Shot, engine: &mut Engine) {
    play(shot, engine);
}

/// Tells one figure.
fn figure(name: &str, value: f64, unit: &str, target: Option<f64>, note: &str) {
    let line: Value = json!({"name": name, "value": value, "unit": unit, "target": target, "note": note});
    say(&line.to_string());
}

#[allow(clippy::print_stdout)]
fn say(line: &str) {
    println!("{line}");
}
