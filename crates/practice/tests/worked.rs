//! A ladder worked out, stored and read again.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_practice::card::{Card, CueBall};
use longrail_practice::constraints::Constraints;
use longrail_practice::drill::{Drill, SHIPPED, Setup};
use longrail_practice::ladder::{Posed, StoredError, WorkError, Worked, Working};
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Nodes, Player, Stroke};

fn drill(start: &str) -> Drill {
    let (file, text) = SHIPPED.iter().find(|(file, _)| file.starts_with(start)).unwrap();
    Drill::read(file, text).unwrap()
}

/// A short ladder: the long pot's first rungs.
fn posed() -> Posed {
    let drill = Drill { rungs: 4, ..drill("long-straight") };
    of(&drill, &Card::new("T", "9ft"), Setup::Given, &Player::default())
}

fn of(drill: &Drill, card: &Card, setup: Setup, player: &Player) -> Posed {
    let world = card.world().unwrap();
    Posed::new(drill, &world, card.cue_ball(), setup, player, &Constraints::default()).unwrap()
}

#[test]
fn a_ladder_may_be_left_and_taken_up_again_and_comes_out_the_same() {
    let at_once = Working::new(posed()).unwrap().finish().unwrap();
    assert!(at_once.is_complete() && at_once.rungs() == 4);
    let mut working = Working::new(posed()).unwrap();
    let mut done = 0;
    while let Some(progress) = working.next_rung().unwrap() {
        // Two steps a rung for the hits, one for the surface; never back.
        assert!(progress.of == 12 && progress.done > done && progress.done <= 12, "{progress:?}");
        done = progress.done;
        if done == 9 {
            assert!(!working.so_far().is_complete());
            // As after a restart: from the text.
            let text = working.so_far().encode();
            working = Working::resume(posed(), Worked::decode(&text).unwrap()).unwrap();
            assert_eq!(working.progress().done, 9);
        }
    }
    assert_eq!(done, 12);
    assert_eq!(*working.so_far(), at_once);
}

#[test]
fn what_is_needed_first_is_there_first() {
    let mut working = Working::new(posed()).unwrap();
    working.want(&[3, 9]);
    for _ in 0..9 {
        working.next_rung().unwrap();
    }
    let so_far = working.so_far();
    assert!(so_far.surface(3).is_some());
    assert!([0, 1, 2, 4, 5].iter().all(|rung| so_far.surface(*rung).is_none()));
    // Without a wish the one nearest to 68 %; the prescribed hit's chance is the reference stroke's.
    let mut working = Working::new(posed()).unwrap();
    for _ in 0..9 {
        working.next_rung().unwrap();
    }
    let so_far = working.so_far();
    let made = |rung| so_far.prescribed(rung).unwrap().made;
    let nearest = (1..=4).min_by(|a, b| (made(*a) - 0.68).abs().total_cmp(&(made(*b) - 0.68).abs())).unwrap();
    assert!(so_far.surface(nearest).is_some());
}

#[test]
fn the_hits_are_those_of_the_solver_and_the_surfaces_predict_their_odds() {
    let posed = posed();
    let solved = posed.solved(&Nodes::usual(1)).unwrap();
    let worked = Working::new(posed.clone()).unwrap().finish().unwrap();
    let stroke = posed.player.stroke;
    for (rung, solved) in (1..).zip(&solved) {
        let (hit, odds) = solved.best.unwrap();
        let prescribed = worked.prescribed(rung).unwrap();
        assert_eq!((prescribed.hit, prescribed.made), (hit, odds.made));
        // A surface and odds are two ways to one chance; the cells' own error is about a point.
        let surface = worked.surface(rung).unwrap();
        let chance = (1.0 - stroke.lapse) * surface.chances(stroke.aim_sd_deg, 0.0, stroke.speed_sd).made;
        assert!((chance - odds.made).abs() < 0.02, "{rung}: {chance} {}", odds.made);
    }
}

#[test]
fn a_stored_ladder_comes_back_exactly_and_takes_a_few_thousand_characters_a_rung() {
    // The draw has the most kinds of outcomes beside each other.
    let drill = Drill { rungs: 3, ..drill("straight-draw") };
    let posed = of(&drill, &Card::new("T", "9ft"), Setup::Given, &Player::default());
    let worked = Working::new(posed).unwrap().finish().unwrap();
    let text = worked.encode();
    let read = Worked::decode(&text).unwrap();
    // Equal cells predict equal chances: nothing is rounded.
    assert_eq!(read, worked);
    assert!(text.len() / 3 < 6_000, "{}", text.len() / 3);
}

#[test]
fn what_was_damaged_or_is_older_is_refused_and_nothing_panics() {
    let worked = Working::new(posed()).unwrap().finish().unwrap();
    let text = worked.encode();
    let older = text.replacen("ladder 1 ", "ladder 0 ", 1);
    assert_eq!(Worked::decode(&older), Err(StoredError::Version { found: "0".to_owned() }));
    assert!(Worked::decode(&older).unwrap_err().to_string().contains("work it out again"));
    for wrong in ["", "ladder", "ladder 1", "ladder 1 x", "ladder 1 x {}", "lädder 1 x {}", "{}"] {
        assert_eq!(Worked::decode(wrong), Err(StoredError::Damaged), "{wrong}");
    }
    // Any one character changed, or the end cut off.
    for at in (9..text.len()).step_by(97) {
        let mut bytes = text.clone().into_bytes();
        bytes[at] = if bytes[at] == b'M' { b'L' } else { b'M' };
        assert_eq!(Worked::decode(&String::from_utf8(bytes).unwrap()), Err(StoredError::Damaged), "{at}");
        assert_eq!(Worked::decode(&text[..at]), Err(StoredError::Damaged), "{at}");
    }
    // Of another ladder it is of no use.
    let card = Card::new("T", "8ft");
    let other = of(&drill("long-straight"), &card, Setup::Given, &Player::default());
    assert_eq!(Working::resume(other, worked).err(), Some(WorkError::OtherKey));
}

#[test]
fn a_key_changes_with_all_that_the_ladder_depends_on_and_with_nothing_else() {
    let (stop, card) = (drill("straight-stop"), Card::new("T", "9ft"));
    let player = Player::default();
    let key = |drill: &Drill, card: &Card, setup, player: &Player| of(drill, card, setup, player).key();
    let name = key(&stop, &card, Setup::Given, &player);
    assert!(name.len() == 32 && name.chars().all(|digit| digit.is_ascii_hexdigit()));
    // What a table is called and how a drill is described changes nothing.
    let renamed = Card { name: "Other".to_owned(), place: "Hall".to_owned(), ..card.clone() };
    let titled = Drill { title: "Other".to_owned(), seconds_to_reset: 30, ..stop.clone() };
    assert_eq!(key(&titled, &renamed, Setup::Given, &player), name);
    let mut others = vec![
        key(&drill("straight-draw"), &card, Setup::Given, &player),
        key(&Drill { rungs: 8, ..stop.clone() }, &card, Setup::Given, &player),
        key(&stop, &Card::new("T", "8ft"), Setup::Given, &player),
        key(&stop, &card, Setup::Mirrored, &player),
        key(&stop, &card, Setup::Given, &Player::with(Reference::Solid.stroke())),
        key(&stop, &card, Setup::Given, &Player { reach_m: 0.7, ..player }),
        key(&stop, &card, Setup::Given, &Player { end_mass_kg: 0.008, ..player }),
        key(&stop, &card, Setup::Given, &Player::with(Stroke { lapse: 0.04, ..player.stroke })),
    ];
    let mut odd = card.clone();
    odd.cue_ball = Some(CueBall { radius_m: 0.0302, mass_kg: 0.2 });
    others.push(key(&stop, &odd, Setup::Given, &player));
    let mut weak = player;
    weak.limits.hardest_mps = 3.0;
    others.push(key(&stop, &card, Setup::Given, &weak));
    others.push(name);
    let count = others.len();
    others.sort();
    others.dedup();
    assert_eq!(others.len(), count);
}
