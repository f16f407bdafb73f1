//! `longrail shot` as a person or a program meets it: through the built command.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{longrail, scratch};

const SHOT: &str = r#"{"balls": [{"id": "cue", "x_m": 1.5, "y_m": 0.5}, {"id": "1", "along": 6.6142, "across": 2.6772}],
  "stroke": {"speed_mps": 3.0, "direction_deg": 29.15, "tip_up": -0.35}}"#;

#[test]
fn json_has_events_final_and_rest_time() {
    let out = longrail(&["shot", "--json", "--states", "--paths"], SHOT);
    assert!(out.status.success());
    assert!(out.stderr.is_empty());
    let json: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let events = json["events"].as_array().unwrap();
    assert_eq!(events[0]["kind"], "strike");
    let meeting = events.iter().find(|event| event["kind"] == "ball").unwrap();
    assert_eq!((&meeting["ball"], &meeting["with"]), (&"cue".into(), &"1".into()));
    assert_eq!(meeting["before"].as_array().unwrap().len(), 2);
    for field in ["id", "x_m", "y_m", "vx_mps", "vy_mps", "wx_rad_s", "wy_rad_s", "wz_rad_s"] {
        assert!(!meeting["after"][0][field].is_null(), "{field}");
    }
    let last = &json["final"][1];
    assert_eq!(
        (&last["id"], &last["pocket"], &last["state"]),
        (&"1".into(), &"foot-left".into(), &"pocket".into())
    );
    assert!(json["final"][0]["pocket"].is_null());
    assert!(json["rest_time_s"].as_f64().unwrap() > 1.0);
    assert!(json["paths"][0]["points"].as_array().unwrap().len() > 50);
}

#[test]
fn the_summary_says_what_happened_in_words() {
    let out = longrail(&["shot"], SHOT);
    let text = String::from_utf8(out.stdout).unwrap();
    for part in ["cue ball is struck", "cue ball hits the 1", "the 1 drops in foot-left", "At rest after"] {
        assert!(text.contains(part), "{part} in\n{text}");
    }
}

#[test]
fn pictures_are_written_as_svg_and_png() {
    let (svg, png) = (scratch("shot.svg"), scratch("shot.png"));
    let out = longrail(&["shot", "--svg", svg.to_str().unwrap(), "--png", png.to_str().unwrap()], SHOT);
    assert!(out.status.success());
    assert!(std::fs::read_to_string(&svg).unwrap().starts_with("<svg"));
    assert_eq!(std::fs::read(&png).unwrap()[..8], *b"\x89PNG\r\n\x1a\n");
}

#[test]
fn every_kind_of_bad_input_gets_one_line_a_code_and_nothing_written() {
    let cue = r#"{"id": "cue", "x_m": 1, "y_m": 0.5}"#;
    let with_stroke = |stroke: &str| format!(r#"{{"balls": [{cue}], "stroke": {stroke}}}"#);
    let with = |part: &str| format!(r#"{{{part}, "balls": [{cue}]}}"#);
    let cases: Vec<(String, i32, &str)> = vec![
        ("nonsense".into(), 3, "not JSON"),
        (String::new(), 3, "standard input is empty: give a shot"),
        (r#"{"balls": []}"#.into(), 3, "no ball"),
        (with(r#""tabel": {}"#), 3, "tabel"),
        (with(r#""table": {"foo": 1}"#), 3, "table.foo"),
        (with(r#""table": {"size": "12ft"}"#), 3, "9ft"),
        (with(r#""table": {"pockets": {"middle": {"mouth_m": 0.1}}}"#), 3, "foot-left"),
        (with(r#""table": {"corner_mouth_m": 0.5}"#), 3, "corner_mouth_m is 0.5 m"),
        (with(r#""physics": {"sliding_friction": -1}"#), 3, "sliding_friction"),
        (with(r#""physics": {"cushion": {"model": "soft"}}"#), 3, "single-impulse"),
        (with(r#""physics": {"ball_friction": "high"}"#), 3, "a number"),
        (r#"{"balls": [{"id": "cue", "x_m": NaN, "y_m": 0.5}]}"#.into(), 3, "not JSON"),
        (r#"{"balls": [{"id": "cue", "x_m": 1e999, "y_m": 0.5}]}"#.into(), 3, "out of range"),
        (r#"{"balls": [{"id": "cue", "x_m": 1}]}"#.into(), 3, "along"),
        (r#"{"balls": [{"id": "cue", "x_m": 1, "y_m": 0.01}]}"#.into(), 3, "in a rail"),
        (r#"{"balls": [{"id": "cue", "x_m": 4, "y_m": 0.5}]}"#.into(), 3, "off the table"),
        (r#"{"balls": [{"id": "cue", "x_m": -0.03, "y_m": -0.03}]}"#.into(), 3, "pocket head-right"),
        (format!(r#"{{"balls": [{cue}, {{"id": "1", "x_m": 1.03, "y_m": 0.5}}]}}"#), 3, "overlap by 27.150 mm"),
        (format!(r#"{{"balls": [{cue}, {{"id": "cue", "x_m": 2, "y_m": 0.5}}]}}"#), 3, "two balls"),
        (with_stroke(r#"{"speed_mps": 0, "direction_deg": 0}"#), 3, "speed_mps"),
        (with_stroke(r#"{"speed_mps": 1}"#), 3, "direction_deg"),
        (with_stroke(r#"{"speed_mps": 1, "direction_deg": 0, "tip_up": 0.6}"#), 4, "miscue"),
        (r#"{"balls": [{"id": "1", "x_m": 1, "y_m": 0.5}], "stroke": {"speed_mps": 1, "direction_deg": 0}}"#.into(), 3, "\"cue\""),
        (r#"{"cue": {"clearance": "refuse"}, "balls": [{"id": "cue", "x_m": 0.03, "y_m": 0.5}], "stroke": {"speed_mps": 1, "direction_deg": 0}}"#.into(), 4, "head rail"),
    ];
    for (k, (input, code, part)) in cases.iter().enumerate() {
        let svg = scratch(&format!("refused-{k}.svg"));
        let out = longrail(&["shot", "--json", "--svg", svg.to_str().unwrap()], input);
        let line = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(*code), "{input}: {line}");
        assert_eq!(line.lines().count(), 1, "{input}: {line}");
        assert!(line.contains(part), "{input}: {line}");
        assert!(out.stdout.is_empty(), "{input}");
        assert!(!svg.exists(), "{input}");
    }
}

#[test]
fn a_file_that_cannot_be_read_or_written_is_named() {
    let out = longrail(&["shot", "no-such-file.json"], "");
    assert_eq!(out.status.code(), Some(5));
    assert!(String::from_utf8(out.stderr).unwrap().contains("no-such-file.json"));
    let nowhere = scratch("missing-folder").join("x.svg");
    let out = longrail(&["shot", "--svg", nowhere.to_str().unwrap()], SHOT);
    assert_eq!(out.status.code(), Some(5));
    assert!(out.stdout.is_empty());
}

#[test]
fn an_unknown_switch_is_a_mistake_of_the_command_line() {
    assert_eq!(longrail(&["shot", "--jsn"], SHOT).status.code(), Some(2));
}
