//! Where on a ladder to play.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_practice::ladder::{
    Fit, Move, NOVICE_DROP, frontier_rung, mixed, next_step, work_move, work_rung,
};
use longrail_stats::window::Scatter;

/// Study of progression, 3.1: straight shots on 9 ft at 1.5 to 5 diamonds, spread 0.25°.
const STRAIGHT: [f64; 7] = [0.934, 0.817, 0.704, 0.610, 0.534, 0.474, 0.385];

/// The study's window for D diamonds on 9 ft, in degrees: atan(h/d)/(D/2R − 1), h = 28 mm, d = 1.5 diamonds.
fn window_deg(diamonds: f64) -> f64 {
    let (h, d, ball) = (0.028, 1.5 * 0.3175, 0.05715);
    let angle: f64 = h / d;
    // The first terms of the series of the arc tangent, good to a millionth here.
    let arc = angle - angle * angle * angle / 3.0;
    arc.to_degrees() / (diamonds * 0.3175 / ball - 1.0)
}

#[test]
fn the_work_rung_lies_inside_the_frontier_rung() {
    // Study, 3.5: near .68 at 2.5 diamonds, near .50 at 3.75, five quarter diamonds farther.
    let chances: Vec<f64> = (0..15)
        .map(|k| {
            let window = window_deg(1.5 + 0.25 * f64::from(k));
            Scatter::new(0.25, 0.0, 0.0).unwrap().chance(window).unwrap()
        })
        .collect();
    let work = work_rung(&chances).unwrap();
    assert_eq!((work.rung, work.fit), (5, Fit::Good));
    // The outermost rung with even odds; 3.75 diamonds are just on the far side of them.
    let frontier = frontier_rung(&chances, 0.5, None).unwrap();
    assert!((9..=10).contains(&frontier), "{frontier}");
}

#[test]
fn the_frontier_moves_one_beyond_what_was_passed() {
    assert_eq!(frontier_rung(&STRAIGHT, 0.5, None), Some(5));
    assert_eq!(frontier_rung(&STRAIGHT, 0.5, Some(5)), Some(6));
    assert_eq!(frontier_rung(&STRAIGHT, 0.5, Some(7)), None);
    // Nothing is even: the first rung.
    assert_eq!(frontier_rung(&[0.3, 0.2], 0.5, None), Some(1));
    assert_eq!(frontier_rung(&[], 0.5, None), None);
}

#[test]
fn a_ladder_that_does_not_fit_says_so() {
    let fit = |chances: &[f64]| work_rung(chances).map(|work| (work.rung, work.fit));
    assert_eq!(fit(&[0.4, 0.3]), Some((1, Fit::TooHard)));
    assert_eq!(fit(&[0.95, 0.9]), Some((2, Fit::TooEasy)));
    assert_eq!(fit(&[0.95, 0.5]), Some((2, Fit::Between)));
    assert_eq!(fit(&[]), None);
}

#[test]
fn a_set_of_work_is_seven_two_and_one_tenths() {
    // Easier: .817 at rung 2; farther: .385 or .474, of which .385 is nearer to the middle of .35 to .50.
    assert_eq!(mixed(&STRAIGHT, 50), [(2, 10), (3, 35), (7, 5)]);
    // Nothing easier and nothing farther out: all at the work rung.
    assert_eq!(mixed(&[0.70, 0.66], 50), [(1, 50)]);
    assert_eq!(mixed(&STRAIGHT, 3), [(3, 3)]);
    assert_eq!(mixed(&[], 50), []);
    for attempts in [0, 1, 17, 99, u32::MAX] {
        let sum: u64 = mixed(&STRAIGHT, attempts).iter().map(|(_, share)| u64::from(*share)).sum();
        assert_eq!(sum, u64::from(attempts));
    }
}

#[test]
fn the_work_rung_moves_once_a_session_and_only_out_of_its_range() {
    assert_eq!(work_move(&STRAIGHT, 2, false), Some(Move::Out { to: 3 }));
    assert_eq!(work_move(&STRAIGHT, 2, true), Some(Move::MovedAlready));
    assert_eq!(work_move(&STRAIGHT, 3, false), Some(Move::Stay));
    assert_eq!(work_move(&STRAIGHT, 4, false), Some(Move::Stay));
    assert_eq!(work_move(&STRAIGHT, 5, false), Some(Move::Back { to: 4 }));
    assert_eq!(work_move(&[0.9], 1, false), Some(Move::AtTheEnd));
    assert_eq!(work_move(&[0.2], 1, false), Some(Move::AtTheEnd));
    for rung in [0, 8, u32::MAX] {
        assert_eq!(work_move(&STRAIGHT, rung, false), None);
    }
}

#[test]
fn a_step_is_as_long_as_it_may_be_and_no_longer() {
    let step = |from, most| next_step(&STRAIGHT, from, most).map(|step| (step.to, step.fits));
    // From .934 to .817 are 11.7 points: a half 5.85, a quarter 2.9.
    assert_eq!(step(1.0, NOVICE_DROP), Some((1.25, true)));
    assert_eq!(step(1.0, 0.06), Some((1.5, true)));
    assert_eq!(step(1.0, 0.2), Some((2.0, true)));
    // Not even an eighth of it is a hundredth of a point.
    assert_eq!(step(1.0, 1e-4), Some((1.125, false)));
    // Across a rung the straight line bends; the ladder ends at 7.
    assert_eq!(step(6.75, 0.2), Some((7.0, true)));
    for from in [0.0, 7.0, 9.0, f64::NAN] {
        assert_eq!(step(from, 0.05), None);
    }
}
