//! The drills that come with the program, held against the engine.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use longrail_practice::card::Card;
use longrail_practice::drill::{Drill, SHIPPED, Setup};
use longrail_stroke::curve::{Row, Rung, along};
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Nodes, Player};

/// By how much odds may rise from one rung to the next: what two searches for a hit differ by, and the error of the odds.
const NOISE: f64 = 0.02;

fn shipped() -> Vec<Drill> {
    let read = |(file, text): &(&str, &str)| {
        Drill::read(file, text).unwrap_or_else(|error| panic!("{}", error.shown))
    };
    SHIPPED.iter().map(read).collect()
}

#[test]
fn every_file_of_the_folder_comes_with_the_program() {
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../../drills"));
    let names: BTreeSet<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    let listed: BTreeSet<String> = SHIPPED.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(names, listed);
    for (name, text) in SHIPPED {
        assert_eq!(fs::read_to_string(folder.join(name)).unwrap(), *text, "{name}");
    }
}

#[test]
fn each_is_read_and_legal_on_three_sizes_and_four_corners() {
    let drills = shipped();
    let families: BTreeSet<_> = drills.iter().map(|drill| drill.family).collect();
    assert!(drills.len() >= 12 && families.len() >= 12, "{} in {}", drills.len(), families.len());
    for drill in &drills {
        assert_eq!(drill.sizes, ["7ft", "8ft", "9ft"], "{}", drill.id);
        for size in &drill.sizes {
            let card = Card::new("T", size);
            let world = card.world().unwrap();
            for setup in Setup::ALL {
                let ladder = drill.ladder(&world, card.cue_ball(), setup).unwrap();
                assert_eq!(ladder.len(), drill.rungs as usize);
            }
        }
    }
}

/// Odds along the ladder.
fn chances(drill: &Drill, size: &str, reference: Reference) -> Vec<f64> {
    let card = Card::new("T", size);
    let world = card.world().unwrap();
    let rungs = drill.ladder(&world, card.cue_ball(), Setup::Given).unwrap();
    let layouts: Vec<_> = rungs.iter().map(|rung| rung.layout.clone()).collect();
    let player = Player::with(reference.stroke());
    let row = Row { world: &world, player: &player, goal: &rungs[0].goal, layouts: &layouts };
    let odds = along(&row, &Nodes::usual(1)).unwrap();
    odds.iter().map(Rung::made).collect()
}

/// A solid stroke is a favourite on the first rung; for two reference strokes the odds fall from rung to rung, and by ten
/// points in all.
fn gets_harder(drill: &Drill, size: &str) {
    let falls =
        |odds: &[f64]| odds.is_sorted_by(|a, b| *b <= a + NOISE) && odds[odds.len() - 1] < odds[0] - 0.10;
    let mut seen = Vec::new();
    let mut falling = 0;
    for reference in [Reference::Solid, Reference::Regular, Reference::Learning, Reference::Fine] {
        let odds = chances(drill, size, reference);
        if reference == Reference::Solid {
            assert!(odds[0] >= 0.5, "{} on {size}: rung 1 is {:.2}", drill.id, odds[0]);
        }
        falling += u32::from(falls(&odds));
        seen.push((reference.name(), odds));
        if falling == 2 {
            return;
        }
    }
    panic!("{} on {size} does not get harder: {seen:.2?}", drill.id);
}

#[test]
fn the_odd_ones_get_harder_on_a_nine_foot_table() {
    shipped().iter().step_by(2).for_each(|drill| gets_harder(drill, "9ft"));
}

#[test]
fn the_even_ones_get_harder_on_a_nine_foot_table() {
    shipped().iter().skip(1).step_by(2).for_each(|drill| gets_harder(drill, "9ft"));
}

#[test]
#[ignore = "takes minutes: run by `cargo xtask soak drills`"]
fn each_gets_harder_on_all_its_sizes() {
    for drill in shipped() {
        drill.sizes.iter().for_each(|size| gets_harder(&drill, size));
    }
}

#[test]
fn a_turned_layout_has_the_same_odds_and_a_mirrored_one_too() {
    // By symmetry of the table; the errors of the computing differ from corner to corner.
    let drill = &shipped()[2];
    let card = Card::new("T", "9ft");
    let world = card.world().unwrap();
    let player = Player::with(Reference::Solid.stroke());
    let odds: Vec<_> = Setup::ALL
        .into_iter()
        .map(|setup| {
            let rung = drill.rung(&world, card.cue_ball(), setup, 4.0).unwrap();
            let row = Row { world: &world, player: &player, goal: &rung.goal, layouts: &[rung.layout] };
            along(&row, &Nodes::usual(1)).unwrap()[0].best.unwrap().1
        })
        .collect();
    for other in &odds[1..] {
        let error = (odds[0].standard_error * odds[0].standard_error
            + other.standard_error * other.standard_error)
            .sqrt();
        assert!((other.made - odds[0].made).abs() < 4.0 * error + 0.01, "{odds:?}");
    }
}
