//! Where on a ladder to play.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_practice::card::Card;
use longrail_practice::drill::{Drill, SHIPPED, Setup};
use longrail_practice::ladder::{
    Belief, FIRST_SET, Fit, Mode, Move, NOVICE_DROP, candidates, chances, frontier_rung, mixed, newcomer,
    next_step, work_move, work_rung,
};
use longrail_stats::Count;
use longrail_stats::window::Scatter;
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Nodes, Player};

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

#[test]
fn the_most_telling_rung_is_where_the_study_puts_it() {
    // With a nearly known spread and a lapse of 2 %, one attempt tells most where it is made 80.9 % of the time (study, 3.2,
    // by Fisher information; this goes by what is open about the outcome).
    let spreads: Vec<f64> = (0..9).map(|k| 0.30 * (1.0 + 0.01 * f64::from(k - 4))).collect();
    let rungs: Vec<f64> = (0..120).map(|k| 0.82 - 0.006 * f64::from(k)).collect();
    let rows = spreads
        .iter()
        .map(|spread| {
            let scatter = Scatter::new(*spread, 0.0, 0.02).unwrap();
            rungs.iter().map(|window| scatter.chance(*window).unwrap()).collect()
        })
        .collect();
    let belief = Belief::new(&[1.0; 9], rows).unwrap();
    let (rung, nats) = belief.most_telling();
    let chance = belief.predicted()[rung as usize - 1];
    assert!((chance - 0.809).abs() < 0.01, "{chance}");
    assert!(nats > 0.0);
    // The three modes of one player on one ladder: gauging at the easier rung, work near .68, proof near .5.
    let places = [Mode::Gauge, Mode::Work, Mode::Prove].map(|mode| {
        let rung = mode.rung(&belief, 0.5, None).unwrap();
        belief.predicted()[rung as usize - 1]
    });
    for (place, study) in places.into_iter().zip([0.809, 0.68, 0.50]) {
        assert!((place - study).abs() < 0.015, "{places:?}");
    }
}

#[test]
fn a_first_set_weighs_strokes_as_bayes_says() {
    // Two strokes, .8 and .4 on the first rung, even before; 3 of 4 made: 4·.8³·.2 to 4·.4³·.6 = .4096 to .1536.
    let mut belief = Belief::new(&[1.0, 1.0], vec![vec![0.8, 0.6], vec![0.4, 0.1]]).unwrap();
    belief.observe(1, Count::new(3, 4).unwrap()).unwrap();
    let good = 0.4096 / (0.4096 + 0.1536);
    assert!((belief.weights()[0] - good).abs() < 1e-12);
    assert!((belief.predicted()[1] - (0.6 * good + 0.1 * (1.0 - good))).abs() < 1e-12);
    // What cannot be is refused, or changes nothing.
    assert!(belief.observe(3, Count::new(1, 1).unwrap()).is_err());
    assert!(belief.observe(0, Count::new(1, 1).unwrap()).is_err());
    let mut sure = Belief::new(&[1.0], vec![vec![1.0]]).unwrap();
    sure.observe(1, Count::new(0, 5).unwrap()).unwrap();
    assert_eq!(sure.weights(), [1.0]);
    assert!(Belief::new(&[], Vec::new()).is_err());
    assert!(Belief::new(&[1.0], vec![vec![f64::NAN]]).is_err());
    assert!(Belief::new(&[1.0, f64::INFINITY], vec![vec![0.5], vec![0.5]]).is_err());
    assert!(Belief::new(&[1.0, 1.0], vec![vec![0.5], vec![0.5, 0.4]]).is_err());
    assert!(Belief::new(&[1.0], vec![Vec::new()]).is_err());
}

#[test]
fn candidates_run_from_wide_to_narrow_through_the_reference_strokes() {
    let found = candidates();
    assert!(found.is_sorted_by(|a, b| a.0.aim_sd_deg > b.0.aim_sd_deg));
    for reference in Reference::ALL {
        let aim = reference.stroke().aim_sd_deg;
        assert!(found.iter().any(|(stroke, _)| (stroke.aim_sd_deg - aim).abs() < 1e-12), "{aim}");
    }
    assert!((found.iter().map(|(_, weight)| weight).sum::<f64>() - 1.0).abs() < 1e-12);
    assert!(found.iter().all(|(stroke, _)| stroke.check().is_ok()));
}

#[test]
fn a_newcomer_starts_farther_out_after_a_good_first_set() {
    let (file, text) = SHIPPED.iter().find(|(file, _)| file.starts_with("long-straight")).unwrap();
    let drill = Drill::read(file, text).unwrap();
    let card = Card::new("T", "9ft");
    let world = card.world().unwrap();
    // Every third rung is enough for this.
    let rungs = drill.ladder(&world, card.cue_ball(), Setup::Given).unwrap();
    let ladder: Vec<_> = rungs.into_iter().step_by(3).collect();
    let nodes = Nodes::sobol(4, 64, 1);
    let before = newcomer(&world, &ladder, &Player::default(), &nodes).unwrap();
    let start = |made| {
        let mut belief = before.clone();
        belief.observe(2, Count::new(made, FIRST_SET).unwrap()).unwrap();
        work_rung(&belief.predicted()).unwrap().rung
    };
    let starts = [start(4), start(12), start(18), start(20)];
    assert!(starts.is_sorted() && starts[0] < starts[2], "{starts:?}");
    // In words: a wide stroke starts no farther out than a narrow one.
    let named = |reference: Reference| {
        let player = Player::with(reference.stroke());
        work_rung(&chances(&world, &ladder, &player, &nodes).unwrap()).unwrap().rung
    };
    let named = Reference::ALL.map(named);
    assert!(named.is_sorted() && named[0] < named[3], "{named:?}");
}
