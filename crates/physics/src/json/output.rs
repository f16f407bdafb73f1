//! Writing what came of a shot.

use serde::Serialize;

use super::{Output, Played, Problem};
use longrail_math::order;

use crate::engine::{End, Event, Kind};
use crate::motion::State;
use crate::path::sample;

/// Spacing in time of sampled paths, in seconds: 50 points a second, smoother than a screen needs.
const INTERVAL_S: f64 = 0.02;

#[derive(Serialize)]
struct ShotOut<'a> {
    events: Vec<EventOut<'a>>,
    r#final: Vec<FinalOut<'a>>,
    rest_time_s: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    paths: Option<Vec<PathOut<'a>>>,
}

#[derive(Serialize)]
struct EventOut<'a> {
    t_s: f64,
    kind: &'static str,
    ball: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    with: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    rail: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pocket: Option<&'static str>,
    x_m: f64,
    y_m: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    before: Option<Vec<StateOut<'a>>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    after: Option<Vec<StateOut<'a>>>,
}

#[derive(Serialize)]
struct StateOut<'a> {
    id: &'a str,
    x_m: f64,
    y_m: f64,
    vx_mps: f64,
    vy_mps: f64,
    wx_rad_s: f64,
    wy_rad_s: f64,
    wz_rad_s: f64,
    /// Height above the bed and its rate, only off the cloth.
    #[serde(skip_serializing_if = "Option::is_none")]
    height_m: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    vz_mps: Option<f64>,
}

#[derive(Serialize)]
struct FinalOut<'a> {
    id: &'a str,
    x_m: f64,
    y_m: f64,
    pocket: Option<&'static str>,
    state: &'static str,
}

#[derive(Serialize)]
struct PathOut<'a> {
    id: &'a str,
    points: Vec<PointOut>,
}

#[derive(Serialize)]
struct PointOut {
    t_s: f64,
    x_m: f64,
    y_m: f64,
    #[serde(skip_serializing_if = "is_zero")]
    height_m: f64,
}

// The signature is what serde asks for.
#[allow(clippy::trivially_copy_pass_by_ref)]
fn is_zero(x: &f64) -> bool {
    *x == 0.0
}

/// The outcome as one line of JSON. Balls stand in the order in which they were given.
pub fn write(problem: &Problem, played: &Played, output: Output) -> String {
    let layout = &problem.layout;
    let given = layout.given_order();
    let order = order::of(layout.balls().len(), &mut |a, b| given[a].cmp(&given[b]));
    let finals = order.iter().map(|&index| {
        let position = played.engine.position(index);
        let end = played.engine.end(index);
        let state = match end {
            End::Bed => "bed",
            End::Pocket(_) => "pocket",
            End::OffTable => "off-table",
        };
        FinalOut {
            id: layout.id(index),
            x_m: position.x,
            y_m: position.y,
            pocket: end.pocket().map(crate::table::PocketId::name),
            state,
        }
    });
    let path = |&index: &usize| PathOut {
        id: layout.id(index),
        points: sample(&played.log.legs, index, INTERVAL_S)
            .into_iter()
            .map(|point| PointOut {
                t_s: point.t_s,
                x_m: point.position.x,
                y_m: point.position.y,
                height_m: point.height_m,
            })
            .collect(),
    };
    let out = ShotOut {
        events: played.log.events.iter().map(|event| event_out(problem, event, output.states)).collect(),
        r#final: finals.collect(),
        rest_time_s: played.engine.rest_time_s(),
        paths: output.paths.then(|| order.iter().map(path).collect()),
    };
    // Plain structs of numbers and strings always serialise.
    serde_json::to_string(&out).unwrap_or_default()
}

fn event_out<'a>(problem: &'a Problem, event: &Event, states: bool) -> EventOut<'a> {
    let layout = &problem.layout;
    let (rail, pocket) = match event.kind {
        Kind::Cushion(rail) => (Some(rail.name()), None),
        Kind::Facing(pocket) | Kind::Jaw(pocket) | Kind::Pocket(pocket) => (None, Some(pocket.name())),
        _ => (None, None),
    };
    let list = |pair: &[State; 2]| {
        let mut list = vec![state_out(problem, event.ball, &pair[0])];
        if let Some(with) = event.with() {
            list.push(state_out(problem, with, &pair[1]));
        }
        list
    };
    let position = event.position();
    EventOut {
        t_s: event.t_s,
        kind: event.kind.name(),
        ball: layout.id(event.ball),
        with: event.with().map(|with| layout.id(with)),
        rail,
        pocket,
        x_m: position.x,
        y_m: position.y,
        before: states.then(|| list(&event.before)),
        after: states.then(|| list(&event.after)),
    }
}

fn state_out<'a>(problem: &'a Problem, ball: usize, state: &State) -> StateOut<'a> {
    let radius = problem.layout.balls()[ball].radius_m;
    let airborne = state.height != 0.0 || state.velocity.z != 0.0;
    StateOut {
        id: problem.layout.id(ball),
        x_m: state.position.x,
        y_m: state.position.y,
        vx_mps: state.velocity.x,
        vy_mps: state.velocity.y,
        wx_rad_s: state.surface.x / radius,
        wy_rad_s: state.surface.y / radius,
        wz_rad_s: state.surface.z / radius,
        height_m: airborne.then_some(state.height),
        vz_mps: airborne.then_some(state.velocity.z),
    }
}
