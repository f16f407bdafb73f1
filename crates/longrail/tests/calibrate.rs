//! `longrail calibrate` as a person or a program meets it: through the built command.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use std::process::{Command, Output};

use common::scratch;

/// Fewest runs: four of each kind of player.
const FEW: [&str; 3] = ["calibrate", "--runs", "0.001"];

fn calibrated(arguments: &[&str]) -> Output {
    common::longrail(&[&FEW, arguments].concat(), "")
}

#[test]
fn the_answer_depends_on_the_seed_and_not_on_the_threads() {
    let path = scratch("figures.json");
    let one = calibrated(&["--json", "--seed", "4", "--threads", "1", "--out", path.to_str().unwrap()]);
    let three = calibrated(&["--json", "--seed", "4", "--threads", "3"]);
    assert!(one.status.success() && one.stderr.is_empty());
    assert_eq!(one.stdout, three.stdout);
    assert_eq!(std::fs::read(&path).unwrap(), one.stdout);
    assert_ne!(calibrated(&["--json", "--seed", "5"]).stdout, one.stdout);
    let report: serde_json::Value = serde_json::from_slice(&one.stdout).unwrap();
    assert_eq!(report["partial"], false);
    assert_eq!(report["seed"], 4);
    assert!(report["figures"].as_array().unwrap().len() > 300);
}

#[test]
fn a_page_keeps_what_stands_around_the_marks_and_a_page_without_marks_is_left_alone() {
    let path = scratch("page.md");
    let marked = "before\n<!-- calibration begins -->\nOUTDATED\n<!-- calibration ends -->\nafter\n";
    std::fs::write(&path, marked).unwrap();
    let out = calibrated(&["--out", path.to_str().unwrap()]);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let page = std::fs::read_to_string(&path).unwrap();
    assert!(page.starts_with("before\n") && page.ends_with("after\n") && !page.contains("OUTDATED"));
    assert!(page.contains("| figure | runs | value | beside it | agrees |") && page.contains("seed 1"));

    std::fs::write(&path, "mine\n").unwrap();
    let out = calibrated(&["--out", path.to_str().unwrap()]);
    assert_eq!(out.status.code(), Some(5));
    assert!(String::from_utf8_lossy(&out.stderr).contains("name another file"));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "mine\n");
}

#[test]
fn what_makes_no_sense_is_refused_before_anything_is_simulated() {
    let refused = |arguments: &[&str]| {
        let out =
            Command::new(env!("CARGO_BIN_EXE_longrail")).arg("calibrate").args(arguments).output().unwrap();
        (out.status.code(), String::from_utf8(out.stderr).unwrap())
    };
    let (code, text) = refused(&["--out", "figures.txt"]);
    assert_eq!(code, Some(5));
    assert_eq!(text, "longrail: figures.txt: give a file that ends in .md or .json\n");
    assert_eq!(refused(&["--runs", "0"]).0, Some(2));
    assert_eq!(refused(&["--threads", "0"]).0, Some(2));
    assert_eq!(refused(&["--short", "--runs", "2"]).0, Some(2));
}

/// Ctrl-C is SIGINT where there are signals.
#[cfg(unix)]
#[test]
fn what_was_done_before_a_ctrl_c_is_kept_and_labelled_partial() {
    use std::process::Stdio;
    let child = Command::new(env!("CARGO_BIN_EXE_longrail"))
        .args(["calibrate", "--runs", "100", "--json"])
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    // The plan itself takes a second or two.
    std::thread::sleep(std::time::Duration::from_secs(8));
    let killed = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    assert!(killed.success());
    let out = child.wait_with_output().unwrap();
    assert!(out.status.success());
    let report: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(report["partial"], true);
    let done = report["runs_done"].as_u64().unwrap();
    assert!(done > 0 && done < report["runs_planned"].as_u64().unwrap());
}

#[test]
fn some_scenarios_alone_give_their_figures_and_spare_a_page() {
    let out = calibrated(&["--only", "measured", "--json"]);
    let report: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let figures = report["figures"].as_array().unwrap();
    assert!(!figures.is_empty());
    assert!(figures.iter().all(|figure| figure["section"].as_str().unwrap().contains("measured outcomes")));
    let none = calibrated(&["--only", "nobody"]);
    assert_eq!(none.status.code(), Some(3));
    assert!(String::from_utf8_lossy(&none.stderr).contains("no scenario's name begins with nobody"));
    let page = scratch("whole.md");
    std::fs::write(&page, "<!-- calibration begins -->\nALL\n<!-- calibration ends -->\n").unwrap();
    let out = calibrated(&["--only", "measured", "--out", page.to_str().unwrap()]);
    assert_eq!(out.status.code(), Some(5));
    assert!(std::fs::read_to_string(&page).unwrap().contains("ALL"));
}
