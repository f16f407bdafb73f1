//! Shots inside the legal ranges, some at their ends: no panic, finite numbers, and every ball ends
//! on the bed, in a pocket or reported as off the table.

#![no_main]

use arbitrary::{Result, Unstructured};
use libfuzzer_sys::fuzz_target;
use longrail_physics::ShotError;
use longrail_physics::json::{Output, Refusal, run};
use serde_json::{Value, json};

/// A ball that hangs in a pocket's jaws is beyond the nose lines, by less than this.
const JAW_ROOM_M: f64 = 0.15;

fuzz_target!(|bytes: &[u8]| {
    let Ok(shot) = Shot::build(&mut Unstructured::new(bytes)) else { return };
    let text = shot.json.to_string();
    match run(&text, Output { paths: false, states: false }) {
        Ok(answer) => check(&shot, &answer, &text),
        // To give up on a legal shot is a fault, unlike to refuse one.
        Err(Refusal::Shot(gave_up @ (ShotError::Stalled { .. } | ShotError::TooManyEvents { .. }))) => {
            panic!("{gave_up}: {text}")
        }
        // What this target builds may still be refused, say because a rail is in the cue's way.
        Err(refusal) => assert!(!refusal.to_string().is_empty(), "{text}"),
    }
});

struct Shot {
    json: Value,
    length: f64,
    width: f64,
    balls: usize,
}

impl Shot {
    fn build(u: &mut Unstructured<'_>) -> Result<Self> {
        let length = within(u, 1.6, 2.9)?;
        let width = length / 2.0;
        let mut places: Vec<(f64, f64)> = Vec::new();
        for _ in 0..u.int_in_range(1..=16)? {
            let place = (within(u, 0.03, length - 0.03)?, within(u, 0.03, width - 0.03)?);
            // Touching is allowed and wanted; overlapping is not.
            if places.iter().all(|other| apart(*other, place) >= 2.0 * 0.028_575) {
                places.push(place);
            }
        }
        if places.is_empty() {
            places.push((length / 4.0, width / 2.0));
        }
        let balls: Vec<Value> = places
            .iter()
            .enumerate()
            .map(|(i, (x, y))| {
                let id = if i == 0 { "cue".to_owned() } else { i.to_string() };
                json!({"id": id, "x_m": x, "y_m": y})
            })
            .collect();
        let model = *u.choose(&["impulse", "single-impulse", "simple"])?;
        let json = json!({
            "table": {"size": "9ft", "length_m": length, "width_m": width},
            "physics": {
                "sliding_friction": within(u, 0.05, 0.5)?,
                "rolling_friction": within(u, 0.003, 0.03)?,
                "spin_deceleration_rad_s2": within(u, 2.0, 30.0)?,
                "ball_restitution": within(u, 0.5, 1.0)?,
                "ball_friction": within(u, 0.0, 0.3)?,
                "cushion": {"model": model, "restitution": within(u, 0.3, 1.0)?, "friction": within(u, 0.0, 0.5)?},
                "facing": {"restitution": within(u, 0.3, 1.0)?, "friction": within(u, 0.0, 0.5)?}
            },
            "balls": balls,
            "stroke": {
                "speed_mps": within(u, 0.01, 12.0)?,
                "direction_deg": within(u, -360.0, 360.0)?,
                "tip_right": within(u, -0.5, 0.5)?,
                "tip_up": within(u, -0.5, 0.5)?,
                "elevation_deg": within(u, 0.0, 20.0)?
            }
        });
        Ok(Self { json, length, width, balls: places.len() })
    }
}

/// A number between `low` and `high`; one time in eight exactly one of them.
fn within(u: &mut Unstructured<'_>, low: f64, high: f64) -> Result<f64> {
    let part = match u.int_in_range(0_u8..=15)? {
        0 => 0.0,
        1 => 1.0,
        _ => f64::from(u.arbitrary::<u32>()?) / f64::from(u32::MAX),
    };
    Ok(low + (high - low) * part)
}

fn apart(a: (f64, f64), b: (f64, f64)) -> f64 {
    let (x, y) = (a.0 - b.0, a.1 - b.1);
    (x * x + y * y).sqrt()
}

fn check(shot: &Shot, answer: &str, text: &str) {
    let answer: Value = serde_json::from_str(answer).expect("the answer is JSON");
    let number = |value: &Value, field: &str| {
        let number = value[field].as_f64();
        number.filter(|n| n.is_finite()).unwrap_or_else(|| panic!("`{field}` is {}: {text}", value[field]))
    };
    let rest = number(&answer, "rest_time_s");
    assert!((0.0..1000.0).contains(&rest), "rest after {rest} s: {text}");
    let finals = answer["final"].as_array().expect("a list of final places");
    assert_eq!(finals.len(), shot.balls, "every ball has a final place: {text}");
    for ball in finals {
        let (x, y) = (number(ball, "x_m"), number(ball, "y_m"));
        match ball["state"].as_str() {
            Some("bed") => {
                let room = -JAW_ROOM_M;
                let inside =
                    (room..shot.length - room).contains(&x) && (room..shot.width - room).contains(&y);
                assert!(inside && ball["pocket"].is_null(), "on the bed at {x}, {y}: {text}");
            }
            Some("pocket") => assert!(ball["pocket"].is_string(), "{text}"),
            Some("off-table") => assert!(ball["pocket"].is_null(), "{text}"),
            other => panic!("state {other:?}: {text}"),
        }
    }
}
