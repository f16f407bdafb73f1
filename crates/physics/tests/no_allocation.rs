//! A warm engine plays without touching the heap.
#![allow(clippy::unwrap_used)]

use std::alloc::System;

use longrail_physics::{Ball, Cue, Engine, Layout, Stroke, World};
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};

#[global_allocator]
static COUNTING: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

#[test]
fn no_shot_allocates_once_the_engine_is_warm() {
    let world = World::default();
    let draw = [Ball::at_rest("cue", 1.5, 0.5), Ball::at_rest("1", 2.1, 0.85)];
    let rack: Vec<Ball> = (0..15)
        .map(|k| Ball::at_rest(&k.to_string(), 1.6 + 0.06 * f64::from(k / 4), 0.4 + 0.06 * f64::from(k % 4)))
        .chain([Ball::at_rest("cue", 0.6, 0.52)])
        .collect();
    let layouts = [Layout::new(&world, &draw).unwrap(), Layout::new(&world, &rack).unwrap()];
    let strokes = [Stroke { tip_up: -0.35, ..Stroke::plain(3.0, 29.15) }, Stroke::plain(9.0, 1.0)];
    let mut engine = Engine::new();
    let mut play_all = || {
        for (layout, stroke) in layouts.iter().zip(&strokes) {
            engine.play(&world, layout, Some(stroke), &Cue::default(), &mut ()).unwrap();
        }
    };
    play_all();
    // The test harness allocates now and then on a thread of its own, so one quiet round out of many counts; a shot
    // that allocates would spoil every round.
    let quiet = (0..50).any(|_| {
        let region = Region::new(COUNTING);
        play_all();
        let change = region.change();
        (change.allocations, change.reallocations, change.deallocations) == (0, 0, 0)
    });
    assert!(quiet, "every round of shots allocates");
}
