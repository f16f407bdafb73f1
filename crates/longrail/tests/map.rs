//! `longrail map`, and the pictures of `odds` and `ladder`, as a person meets them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{answer, longrail, refused, scratch};
use serde_json::{Value, json};

const EXAMPLE: &str = include_str!("../../../examples/odds/draw.json");

/// A question that is answered quickly: shots end when the cue ball meets a ball.
fn quick() -> Value {
    json!({
        "physics": {"cushion": {"model": "simple"}},
        "balls": [{"id": "cue", "along": 5, "across": 1}, {"id": "1", "along": 6, "across": 3},
                  {"id": "2", "along": 2, "across": 1}],
        "goal": {"all": [{"first": {"ball": "1"}}]},
        "player": {"stroke": {"aim_sd_deg": 1.5}},
    })
}

#[test]
fn the_answer_does_not_depend_on_the_number_of_threads() {
    let map =
        |threads| answer(&["map", "--json", "--every", "whole", "--threads", threads], &quick().to_string());
    assert_eq!(map("1"), map("2"));
}

#[test]
fn every_position_is_told_with_the_odds_that_its_hit_has() {
    let map = answer(&["map", "--json", "--every", "whole", "--target", "0.9"], &quick().to_string());
    let cells = map["cells"].as_array().unwrap();
    // 9 by 5 whole diamonds; the cue ball cannot lie where the 1 and the 2 do, nor between the jaws of the corners.
    assert_eq!(cells.len(), 45);
    assert_eq!(cells.iter().filter(|cell| cell["made"].is_null()).count(), 6);
    assert!(cells.iter().all(|cell| cell["computed"] == true));
    assert_eq!(map["positions"], 39);
    let above = cells.iter().filter(|cell| cell["made"].as_f64().is_some_and(|made| made >= 0.9)).count();
    assert_eq!(map["at_target"], above);
    assert_eq!((&map["step_diamonds"], &map["partial"]), (&json!(1.0), &json!(false)));
    // By another route: the same hit given to `longrail odds` on the same layout.
    let cell = cells.iter().find(|cell| cell["along"] == 3.0 && cell["across"] == 2.0).unwrap();
    let mut shot = quick();
    shot["balls"][0] = json!({"id": "cue", "along": 3, "across": 2});
    shot["stroke"] = cell["hit"].clone();
    let odds = answer(&["odds", "--json"], &shot.to_string());
    assert_eq!(odds["odds"]["made"], cell["made"]);
    assert_eq!(odds["odds"]["standard_error"], cell["standard_error"]);
}

#[test]
fn another_ball_than_the_cue_ball_may_move() {
    let map = answer(&["map", "--json", "--every", "whole", "--moves", "2"], &quick().to_string());
    let made = |along: f64, across: f64| {
        let cells = map["cells"].as_array().unwrap();
        let cell = cells.iter().find(|cell| cell["along"] == along && cell["across"] == across);
        cell.unwrap()["made"].as_f64()
    };
    // The 1 lies at 6/3, the cue ball at 5/1. Far off the way, the 2 changes nothing.
    assert_eq!(made(6.0, 3.0), None);
    assert_eq!(made(5.0, 1.0), None);
    assert_eq!(made(1.0, 0.0), made(1.0, 4.0));
}

#[test]
fn the_text_fits_a_terminal_and_begins_with_its_reading() {
    let (svg, png) = (scratch("map.svg"), scratch("map.png"));
    let arguments =
        ["map", "--every", "whole", "--svg", svg.to_str().unwrap(), "--png", png.to_str().unwrap()];
    let out = longrail(&arguments, &quick().to_string());
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(
        text.starts_with("From ") && text.contains("of 39 positions this stroke is a favourite."),
        "{text}"
    );
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    assert!(text.contains("512 shots at each of"), "{text}");
    let drawn = std::fs::read_to_string(&svg).unwrap();
    assert!(drawn.contains("<title>Odds over the table</title>") && drawn.contains("is a favourite."));
    assert!(std::fs::read(&png).unwrap().starts_with(b"\x89PNG"));
}

#[test]
fn what_is_wrong_is_said_before_anything_is_computed() {
    let input = quick().to_string();
    refused(&["map", "--moves", "9"], &input, 3, "--moves names ball \"9\"; there are ");
    refused(&["map", "--target", "1"], &input, 3, "it must be 0.05 to 0.95");
    refused(&["map"], "{}", 3, "there is no \"goal\"");
    let nowhere = scratch("no-such-folder").join("map.svg");
    for command in ["map", "odds", "hits", "ladder"] {
        refused(&[command, "--svg", nowhere.to_str().unwrap()], EXAMPLE, 5, "no such folder");
    }
    assert_eq!(longrail(&["map", "--threads", "0"], &input).status.code(), Some(2));
    assert_eq!(longrail(&["map", "--every", "third"], &input).status.code(), Some(2));
}

/// Ctrl-C is SIGINT; Linux tells when a program has begun to watch for it, so the test need not guess.
#[cfg(target_os = "linux")]
#[test]
fn a_map_that_is_stopped_keeps_what_is_done_and_is_labelled_partial() {
    use std::process::{Command, Stdio};
    use std::time::Duration;
    let file = scratch("stopped.json");
    std::fs::write(&file, quick().to_string()).unwrap();
    let child = Command::new(env!("CARGO_BIN_EXE_longrail"))
        .args(["map", "--json", "--threads", "1", file.to_str().unwrap()])
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let watches = || {
        let status = std::fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap();
        let caught = status.lines().find_map(|line| line.strip_prefix("SigCgt:")).unwrap();
        // Signal 2 is the second bit.
        u64::from_str_radix(caught.trim(), 16).unwrap() & 2 != 0
    };
    let ready = (0..10_000).any(|_| {
        std::thread::sleep(Duration::from_millis(5));
        watches()
    });
    assert!(ready);
    let killed = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    assert!(killed.success());
    let out = child.wait_with_output().unwrap();
    assert!(out.status.success());
    let map: Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(map["partial"], true);
    assert!(map["reading"].as_str().unwrap().starts_with("PARTIAL"), "{}", map["reading"]);
    // The first level is the whole diamonds; it is not waited for.
    assert_eq!(map["step_diamonds"], 1.0);
    let cells = map["cells"].as_array().unwrap();
    assert_eq!(cells.len(), 45);
    let computed = |cell: &&Value| cell["computed"] == true;
    assert!(cells.iter().any(|cell| !computed(&cell)), "{map}");
    assert!(cells.iter().all(|cell| computed(&cell) || cell["made"].is_null()));
    let made = cells.iter().filter(computed).filter(|cell| !cell["made"].is_null()).count();
    assert_eq!(map["positions"], made);
}

#[test]
fn the_picture_of_odds_shows_what_the_shot_is_for() {
    let mut shot: Value = serde_json::from_str(EXAMPLE).unwrap();
    shot["stroke"] = json!({"speed_mps": 2.0, "direction_deg": 45.0, "tip_up": -0.2});
    shot["goal"]["all"].as_array_mut().unwrap().extend([
        json!({"stop": {"zone": {"circle": {"along": 6, "across": 2, "radius": 0.5}}}}),
        json!({"pass": {"zone": {"polygon": {"corners": [[5, 1], [6, 1], [6, 2]]}}}}),
        json!({"touch": {"rail": "foot"}}),
        json!({"avoid_rail": {"rail": "head"}}),
    ]);
    let svg = scratch("odds.svg");
    answer(&["odds", "--json", "--svg", svg.to_str().unwrap()], &shot.to_string());
    let drawn = std::fs::read_to_string(&svg).unwrap();
    for part in ["pocket-meant", "zone", "zone-to-pass", "rail-meant", "rail-forbidden", "path"] {
        assert!(drawn.contains(&format!("data-part=\"{part}\"")), "{part}: {drawn}");
    }
    assert!(drawn.contains("<desc>Goal: pot the 1"));
}

#[test]
fn the_chart_of_a_ladder_has_a_mark_for_each_rung() {
    let (svg, png) = (scratch("ladder.svg"), scratch("ladder.png"));
    let mut shot: Value = serde_json::from_str(EXAMPLE).unwrap();
    shot["ladder"]["rungs"] = json!(3);
    shot["physics"] = json!({"cushion": {"model": "simple"}});
    let arguments = [
        "ladder",
        "--json",
        "--svg",
        svg.to_str().unwrap(),
        "--png",
        png.to_str().unwrap(),
        "--width",
        "390",
    ];
    answer(&arguments, &shot.to_string());
    let drawn = std::fs::read_to_string(&svg).unwrap();
    // One more in the legend.
    assert_eq!(drawn.matches("data-part=\"rung\"").count(), 4, "{drawn}");
    assert!(drawn.contains("¼ towards the head rail"));
    assert!(std::fs::read(&png).unwrap().starts_with(b"\x89PNG"));
}
