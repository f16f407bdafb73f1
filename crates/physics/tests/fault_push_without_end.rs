//! A past fault: two balls wedged between the jaws of a corner passed a speed of a tenth of a millimetre a second
//! round, from facing to ball to facing, a hundred thousand times in one moment, and the shot was given up. Later a
//! ball that squeezed itself between a facing and another ball, at two centimetres a second, did the same. Wedged balls
//! now come to rest, the faster ones if the slow ones do not end it.
#![allow(clippy::unwrap_used)]

use longrail_physics::json::{Output, run};

#[test]
fn balls_wedged_between_jaws_come_to_rest() {
    let shot = include_str!("../../../fuzz/seeds/shot_json/push_without_end.json");
    let out: serde_json::Value = serde_json::from_str(&run(shot, Output::default()).unwrap()).unwrap();
    assert!(out["rest_time_s"].as_f64().unwrap() > 6.0);
}

#[test]
fn a_ball_squeezed_between_a_facing_and_a_ball_comes_to_rest() {
    let shot = include_str!("../../../fuzz/seeds/shot_json/squeeze_without_end.json");
    let out: serde_json::Value = serde_json::from_str(&run(shot, Output::default()).unwrap()).unwrap();
    assert!(out["rest_time_s"].as_f64().unwrap() > 2.0);
}

/// Another: soft touches let a ball in by a fraction of a nanometre each, until it counted as behind the facing and went
/// through it, to rest a quarter of a metre behind the rail.
#[test]
fn a_ball_is_not_pushed_through_a_facing() {
    let shot = include_str!("../../../fuzz/seeds/shot_json/pushed_through_a_facing.json");
    let out: serde_json::Value = serde_json::from_str(&run(shot, Output::default()).unwrap()).unwrap();
    for ball in out["final"].as_array().unwrap().iter().filter(|ball| ball["state"] == "bed") {
        let (x, y) = (ball["x_m"].as_f64().unwrap(), ball["y_m"].as_f64().unwrap());
        assert!((0.0..2.8957).contains(&x) && (0.0..1.4479).contains(&y), "{ball}");
    }
}

/// Another: a cue ball pressed a ball in the air against both facings, which bounced between them without end.
#[test]
fn a_ball_squeezed_in_the_air_comes_down() {
    let shot = include_str!("../../../fuzz/seeds/shot_json/squeezed_in_the_air.json");
    let out: serde_json::Value = serde_json::from_str(&run(shot, Output::default()).unwrap()).unwrap();
    assert!(out["rest_time_s"].as_f64().unwrap() > 1.0);
}

/// And another: a ball in the air that leant on a facing's edge and on a ball below, and pushed that one slowly away.
#[test]
fn a_ball_that_leans_on_an_edge_slides_down() {
    let shot = include_str!("../../../fuzz/seeds/shot_json/leaning_on_an_edge.json");
    let out: serde_json::Value = serde_json::from_str(&run(shot, Output::default()).unwrap()).unwrap();
    assert!(out["rest_time_s"].as_f64().unwrap() > 1.0);
}
