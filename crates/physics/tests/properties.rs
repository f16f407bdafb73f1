//! What holds for every shot, on random ones.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod random_shots;

use longrail_math::Vec2;
use longrail_physics::{Ball, End, Kind, Layout, MOST_EVENTS, State, World};
use proptest::prelude::*;
use random_shots::{Played, Shot, energy, shots};

/// The impulse integration is good to 1e-6 of the approach speed; energy goes with its square.
const CUSHION_SLACK: f64 = 4e-5;

proptest! {
    #![proptest_config(ProptestConfig::with_cases(ProptestConfig::default().cases.max(600)))]

    #[test]
    fn energy_never_grows_in_any_event(shot in shots(7, 60.0)) {
        let played = shot.play();
        let gravity = shot.world.conditions().gravity_mps2;
        // Contacts of one moment share balls: they are added up together, from the first state to the last.
        for group in played.log.events.chunk_by(|a, b| a.t_s == b.t_s && a.with().is_some() && b.with().is_some()) {
            if group[0].kind == Kind::Strike {
                continue;
            }
            let mut involved: Vec<(usize, State, State)> = Vec::new();
            for event in group {
                let balls = [Some(event.ball), event.with()];
                for (k, ball) in balls.into_iter().enumerate().filter_map(|(k, ball)| Some((k, ball?))) {
                    match involved.iter_mut().find(|(known, ..)| *known == ball) {
                        Some(known) => known.2 = event.after[k],
                        None => involved.push((ball, event.before[k], event.after[k])),
                    }
                }
            }
            let of = |ball: usize, state: &State| energy(&played.layout.balls()[ball], state, gravity);
            let before: f64 = involved.iter().map(|(ball, before, _)| of(*ball, before)).sum();
            let after: f64 = involved.iter().map(|(ball, _, after)| of(*ball, after)).sum();
            let slack = if matches!(group[0].kind, Kind::Cushion(_)) { CUSHION_SLACK } else { 1e-12 };
            prop_assert!(after <= before * (1.0 + slack) + 1e-18, "{group:?}: {before} J to {after} J");
        }
    }

    #[test]
    fn ball_contacts_keep_the_momentum_over_the_bed(shot in shots(7, 0.0)) {
        let played = shot.play();
        prop_assume!(!played.flew());
        // Contacts of one moment share their balls' states before and after, so only lone ones add up.
        let times: Vec<f64> =
            played.log.events.iter().filter(|event| event.with().is_some()).map(|event| event.t_s).collect();
        for event in &played.log.events {
            let Some(with) = event.with() else { continue };
            if times.iter().filter(|&&t| (t - event.t_s).abs() < 1e-9).count() > 1 {
                continue;
            }
            // A push by a ball that creeps ends in rest: there the cloth takes part.
            if event.before.iter().all(|state| state.velocity.norm() < 1e-3) {
                continue;
            }
            let balls = played.layout.balls();
            let momentum = |states: &[State; 2]| {
                states[0].velocity.xy() * balls[event.ball].mass_kg + states[1].velocity.xy() * balls[with].mass_kg
            };
            let change = (momentum(&event.after) - momentum(&event.before)).norm();
            prop_assert!(change < 1e-12, "{event:?}: {change} kg m/s");
        }
    }

    #[test]
    fn events_come_in_order_of_time_and_the_shot_ends(shot in shots(7, 60.0)) {
        let played = shot.play();
        prop_assert!(played.log.events.windows(2).all(|pair| pair[0].t_s <= pair[1].t_s));
        prop_assert!(played.engine.rest_time_s().is_finite());
        prop_assert!(played.engine.events() < MOST_EVENTS);
        let last = played.log.events.last().unwrap().t_s;
        prop_assert!(last <= played.engine.rest_time_s() + 1e-12);
    }

    #[test]
    fn no_ball_enters_another_or_the_rubber(shot in shots(7, 0.0)) {
        let played = shot.play();
        prop_assume!(!played.flew());
        for event in &played.log.events {
            let places: Vec<Option<Vec2>> = (0..played.layout.balls().len())
                .map(|index| played.place(index, event.t_s).map(|place| place.0))
                .collect();
            for (i, place) in places.iter().enumerate() {
                let Some(p) = *place else { continue };
                let a = &played.layout.balls()[i];
                prop_assert!(clear_of_rubber(&shot, a, p) >= -1e-9, "{} in the rubber at {p:?}, {} s", a.id, event.t_s);
                for (j, other) in places.iter().enumerate().take(i) {
                    let Some(q) = *other else { continue };
                    let b = &played.layout.balls()[j];
                    let gap = (p - q).norm() - 2.0 * (a.radius_m * b.radius_m).sqrt();
                    prop_assert!(gap >= -1e-9, "{} and {} overlap by {} m at {} s", a.id, b.id, -gap, event.t_s);
                }
            }
        }
    }

    #[test]
    fn the_order_of_the_balls_changes_no_bit(shot in shots(7, 60.0), shift in 1usize..8) {
        let mut turned = shot.clone();
        let shift = shift % turned.balls.len();
        turned.balls.rotate_left(shift);
        turned.balls.reverse();
        let (a, b) = (ends(&shot.play()), ends(&turned.play()));
        prop_assert_eq!(a, b);
    }

    #[test]
    fn a_mirrored_shot_has_a_mirrored_outcome(shot in shots(3, 30.0)) {
        let width = shot.world.table().spec().width_m;
        let mut mirrored = shot.clone();
        for ball in &mut mirrored.balls {
            ball.position.y = width - ball.position.y;
        }
        mirrored.stroke.direction_deg = -shot.stroke.direction_deg;
        mirrored.stroke.tip_right = -shot.stroke.tip_right;
        compare(&shot, &mirrored, |p| Vec2::new(p.x, width - p.y))?;
    }

    #[test]
    fn a_shot_turned_by_half_a_circle_has_a_turned_outcome(shot in shots(3, 30.0)) {
        let spec = *shot.world.table().spec();
        let turn = |p: Vec2| Vec2::new(spec.length_m - p.x, spec.width_m - p.y);
        let mut turned = shot.clone();
        for ball in &mut turned.balls {
            ball.position = turn(ball.position);
        }
        turned.stroke.direction_deg = shot.stroke.direction_deg + 180.0;
        compare(&shot, &turned, turn)?;
    }
}

/// Ids with end and the bits of the final positions, in order of ids.
fn ends(played: &Played) -> Vec<(String, End, u64, u64)> {
    let mut ends: Vec<_> = (0..played.layout.balls().len())
        .map(|i| {
            let p = played.engine.position(i);
            (played.layout.id(i).to_owned(), played.engine.end(i), p.x.to_bits(), p.y.to_bits())
        })
        .collect();
    ends.sort_by(|a, b| a.0.cmp(&b.0));
    ends
}

/// Shots in which balls push each other softly are left out: the touches of a push, and what is told of them, are
/// placed by rounding.
///
/// Compares two shots up to the fourth ball contact. Each contact enlarges differences by the distance between
/// balls over their radius, up to 90 times, and the two shots differ in rounding from the start; four contacts
/// make at most 1e-16 · 90⁴ ≈ 1e-8 of it.
fn compare(a: &Shot, b: &Shot, map: impl Fn(Vec2) -> Vec2) -> Result<(), TestCaseError> {
    let (a, b) = (sharpened(a).play(), sharpened(b).play());
    if a.pushed() || b.pushed() {
        return Ok(());
    }
    let mut contacts = 0;
    let mut rest = b.log.events.iter().collect::<Vec<_>>();
    for event in &a.log.events {
        contacts += usize::from(event.with().is_some());
        if contacts > 4 {
            return Ok(());
        }
        // Events of one moment may come in another order: each needs a partner, whichever it is.
        let id = a.layout.id(event.ball);
        let with = event.with().map(|with| a.layout.id(with));
        let partner = rest.iter().position(|other| {
            let (id_b, with_b) = (b.layout.id(other.ball), other.with().map(|with| b.layout.id(with)));
            let same = (id_b == id && with_b == with) || (Some(id_b) == with && with_b == Some(id));
            let near = (other.position() - map(event.position())).norm() < 1e-6
                || (other.before[1].position - map(event.position())).norm() < 1e-6;
            same && near && other.kind.name() == event.kind.name() && (other.t_s - event.t_s).abs() < 1e-5
        });
        prop_assert!(partner.is_some(), "no partner after {contacts} ball contacts of {event:?}");
        rest.remove(partner.unwrap());
    }
    Ok(())
}

/// The same shot with cushions integrated to 1e-9: which steps are taken may hang on the last bit of the input, so
/// two mirror images differ by as much as the tolerance lets them.
fn sharpened(shot: &Shot) -> Shot {
    let mut conditions = *shot.world.conditions();
    conditions.cushion.tolerance = 1e-8;
    let world = World::new(shot.world.table().clone(), conditions).unwrap();
    Shot { world, ..shot.clone() }
}

/// Least gap between a ball and any nose, jaw or facing near it; positive when clear.
fn clear_of_rubber(shot: &Shot, ball: &Ball, p: Vec2) -> f64 {
    let reach = shot.world.reach_m(ball.radius_m).unwrap();
    let spec = shot.world.table().spec();
    let inner = [p.x, spec.length_m - p.x, p.y, spec.width_m - p.y].into_iter().fold(f64::INFINITY, f64::min);
    if inner >= reach {
        return inner - reach;
    }
    // Beyond a nose line only a pocket's mouth is bed: then all that counts is distance from its jaws.
    let mut least = f64::INFINITY;
    let mut in_mouth = false;
    for pocket in shot.world.table().pockets() {
        let depth = (p - pocket.mouth).dot(pocket.axis);
        let aside = (p - pocket.mouth).cross(pocket.axis).abs();
        if depth.abs() < 0.2 && aside < pocket.width / 2.0 + 0.05 {
            in_mouth = true;
            for jaw in &pocket.jaws {
                let d = p - jaw.point;
                let foot = d.dot(jaw.along);
                least = least.min(if foot > 0.0 { d.dot(jaw.inward) } else { d.norm() } - reach);
            }
        }
    }
    if in_mouth { least } else { inner - reach }
}

#[test]
fn a_ball_driven_square_into_two_frozen_ones_sends_them_off_alike() {
    // Common practice, no source: the head ball of a tight rack, hit full, sends the second row off alike.
    let world = longrail_physics::World::default();
    let r = longrail_physics::ball::RADIUS_M;
    let back = 3f64.sqrt() * r;
    let balls = [
        Ball::at_rest("cue", 0.8, 0.635),
        Ball::at_rest("1", 1.4 + back, 0.635 - r),
        Ball::at_rest("2", 1.4 + back, 0.635 + r),
    ];
    let layout = Layout::new(&world, &balls).unwrap();
    let mut engine = longrail_physics::Engine::new();
    let stroke = longrail_physics::Stroke::plain(1.5, 0.0);
    engine.play(&world, &layout, Some(&stroke), &longrail_physics::Cue::default(), &mut ()).unwrap();
    let p: Vec<Vec2> = (0..3).map(|i| engine.position(i)).collect();
    assert!((p[0].y - 0.635).abs() < 1e-9, "the cue ball leaves the line: {p:?}");
    assert!((p[1].y + p[2].y - 1.27).abs() < 1e-9 && (p[1].x - p[2].x).abs() < 1e-9, "{p:?}");
}
