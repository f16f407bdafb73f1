//! `longrail placement` as a person meets it: file by file, block by block.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::{Value, json};

/// A folder of its own with two ladders, on rails that cost little to compute.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    fs::create_dir_all(&folder).unwrap();
    let ladder = |cue: f64, moves: f64| {
        json!({
            "physics": {"cushion": {"model": "simple"}},
            "balls": [{"id": "cue", "along": cue, "across": cue - 4.0}, {"id": "1", "along": 6.5, "across": 2.5}],
            "goal": {"all": [{"pot": {"ball": "1", "pocket": "foot-left"}}]},
            "ladder": {"rungs": 5, "moves": [{"ball": "cue", "along": moves, "across": moves}]},
        })
    };
    fs::write(folder.join("near.json"), ladder(6.0, -0.25).to_string()).unwrap();
    fs::write(folder.join("far.json"), ladder(5.5, -0.2).to_string()).unwrap();
    folder
}

fn placement(folder: &Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_longrail"))
        .arg("placement")
        .args(arguments)
        .current_dir(folder)
        .output()
        .unwrap()
}

fn answer(folder: &Path, arguments: &[&str]) -> Value {
    let out = placement(folder, arguments);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap()
}

#[test]
fn six_blocks_of_five_place_a_player_and_no_more_are_asked_for() {
    let folder = folder("six-blocks");
    let mut results = "ladder,rung,seen,count\n".to_owned();
    let mut ladders = Vec::new();
    for block in 0..6 {
        fs::write(folder.join("results.csv"), &results).unwrap();
        let told = answer(&folder, &["near.json", "far.json", "--results", "results.csv", "--json"]);
        assert_eq!(told["positions"], block);
        let next = &told["next"];
        assert_eq!(next["attempts"], 5);
        ladders.push(next["ladder"].as_u64().unwrap());
        // A player who makes three in five wherever asked.
        let (ladder, rung) = (&next["ladder"], &next["rung"]);
        for seen in ["made", "made", "made", "left", "right"] {
            writeln!(results, "{ladder},{rung},{seen}").unwrap();
        }
    }
    // Both families have their turn.
    assert!(ladders.contains(&1) && ladders.contains(&2), "{ladders:?}");
    fs::write(folder.join("results.csv"), &results).unwrap();
    let told = answer(&folder, &["near.json", "far.json", "--results", "results.csv", "--json"]);
    assert!(told["next"].is_null() && told["attempts"] == 30, "{told}");
    assert_eq!(told["inferred"]["ln_spread"]["shown"], true);
    for ladder in told["ladders"].as_array().unwrap() {
        let place = |which: &str, end: &str| ladder[which][end].as_f64().unwrap();
        assert!(place("work", "low") <= place("work", "high"));
        // What is made every other time lies farther out than what is made two times in three.
        assert!(place("even", "middle") >= place("work", "middle"), "{ladder}");
    }
    let text = placement(&folder, &["near.json", "far.json", "--results", "results.csv"]);
    let text = String::from_utf8(text.stdout).unwrap();
    assert!(text.starts_with("After 30 attempts at 6 positions you are placed."), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
}

#[test]
fn wrong_results_are_refused_with_their_line() {
    let folder = folder("wrong-results");
    for (row, says) in [
        ("3,1,made,1", "line 2: ladder is 3; it must be 1 to 2"),
        ("1,9,made,1", "line 2: rung is 9; near has rungs 1 to 5"),
        ("0,1,made,1", "ladder is 0"),
        ("1,1,holed,1", "holed"),
        ("1,1,made,-2", "results.csv"),
    ] {
        fs::write(folder.join("results.csv"), format!("ladder,rung,seen,count\n{row}\n")).unwrap();
        let out = placement(&folder, &["near.json", "far.json", "--results", "results.csv"]);
        let message = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(3), "{message}");
        assert!(out.stdout.is_empty());
        assert!(message.contains(says) && message.trim_end().lines().count() == 1, "{message}");
    }
    assert_eq!(placement(&folder, &["near.json", "--results", "none.csv"]).status.code(), Some(5));
    assert_eq!(placement(&folder, &["none.json"]).status.code(), Some(5));
}
