//! Posing a shot in JSON, and reading what came of it.

use longrail_math::fx;
use longrail_physics::json::{Output, run};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::R;

/// A ball as it is posed and as it is told: the same fields, so that an outcome can be posed again.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct State {
    pub(crate) id: String,
    pub(crate) x_m: f64,
    pub(crate) y_m: f64,
    #[serde(default)]
    pub(crate) vx_mps: f64,
    #[serde(default)]
    pub(crate) vy_mps: f64,
    #[serde(default)]
    pub(crate) wx_rad_s: f64,
    #[serde(default)]
    pub(crate) wy_rad_s: f64,
    #[serde(default)]
    pub(crate) wz_rad_s: f64,
}

impl State {
    pub(crate) fn at(id: &str, x_m: f64, y_m: f64) -> Self {
        Self { id: id.to_owned(), x_m, y_m, ..Self::default() }
    }

    /// The same ball with a velocity.
    pub(crate) fn moving(self, vx_mps: f64, vy_mps: f64) -> Self {
        Self { vx_mps, vy_mps, ..self }
    }

    /// The same ball rolling, or with `ratio` times the spin of a rolling ball of `radius_m`.
    pub(crate) fn rolling(self, ratio: f64, radius_m: f64) -> Self {
        let (wx_rad_s, wy_rad_s) = (-ratio * self.vy_mps / radius_m, ratio * self.vx_mps / radius_m);
        Self { wx_rad_s, wy_rad_s, ..self }
    }

    pub(crate) fn speed(&self) -> f64 {
        (self.vx_mps * self.vx_mps + self.vy_mps * self.vy_mps).sqrt()
    }

    /// Direction of the velocity, in degrees from +x.
    pub(crate) fn direction_deg(&self) -> f64 {
        fx::atan2(self.vy_mps, self.vx_mps).to_degrees()
    }

    /// Speed of the lowest point over the cloth, for a ball of the usual radius.
    pub(crate) fn slip(&self) -> f64 {
        let (x, y) = (self.vx_mps - R * self.wy_rad_s, self.vy_mps + R * self.wx_rad_s);
        (x * x + y * y).sqrt()
    }

    pub(crate) fn distance_to(&self, other: &Self) -> f64 {
        let (x, y) = (other.x_m - self.x_m, other.y_m - self.y_m);
        (x * x + y * y).sqrt()
    }
}

/// What came of a shot.
#[derive(Debug, Deserialize)]
pub(crate) struct Outcome {
    pub(crate) events: Vec<Event>,
    #[serde(rename = "final")]
    pub(crate) finals: Vec<Final>,
    pub(crate) rest_time_s: f64,
    #[serde(default)]
    pub(crate) paths: Vec<Path>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Event {
    pub(crate) t_s: f64,
    pub(crate) kind: String,
    pub(crate) ball: String,
    #[serde(default)]
    pub(crate) with: Option<String>,
    pub(crate) before: Vec<State>,
    pub(crate) after: Vec<State>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Final {
    pub(crate) id: String,
    pub(crate) x_m: f64,
    pub(crate) y_m: f64,
    pub(crate) state: String,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Path {
    pub(crate) id: String,
    pub(crate) points: Vec<Point>,
}

#[derive(Debug, Deserialize)]
pub(crate) struct Point {
    pub(crate) t_s: f64,
    pub(crate) x_m: f64,
    pub(crate) y_m: f64,
}

impl Event {
    pub(crate) fn concerns(&self, id: &str) -> bool {
        self.ball == id || self.with.as_deref() == Some(id)
    }

    /// State of ball `id` just before.
    pub(crate) fn before(&self, id: &str) -> &State {
        self.before.iter().find(|state| state.id == id).unwrap()
    }

    /// State of ball `id` just after.
    pub(crate) fn after(&self, id: &str) -> &State {
        self.after.iter().find(|state| state.id == id).unwrap()
    }
}

impl Outcome {
    /// The first event of `kind` that concerns ball `id`, if there is one.
    pub(crate) fn find(&self, kind: &str, id: &str) -> Option<&Event> {
        self.events.iter().find(|event| event.kind == kind && event.concerns(id))
    }

    /// The first event of `kind` that concerns ball `id`; a shot without one was posed wrongly.
    pub(crate) fn first(&self, kind: &str, id: &str) -> &Event {
        self.find(kind, id).unwrap_or_else(|| panic!("no {kind} of {id} among {:#?}", self.events))
    }

    /// The first event of `kind` that concerns ball `id` at or after the time `from_s`.
    pub(crate) fn next(&self, kind: &str, id: &str, from_s: f64) -> &Event {
        let next = |event: &&Event| event.t_s >= from_s && event.kind == kind && event.concerns(id);
        self.events.iter().find(next).unwrap_or_else(|| panic!("no {kind} of {id} among {:#?}", self.events))
    }

    /// The last of ball `id`.
    pub(crate) fn end(&self, id: &str) -> &Final {
        self.finals.iter().find(|end| end.id == id).unwrap()
    }
}

/// Plays a shot; a refusal is a fault of the test.
pub(crate) fn play(shot: &Value) -> Outcome {
    let output = Output { paths: shot["paths"] == true, states: true };
    let mut shot = shot.clone();
    shot.as_object_mut().unwrap().remove("paths");
    let told = run(&shot.to_string(), output).unwrap_or_else(|refusal| panic!("{refusal}: {shot}"));
    serde_json::from_str(&told).unwrap()
}

/// A table as large as the engine takes, so that ideal cases do not end at a rail.
pub(crate) fn open_table() -> Value {
    json!({"length_m": 4.0, "width_m": 2.0})
}

/// Balls in motion on the open table.
pub(crate) fn posed(physics: &Value, balls: &[State]) -> Outcome {
    play(&json!({"table": open_table(), "physics": physics, "balls": balls}))
}

/// A stroke on the open table.
pub(crate) fn struck(physics: &Value, balls: &[State], stroke: &Value) -> Outcome {
    play(&json!({"table": open_table(), "physics": physics, "balls": balls, "stroke": stroke}))
}

/// Physics in which a struck ball goes on almost straight whatever it meets: the slickest cloth and the least
/// gravity that the engine takes, perfect balls, ideal cushions and facings at the ball's radius.
pub(crate) fn ideal() -> Value {
    json!({
        "gravity_mps2": 1.0, "sliding_friction": 0.01, "rolling_friction": 0.0005,
        "ball_restitution": 1.0, "ball_friction": 0.0,
        "cushion": {"model": "simple", "restitution": 1.0, "friction": 0.0, "contact": "radius"},
        "facing": {"restitution": 1.0, "friction": 0.0}
    })
}

/// How far along x a ball goes until it rests, and how long that takes, were there no rails: whenever it
/// reaches a rail of the open table it is posed again in the middle, as it was just before.
pub(crate) fn roll_out(physics: &Value, from: &State) -> (f64, f64) {
    let (mut distance, mut time) = (0.0, 0.0);
    let mut ball = from.clone();
    loop {
        ball.x_m = 2.0;
        ball.y_m = 1.0;
        let outcome = posed(physics, std::slice::from_ref(&ball));
        let event = outcome.find("cushion", &ball.id).unwrap_or_else(|| outcome.first("stop", &ball.id));
        let end = event.before(&ball.id);
        distance += end.x_m - ball.x_m;
        time += event.t_s;
        if event.kind == "stop" {
            return (distance, time);
        }
        ball = end.clone();
    }
}
