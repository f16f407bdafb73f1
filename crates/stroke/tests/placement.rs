//! Placement of a newcomer, against the study of progression.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_math::random::Stream;
use longrail_stats::special::normal_quantile;
use longrail_stroke::infer::placement::{BLOCK, Ladder, POSITIONS, Position};
use longrail_stroke::infer::{Posterior, Prior, Seen, Surface, Tally};

/// A window of a player with a spread of `sigma` that is made with this chance, lapses left out.
fn window(sigma: f64, share: f64) -> Surface {
    Surface::window(sigma * normal_quantile(0.5 * (1.0 + share)))
}

#[test]
fn information_by_difficulty_is_that_of_the_study() {
    // Study of progression, 3.2: at a lapse of .02 an attempt's information on ln σ is 1.154 at best (p near .809), 1.016
    // near .68 and .706 near .5, sides not seen. For a spread that is well known the mutual information is half of that times
    // the variance, so the ratios are the study's.
    let prior = Prior {
        ln_sd: 0.05,
        bias_sd_deg: 0.005,
        lapses: [(0.02, 1.0), (0.0, 0.0), (0.05, 0.0), (0.1, 0.0)],
        ..Prior::default()
    };
    let posterior = Posterior::new(prior).unwrap();
    let told = |made: f64| posterior.information(&window(0.3, made / 0.98), false);
    let shares: Vec<f64> = (40..96).map(|percent| 0.01 * f64::from(percent)).collect();
    let best = shares.iter().copied().max_by(|a, b| told(*a).total_cmp(&told(*b))).unwrap();
    assert!((best - 0.809).abs() < 0.03, "{best}");
    for (made, information) in [(0.68, 1.016), (0.50, 0.706)] {
        let ratio = told(made) / told(0.809);
        assert!((ratio - information / 1.154).abs() < 0.02, "{made}: {ratio}");
    }
    let absolute = 2.0 * told(0.809) / (0.05 * 0.05);
    assert!((absolute - 1.154).abs() < 0.06, "{absolute}");
    // Sides tell more once misses have leant to one side and a bias may hide behind the spread (study, 3.3); while left is
    // as likely as right, one attempt's side says nothing.
    let mut leaning = Posterior::new(Prior::default()).unwrap();
    leaning.take(&window(0.3, 0.68), &Tally::sided(12, 8, 0));
    let told = |sides: bool| leaning.information(&window(0.3, 0.68), sides);
    assert!(told(true) > 1.05 * told(false), "{} {}", told(true), told(false));
}

/// Attempts in a block at a window, by a player of this spread with a lapse of 2 %.
fn shot(random: &mut Stream, sigma: f64, half: f64) -> Tally {
    let mut tally = Tally::default();
    for _ in 0..BLOCK {
        let error = sigma * normal_quantile(random.between(1e-12, 1.0));
        let made = error.abs() <= half && random.unit() >= 0.02;
        tally.add(if made { Seen::Made } else { Seen::Failed });
    }
    tally
}

#[test]
fn thirty_attempts_tell_as_much_as_the_study_says() {
    // Study of progression, 3.5: standard deviation of ln σ after 25 attempts .197 where each is chosen by its information on
    // ln σ alone, prior .5, lapse unknown. Blocks of five choose less often; the study's worst rule, evenly over all rungs,
    // has .229.
    let halves: Vec<f64> = (0..14).map(|k| 0.9 * longrail_math::fx::pow(0.82, f64::from(k))).collect();
    let rungs: Vec<Option<Surface>> = halves.iter().map(|half| Some(Surface::window(*half))).collect();
    let ladders = [Ladder { rungs: &rungs, family: None }];
    let (mut sum, mut inside, players) = (0.0, 0, 60);
    for player in 0..players {
        let mut random = Stream::new(11, 77, player);
        let truth = longrail_math::fx::ln(0.3) + 0.5 * normal_quantile(random.between(1e-9, 1.0));
        let prior = Prior { ln_sd: 0.5, bias_sd_deg: 0.005, ..Prior::default() };
        let mut posterior = Posterior::new(prior).unwrap();
        let mut positions: Vec<Position> = Vec::new();
        while let Some(next) = posterior.next_position(&ladders, &positions, false) {
            let tally = shot(&mut random, longrail_math::fx::exp(truth), halves[next.rung]);
            posterior.take(rungs[next.rung].as_ref().unwrap(), &tally);
            positions.push(next);
            if positions.len() == 5 {
                sum += posterior.inferred().ln_spread.sd;
            }
        }
        assert_eq!(positions.len(), POSITIONS);
        let start = posterior.start(&ladders[0], 0.68);
        assert!(start.low <= start.middle && start.middle <= start.high, "{start:?}");
        // Where this player's chance truly passes the target.
        let made: Vec<f64> = halves
            .iter()
            .map(|half| 0.98 * longrail_math::fx::erf(half / (longrail_math::fx::exp(truth) * 2f64.sqrt())))
            .collect();
        if let longrail_stroke::curve::Crossing::At(rung) = longrail_stroke::curve::crossing(&made, 0.68) {
            inside += i32::from(start.low <= rung && rung <= start.high);
        } else {
            inside += 1;
        }
    }
    let mean = sum / f64::from(u32::try_from(players).unwrap());
    assert!(mean < 0.229 && mean > 0.17, "{mean}");
    // Four times in five, within three standard errors of a share of 60.
    assert!((39..=57).contains(&inside), "{inside} of {players}");
}

#[test]
fn every_ladder_has_its_turn_and_what_nobody_makes_is_left_out() {
    let easy: Vec<Option<Surface>> = [0.9, 0.6, 0.4].map(|half| Some(Surface::window(half))).to_vec();
    let hard: Vec<Option<Surface>> = vec![Some(Surface::window(0.3)), None];
    let ladders = [Ladder { rungs: &easy, family: None }, Ladder { rungs: &hard, family: None }];
    let posterior = Posterior::new(Prior::default()).unwrap();
    let mut positions = Vec::new();
    while let Some(next) = posterior.next_position(&ladders, &positions, true) {
        positions.push(next);
    }
    // Four rungs can be shot; the ladders take turns while both have one.
    assert_eq!(positions.len(), 4);
    assert_ne!(positions[0].ladder, positions[1].ladder);
    assert!(positions.iter().all(|position| *position != Position { ladder: 1, rung: 1 }));
    assert!(posterior.next_position(&[], &[], true).is_none());
}
