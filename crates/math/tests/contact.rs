//! First contact against general-purpose root finders, and on the cases where root finders fail.
//!
//! The squared distance |p + v s + a s²|² − d² is a quartic in s. kurbo solves it in closed form (Orellana &
//! De Michele 2020), polycool by bracketing between the roots of derivatives (Yuksel 2022). Both see
//! only the quartic, so near a graze they lose roots themselves; there the check is the distance itself.
#![allow(clippy::unwrap_used, clippy::expect_used)]

use longrail_math::Vec2;
use longrail_math::roots::{Approach, TOUCH, first_contact, next_closing};
use proptest::prelude::*;

const DISTANCE: f64 = 0.05715;
const HORIZON: f64 = 10.0;

fn quartic(approach: &Approach<Vec2>) -> [f64; 5] {
    let Approach { p, v, a } = *approach;
    [p.dot(p) - DISTANCE * DISTANCE, 2.0 * p.dot(v), v.dot(v) + 2.0 * p.dot(a), 2.0 * v.dot(a), a.dot(a)]
}

fn gap(approach: &Approach<Vec2>, s: f64) -> f64 {
    (approach.p + (approach.v + approach.a * s) * s).norm() - DISTANCE
}

/// Least gap over 0..=`until`, scanned finely and then refined: slow, plain, independent of any root finder.
fn least_gap(approach: &Approach<Vec2>, until: f64) -> f64 {
    let steps = 4000;
    let at = |k: i32| until * f64::from(k) / f64::from(steps);
    let lowest = (0..=steps).min_by(|&i, &j| gap(approach, at(i)).total_cmp(&gap(approach, at(j)))).unwrap();
    let (mut low, mut high) = (at((lowest - 1).max(0)), at((lowest + 1).min(steps)));
    for _ in 0..200 {
        let (third, two) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if gap(approach, third) < gap(approach, two) { high = two } else { low = third }
    }
    gap(approach, 0.5 * (low + high))
}

/// Two balls a table apart, at speeds and decelerations as in play, aimed so that they pass within two balls of
/// each other.
fn passes() -> impl Strategy<Value = Approach<Vec2>> {
    let angle = || 0.0f64..std::f64::consts::TAU;
    (0.06f64..2.5, angle(), 0.02f64..12.0, -2.0f64..2.0, 0.0f64..2.0, angle()).prop_map(
        |(away, bearing, speed, miss, push, push_bearing)| {
            let p = Vec2::from_angle(bearing) * away;
            let aim = -p / away + Vec2::from_angle(bearing).turned_left() * (miss * DISTANCE / away);
            Approach { p, v: aim * (speed / aim.norm()), a: Vec2::from_angle(push_bearing) * push }
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20_000))]

    #[test]
    fn agrees_with_kurbo_and_polycool_away_from_a_graze(approach in passes()) {
        let c = quartic(&approach);
        let found = first_contact(&approach, DISTANCE, HORIZON);
        prop_assume!(least_gap(&approach, found.unwrap_or(HORIZON) + 0.05).abs() > 1e-6);
        let first = |roots: &[f64]| roots.iter().copied().filter(|s| (0.0..=HORIZON).contains(s)).fold(f64::INFINITY, f64::min);
        let kurbo = first(&kurbo::common::solve_quartic(c[0], c[1], c[2], c[3], c[4]));
        let polycool = first(&polycool::Poly::new(c).roots_between(0.0, HORIZON, 1e-12));
        let ours = found.unwrap_or(f64::INFINITY);
        // At a root s of the quartic its error is that of the coefficients over the slope.
        let close = |other: f64| ours == other || (ours - other).abs() < 1e-6 * (1.0 + ours);
        // A closed form may itself lose a root; ours is wrong only if both others say so.
        prop_assert!(close(kurbo) || close(polycool), "{ours} against {kurbo} and {polycool}");
        prop_assert!(close(polycool), "{ours} against the bracketing solver's {polycool}");
    }

    #[test]
    fn at_a_contact_the_gap_is_closed_and_closing_and_was_open_before(approach in passes()) {
        if let Some(s) = first_contact(&approach, DISTANCE, HORIZON) {
            prop_assert!(gap(&approach, s).abs() < 2e-12, "{}", gap(&approach, s));
            let delta = approach.p + (approach.v + approach.a * s) * s;
            prop_assert!(delta.dot(approach.v + approach.a * (2.0 * s)) <= 1e-9);
            let before = least_gap(&approach, s * (1.0 - 1e-9));
            prop_assert!(before > -1e-12, "the gap was {before} before");
        } else {
            let least = least_gap(&approach, HORIZON);
            prop_assert!(least > -1e-11, "a contact {least} deep was missed");
        }
    }

    /// Passes whose closest approach is planted from 1e-3 to 1e-12 m outside or inside the contact distance.
    #[test]
    fn grazes_are_neither_missed_nor_invented(away in 0.2f64..2.0, speed in 0.1f64..10.0, depth in 3.0f64..12.0, inside: bool) {
        let depth = longrail_math::fx::pow(10.0, -depth) * if inside { -1.0 } else { 1.0 };
        let approach = Approach {
            p: Vec2::new(-away, DISTANCE + depth),
            v: Vec2::new(speed, 0.0),
            a: Vec2::ZERO,
        };
        let found = first_contact(&approach, DISTANCE, 2.0 * away / speed);
        prop_assert_eq!(found.is_some(), inside, "depth {}", depth);
        if let Some(s) = found {
            // Where a straight line meets a circle (Euclid).
            let half = (-depth * (2.0 * DISTANCE + depth)).sqrt();
            let exact = (away - half) / speed;
            prop_assert!((s - exact).abs() * speed < 1e-6 + 1e-13 / half * DISTANCE, "{s} {exact}");
        }
    }

    #[test]
    fn a_contact_just_resolved_is_not_reported_again(bearing in 0.0f64..std::f64::consts::TAU, speed in 0.001f64..5.0, off in -1e-9f64..1e-9, push in 0.0f64..2.0) {
        let n = Vec2::from_angle(bearing);
        let parting = Approach { p: n * (DISTANCE + off), v: n * speed, a: n * push };
        prop_assert_eq!(first_contact(&parting, DISTANCE, HORIZON), None);
        // Pulled back, it touches again after 2 · speed / (2 · push), not at once (a follow shot catching up).
        if push > 0.01 {
            let back = Approach { a: n * -push, ..parting };
            let s = first_contact(&back, DISTANCE, 1e4).expect("it comes back");
            prop_assert!((s - speed / push).abs() < 1e-5, "{s} {}", speed / push);
        }
    }
}

#[test]
fn a_double_root_closes_at_no_speed_and_is_not_reported_twice() {
    // Passes exactly one contact distance away: the gap reaches zero and opens. Within 1e-13 m it may count as a
    // touch, whose rate is then at most sqrt(2 · 1e-13 · v²/d), here 2e-6 of the speed; and none follows.
    let approach = Approach { p: Vec2::new(-1.0, DISTANCE), v: Vec2::new(1.0, 0.0), a: Vec2::ZERO };
    if let Some(s) = first_contact(&approach, DISTANCE, HORIZON) {
        let p = approach.p + approach.v * s;
        assert!((p.dot(approach.v) / DISTANCE).abs() < 2e-6, "{s}");
        let after = Approach { p, v: approach.v + p * (1e-12 - p.dot(approach.v) / p.dot(p)), ..approach };
        assert_eq!(first_contact(&after, DISTANCE, HORIZON), None);
    }
}

#[test]
fn a_vanishing_leading_coefficient_does_no_harm() {
    let p = Vec2::new(-1.0, 0.02);
    let exact =
        first_contact(&Approach { p, v: Vec2::new(2.0, 0.0), a: Vec2::ZERO }, DISTANCE, HORIZON).unwrap();
    for tiny in [1e-18, -1e-18, 1e-300, 5e-324] {
        let approach = Approach { p, v: Vec2::new(2.0, 0.0), a: Vec2::new(tiny, tiny) };
        let s = first_contact(&approach, DISTANCE, HORIZON).unwrap();
        assert!((s - exact).abs() < 1e-15);
    }
}

#[test]
fn a_touch_that_is_pressed_comes_back_after_a_while_and_not_at_once() {
    let approach = Approach { p: Vec2::new(DISTANCE, 0.0), v: Vec2::ZERO, a: Vec2::new(-1.0, 0.0) };
    let s = first_contact(&approach, DISTANCE, HORIZON).unwrap();
    assert!(s > 1e-6 && gap(&approach, s) > -TOUCH);
    let s = next_closing(0.0, 0.0, -1.0).unwrap();
    assert!(s > 1e-6 && s * s < TOUCH);
}
