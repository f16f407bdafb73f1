//! A past fault: a cue ball that hopped in a corner's jaws flew over a facing, came down behind the rail and
//! rolled on there, on a bed without end. A flight that passes over a facing now leaves the table.
#![allow(clippy::unwrap_used)]

use longrail_physics::json::{Output, run};

#[test]
fn a_ball_that_hops_over_a_facing_is_off_the_table() {
    let shot = include_str!("../../../fuzz/seeds/shot_json/hop_out_of_the_jaws.json");
    let out: serde_json::Value = serde_json::from_str(&run(shot, Output::default()).unwrap()).unwrap();
    let cue = &out["final"][0];
    let (x, y) = (cue["x_m"].as_f64().unwrap(), cue["y_m"].as_f64().unwrap());
    let on_table = (-0.1..=2.99).contains(&x) && (-0.1..=1.55).contains(&y);
    assert!(on_table, "{cue}");
    assert_ne!(cue["state"], "bed", "{cue}");
}

/// Another: a ball that flew over the hole of a corner pocket came down behind it and rolled on, metres away from the
/// table. Coming low, it is caught by the back of the pocket.
#[test]
fn a_ball_that_flies_over_the_hole_comes_down_in_it_or_off_the_table() {
    let shot = include_str!("../../../fuzz/seeds/shot_json/over_the_hole.json");
    let out: serde_json::Value = serde_json::from_str(&run(shot, Output::default()).unwrap()).unwrap();
    let cue = out["final"].as_array().unwrap().iter().find(|ball| ball["id"] == "cue").unwrap();
    assert_eq!(cue["pocket"], "foot-right");
}
