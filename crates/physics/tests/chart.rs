//! Rebounds read off a chart, against the integration that they stand for.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_math::random::Stream;
use longrail_physics::ball::RADIUS_M;
use longrail_physics::conditions::CushionModel;
use longrail_physics::{Ball, Conditions, Cue, Engine, Kind, Layout, Log, State, Stroke, Table, World};

fn world(change: impl FnOnce(&mut Conditions)) -> World {
    let mut conditions = Conditions::default();
    change(&mut conditions);
    World::new(Table::default(), conditions).unwrap()
}

/// The state before and after the first rebound of a ball struck from `at`, if there is one.
fn first_rebound(world: &World, at: [f64; 2], stroke: &Stroke) -> Option<(State, State)> {
    let layout = Layout::new(world, &[Ball::at_rest("cue", at[0], at[1])]).unwrap();
    let mut log = Log::default();
    Engine::new().play(world, &layout, Some(stroke), &Cue::default(), &mut log).unwrap();
    let rebound = log.events.iter().find(|event| matches!(event.kind, Kind::Cushion(_)))?;
    Some((rebound.before[0], rebound.after[0]))
}

/// A place on the bed and a stroke from there: all directions, and draw, follow and side of all amounts.
fn random_shot(random: &mut Stream) -> ([f64; 2], Stroke) {
    let at = [random.between(0.1, 2.4), random.between(0.1, 1.1)];
    let plain = Stroke::plain(random.between(0.5, 5.0), random.between(0.0, 360.0));
    (at, Stroke { tip_up: random.between(-0.4, 0.4), tip_right: random.between(-0.3, 0.3), ..plain })
}

#[test]
fn a_rebound_off_the_chart_is_the_integrated_one_to_a_thousandth_of_the_approach() {
    let exact = world(|_| {});
    let charted = world(|conditions| conditions.cushion.tolerance = 1e-3).charted(RADIUS_M).unwrap();
    let mut random = Stream::new(11, 4, 0);
    let mut errors = Vec::new();
    for _ in 0..2000 {
        let (at, stroke) = random_shot(&mut random);
        let Some((before, should)) = first_rebound(&exact, at, &stroke) else { continue };
        let (same, is) = first_rebound(&charted, at, &stroke).unwrap();
        assert_eq!(before, same);
        // The rail turns one part of the velocity round: it is the one that changes most.
        let turned = should.velocity - before.velocity;
        let approach = if turned.x.abs() > turned.y.abs() { before.velocity.x } else { before.velocity.y };
        let (v, w) = (is.velocity - should.velocity, is.surface - should.surface);
        errors.push(v.norm().max(w.norm()) / approach.abs());
    }
    errors.sort_by(f64::total_cmp);
    let at = |percent: usize| errors[(errors.len() - 1) * percent / 100];
    assert!(errors.len() > 1500);
    let told = format!("median {:.1e}, 99 % {:.1e}, worst {:.1e}", at(50), at(99), at(100));
    assert!(at(50) < 1e-3 && at(99) < 5e-3 && at(100) < 2e-2, "{told}");
}

#[test]
fn mirrored_arrivals_rebound_mirrored() {
    let charted = world(|conditions| conditions.cushion.tolerance = 1e-3).charted(RADIUS_M).unwrap();
    for (direction, tip_right) in [(60.0, 0.2), (100.0, -0.3), (45.0, 0.0)] {
        let stroke = Stroke { tip_right, ..Stroke::plain(2.0, direction) };
        let mirrored =
            Stroke { direction_deg: 180.0 - direction, tip_right: -tip_right, ..Stroke::plain(2.0, 0.0) };
        let (_, one) = first_rebound(&charted, [0.8, 0.7], &stroke).unwrap();
        let (_, other) = first_rebound(&charted, [0.8, 0.7], &mirrored).unwrap();
        assert!((one.velocity.x + other.velocity.x).abs() < 1e-6, "{direction}");
        assert!((one.velocity.y - other.velocity.y).abs() < 1e-6, "{direction}");
        assert!((one.surface.z + other.surface.z).abs() < 1e-6, "{direction}");
    }
}

#[test]
fn where_a_chart_has_no_use_the_world_stays_as_it_is() {
    for model in [CushionModel::SingleImpulse, CushionModel::Simple] {
        let closed = world(|conditions| conditions.cushion.model = model);
        assert_eq!(closed.clone().charted(RADIUS_M).unwrap(), closed);
    }
    // Rubber so rough that balls climb it: friction times the cosine of the contact's height above its sine.
    let rough = world(|conditions| conditions.cushion.friction = 0.6);
    assert_eq!(rough.clone().charted(RADIUS_M).unwrap(), rough);
    assert_ne!(world(|_| {}).charted(RADIUS_M).unwrap(), world(|_| {}));
    // Another ball than the chart is of has its rebounds integrated.
    let (plain, other) = (world(|_| {}), world(|_| {}).charted(0.03).unwrap());
    let stroke = Stroke::plain(2.0, 70.0);
    assert_eq!(
        first_rebound(&plain, [0.8, 0.7], &stroke).unwrap(),
        first_rebound(&other, [0.8, 0.7], &stroke).unwrap()
    );
    assert!(world(|_| {}).charted(0.01).is_err());
}
