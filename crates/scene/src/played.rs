//! The picture of a played shot: balls, courses, and what happened on the way.

use longrail_math::order;
use longrail_physics::table::Table;
use longrail_physics::{End, Engine, Kind, Layout, Leg, Log, Phase};

use crate::marks::Mark;
use crate::shot::{PathLeg, PictureBall, PicturePath, ShotPicture};

/// Chords per leg: a sliding ball's parabola is drawn to a fraction of a millimetre.
const CHORDS: u32 = 24;

/// The picture of a shot that `engine` played from `layout` and wrote down in `log`.
pub fn played_picture<'a>(table: &'a Table, layout: &Layout, engine: &Engine, log: &Log) -> ShotPicture<'a> {
    let balls = layout.balls().iter().enumerate().map(|(index, ball)| PictureBall {
        id: ball.id.clone(),
        radius_m: ball.radius_m,
        start: ball.position,
        rest: (engine.end(index) == End::Bed).then(|| engine.position(index)),
    });
    ShotPicture {
        balls: balls.collect(),
        paths: paths(log),
        marks: happenings(layout, log),
        title: "A shot, seen from above".to_owned(),
        ..ShotPicture::of(table)
    }
}

/// The courses, in the order in which the balls begin to move.
fn paths(log: &Log) -> Vec<PicturePath> {
    let mut paths: Vec<PicturePath> = Vec::new();
    let mut legs: Vec<&Leg> = log.legs.iter().collect();
    order::sort_by(&mut legs, |a, b| a.from_s.total_cmp(&b.from_s));
    for leg in legs {
        // A straight leg needs its ends only.
        let chords = if leg.phase == Phase::Sliding { CHORDS } else { 1 };
        let at = |k: u32| leg.from_s + (leg.to_s - leg.from_s) * f64::from(k) / f64::from(chords);
        let points = (0..=chords).map(|k| leg.position(at(k))).collect();
        let piece = PathLeg { points, flying: leg.phase == Phase::Flying };
        match paths.iter_mut().find(|path| path.ball == leg.ball) {
            Some(path) => path.legs.push(piece),
            None => paths.push(PicturePath { ball: leg.ball, legs: vec![piece] }),
        }
    }
    paths
}

/// What happens on the way.
fn happenings(layout: &Layout, log: &Log) -> Vec<Mark> {
    let mut marks = Vec::new();
    // The ghost ball: where the cue ball first meets another.
    let cue = layout.cue_ball();
    let first = log
        .events
        .iter()
        .find(|event| event.with().is_some() && (Some(event.ball) == cue || event.with() == cue));
    if let (Some(event), Some(cue)) = (first, cue) {
        let at = event.before[usize::from(event.ball != cue)].position;
        marks.push(Mark::Ghost { at, radius_m: layout.balls()[cue].radius_m });
    }
    for event in &log.events {
        let at = event.position();
        match event.kind {
            Kind::Cushion(_) => marks.push(Mark::Rail { at }),
            Kind::Pocket(_) => marks.push(Mark::Pocketed { ball: event.ball, at }),
            Kind::OffTable => marks.push(Mark::LeftTable { ball: event.ball, at }),
            Kind::Landing => marks.push(Mark::Landing { at }),
            _ => {}
        }
    }
    marks
}
