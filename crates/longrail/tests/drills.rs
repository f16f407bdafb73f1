//! `longrail drills` as a person meets it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod common;

use common::{answer, longrail, refused, scratch};

#[test]
fn the_drills_are_listed_and_each_can_be_named() {
    let list = answer(&["drills", "--json"], "");
    let drills = list["drills"].as_array().unwrap();
    // At least a dozen over the main families.
    assert!(drills.len() >= 12, "{}", drills.len());
    let mut families: Vec<&str> = drills.iter().map(|drill| drill["family"].as_str().unwrap()).collect();
    families.sort_unstable();
    families.dedup();
    assert!(families.len() >= 10, "{families:?}");
    let text = String::from_utf8(longrail(&["drills"], "").stdout).unwrap();
    assert!(drills.iter().all(|drill| text.contains(drill["id"].as_str().unwrap())));
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
}

#[test]
fn a_drill_gets_harder_and_is_mirrored_to_the_other_corner() {
    let given = answer(&["drills", "cut-thinner", "--stroke", "solid", "--json"], "");
    let mirrored = answer(&["drills", "cut-thinner", "--stroke", "solid", "--mirrored", "--json"], "");
    let rungs = given["rungs"].as_array().unwrap();
    let made: Vec<f64> = rungs.iter().map(|rung| rung["made"].as_f64().unwrap()).collect();
    // A thinner cut is harder (common practice, no source); two points of noise are borne.
    assert!(made.windows(2).all(|pair| pair[1] < pair[0] + 0.02), "{made:?}");
    for (one, other) in rungs.iter().zip(mirrored["rungs"].as_array().unwrap()) {
        for (ball, image) in one["balls"].as_array().unwrap().iter().zip(other["balls"].as_array().unwrap()) {
            let sum = ball["across"].as_f64().unwrap() + image["across"].as_f64().unwrap();
            assert!((sum - 4.0).abs() < 1e-9 && ball["along"] == image["along"], "{ball} {image}");
        }
        // The same shot the other way round has the same odds.
        let difference = one["made"].as_f64().unwrap() - other["made"].as_f64().unwrap();
        assert!(difference.abs() < 0.03, "{one} {other}");
    }
}

#[test]
fn a_drill_of_ones_own_is_read_and_drawn_and_its_faults_are_told_with_their_place() {
    let file = scratch("my-cut.toml");
    let shipped = include_str!("../../../drills/cut-thinner.toml");
    std::fs::write(&file, shipped).unwrap();
    let (name, png) = (file.to_str().unwrap().to_owned(), scratch("my-cut.png"));
    let told = answer(&["drills", &name, "--rung", "2", "--png", png.to_str().unwrap(), "--json"], "");
    assert_eq!(told["drill"]["id"], "my-cut");
    assert!(std::fs::read(&png).unwrap().starts_with(b"\x89PNG"));
    std::fs::write(&file, shipped.replace("foot-left", "foot-middle")).unwrap();
    refused(&["drills", &name], "", 3, "my-cut.toml:");
    refused(&["drills", "no-such-drill"], "", 3, "`longrail drills` lists them");
    refused(&["drills", "none.toml"], "", 5, "none.toml");
    refused(&["drills", "cut-thinner", "--table", "6ft"], "", 3, "7ft");
    refused(&["drills", "cut-thinner", "--rung", "0"], "", 3, "rungs 1 to");
}
