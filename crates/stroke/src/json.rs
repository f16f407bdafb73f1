//! Tasks as JSON: the contract of shots with a goal, a player, a ladder and constraints beside it.
//!
//! The form is described in `docs/odds-json.md`. Command line and app read the same files.

use longrail_physics::json::{Problem, Refusal};
use longrail_physics::{Engine, Layout};
use serde::de::DeserializeOwned;
use serde_json::{Map, Value, json};
use thiserror::Error;

use crate::Hit;
use crate::constraint::Constraint;
use crate::error::StrokeError;
use crate::goal::{Goal, Plan};
use crate::ladder::Ladder;
use crate::nodes::Nodes;
use crate::odds::{Odds, REBOUND_TOLERANCE, Setting};
use crate::player::Player;
use crate::stroke::Reference;
use crate::task::Task;

/// Why what was posed cannot be read.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum PosedError {
    /// Not JSON, or not of this form.
    #[error("{0}")]
    Form(String),
    /// The shot itself is refused.
    #[error(transparent)]
    Shot(#[from] Refusal),
    /// Goal, player or ladder make no sense.
    #[error(transparent)]
    Stroke(#[from] StrokeError),
}

fn form(what: &str) -> PosedError {
    PosedError::Form(what.to_owned())
}

/// What was posed.
#[derive(Clone, Debug)]
pub struct Posed {
    /// The shot.
    pub problem: Problem,
    /// What counts as made.
    pub goal: Goal,
    /// Who plays.
    pub player: Player,
    /// The reference stroke, if the player's own is not known.
    pub assumed: Option<Reference>,
    /// How a ladder goes on from here, if the file says so.
    pub ladder: Option<Ladder>,
    /// What makes it harder, if the file says so.
    pub constraints: Vec<Constraint>,
    plan: Plan,
    /// The shot's own fields, for posing it again on another table.
    fields: Map<String, Value>,
}

impl Posed {
    /// Reads a task; `chosen` is the stroke where the text names none.
    ///
    /// # Errors
    /// [`PosedError`] in words that say what to do.
    pub fn read(text: &str, chosen: Option<Reference>) -> Result<Self, PosedError> {
        let value: Value =
            serde_json::from_str(text).map_err(|error| PosedError::Form(format!("not JSON: {error}")))?;
        let Value::Object(mut fields) = value else {
            return Err(form("the shot must be a JSON object: {\"balls\": …, \"goal\": …}"));
        };
        let Some(goal) = fields.remove("goal") else {
            return Err(form(
                "there is no \"goal\"; for instance \"goal\": {\"all\": [{\"pot\": {\"ball\": \"1\"}}]}",
            ));
        };
        if fields.contains_key("cue") {
            return Err(form(
                "\"cue\" has no place beside a goal: \"player\" has squirt and end_mass_kg instead",
            ));
        }
        let goal: Goal = field("goal", goal)?;
        let ladder = fields.remove("ladder").map(|ladder| field("ladder", ladder)).transpose()?;
        let constraints = fields.remove("constraints").map(|list| field("constraints", list)).transpose()?;
        let constraints: Vec<Constraint> = constraints.unwrap_or_default();
        let (player, assumed) = player(fields.remove("player"), chosen)?;
        player.check()?;
        ease(&mut fields);
        let problem = longrail_physics::json::read(&Value::Object(fields.clone()).to_string())?;
        let plan = goal.plan(&problem.world, &problem.layout)?;
        Ok(Self { problem, goal, player, assumed, ladder, constraints, plan, fields })
    }

    /// The same shot with `patch` (a JSON merge patch, RFC 7396) applied to its file; goal, player and all else stay.
    ///
    /// # Errors
    /// [`PosedError`] for a patch that changes what must stay, or that leaves no shot.
    pub fn patched(&self, patch: &Value) -> Result<Self, PosedError> {
        let Some(changes) = patch.as_object() else {
            return Err(PosedError::Form("a merge patch must be a JSON object".to_owned()));
        };
        if let Some(name) =
            ["goal", "player", "stroke", "ladder"].iter().find(|name| changes.contains_key(**name))
        {
            return Err(PosedError::Form(format!(
                "a what-if changes table, physics, ball or balls; {name:?} stays what it is"
            )));
        }
        let sized = patch.get("table").is_some_and(|table| {
            ["size", "length_m", "width_m"].iter().any(|name| table.get(name).is_some())
        });
        let balls = self.fields.get("balls").and_then(Value::as_array);
        if sized && balls.is_some_and(|balls| balls.iter().any(|ball| ball.get("along").is_none())) {
            return Err(PosedError::Form(
                "to pose the shot on another table, give all balls in diamonds (along, across)".to_owned(),
            ));
        }
        let mut fields = Value::Object(self.fields.clone());
        json_patch::merge(&mut fields, patch);
        let problem = longrail_physics::json::read(&fields.to_string())?;
        let plan = self.goal.plan(&problem.world, &problem.layout)?;
        let Value::Object(fields) = fields else {
            return Err(PosedError::Form("the patch leaves no shot".to_owned()));
        };
        let (goal, ladder) = (self.goal.clone(), self.ladder.clone());
        Ok(Self { problem, goal, ladder, plan, fields, constraints: Vec::new(), ..*self })
    }

    /// The same layout, in diamonds, on a table of another size.
    ///
    /// # Errors
    /// [`PosedError`] for a size that is not known, or balls that are not given in diamonds.
    pub fn on(&self, size: &str) -> Result<Self, PosedError> {
        self.patched(&sized(size))
    }

    /// Whether the file says what its rails are like.
    pub fn rails_known(&self) -> bool {
        let cushion = self.fields.get("physics").and_then(|physics| physics.get("cushion"));
        cushion
            .is_some_and(|cushion| cushion.get("restitution").is_some() || cushion.get("friction").is_some())
    }

    /// The layouts of the ladder's rungs; the one layout where there is no ladder.
    ///
    /// # Errors
    /// [`PosedError::Stroke`] for a ladder that is none.
    pub fn layouts(&self) -> Result<Vec<Layout>, PosedError> {
        match &self.ladder {
            Some(ladder) => Ok(ladder.layouts(&self.problem.world, self.problem.layout.balls())?),
            None => Ok(vec![self.problem.layout.clone()]),
        }
    }

    /// The task, without its ladder and constraints.
    pub fn task(&self) -> Task {
        Task {
            world: self.problem.world.clone(),
            balls: self.problem.layout.balls().to_vec(),
            goal: self.goal.clone(),
            player: self.player,
        }
    }

    /// The size of the table by its name; `None` where the file gives its own length or width.
    pub fn size(&self) -> Option<&str> {
        let Some(table) = self.fields.get("table") else { return Some("9ft") };
        let own = table.get("length_m").is_some() || table.get("width_m").is_some();
        if own { None } else { Some(table.get("size").and_then(Value::as_str).unwrap_or("9ft")) }
    }

    /// The same made ready.
    pub fn setting(&self) -> Setting<'_> {
        Setting {
            world: &self.problem.world,
            layout: &self.problem.layout,
            player: &self.player,
            plan: &self.plan,
        }
    }
}

/// The hit of a task, given or the best, and its odds.
///
/// # Errors
/// [`PosedError`]; a goal that no hit reaches is [`StrokeError::OutOfReach`].
pub fn chance(posed: &Posed, given: Option<Hit>, nodes: &Nodes) -> Result<(Hit, Odds), PosedError> {
    let Some(hit) = given else {
        let found = posed.task().best_hit(nodes)?;
        return Ok((found.hit, found.odds));
    };
    let setting = posed.setting();
    let hit = setting.playable(&hit)?;
    Ok((hit, setting.odds(&mut Engine::new(), &hit, nodes)?))
}

/// The chance of a task as JSON: `made`, `standard_error`, `shares` in the order of [`crate::Category::ALL`], `shots`, and the
/// `hit`. The nodes have the seed `seed`.
///
/// # Errors
/// As [`chance`].
pub fn run(text: &str, seed: u32) -> Result<String, PosedError> {
    let posed = Posed::read(text, None)?;
    let (hit, odds) = chance(&posed, posed.problem.stroke, &Nodes::usual(seed))?;
    let Odds { made, standard_error, shares, shots } = odds;
    let answer = json!({
        "made": made, "standard_error": standard_error, "shares": shares, "shots": shots, "hit": hit_object(&hit),
    });
    Ok(answer.to_string())
}

/// A hit as JSON, as in the contract of shots.
pub fn hit_object(hit: &Hit) -> Value {
    let Hit { speed_mps, direction_deg, tip_right, tip_up, elevation_deg } = hit;
    json!({
        "speed_mps": speed_mps, "direction_deg": direction_deg, "tip_right": tip_right, "tip_up": tip_up,
        "elevation_deg": elevation_deg,
    })
}

/// Computes the same odds so many times and returns the sum of the chances; for measuring.
///
/// # Errors
/// As [`chance`].
pub fn repeat(text: &str, times: u32) -> Result<f64, PosedError> {
    let posed = Posed::read(text, None)?;
    let nodes = Nodes::usual(1);
    let (hit, _) = chance(&posed, posed.problem.stroke, &nodes)?;
    let (setting, mut engine) = (posed.setting(), Engine::new());
    (0..times).map(|_| Ok(setting.odds(&mut engine, &hit, &nodes)?.made)).sum()
}

/// The merge patch that poses a shot on a table of another size, which fills in its length and width.
pub fn sized(size: &str) -> Value {
    json!({"table": {"size": size, "length_m": null, "width_m": null}})
}

/// The player of the file, or one with a reference stroke.
fn player(
    value: Option<Value>,
    chosen: Option<Reference>,
) -> Result<(Player, Option<Reference>), PosedError> {
    let mut fields = match value {
        None => Map::new(),
        Some(Value::Object(fields)) => fields,
        Some(_) => return Err(PosedError::Form("player: it must be a JSON object".to_owned())),
    };
    let named: Option<Reference> =
        fields.remove("reference").map(|name| field("player.reference", name)).transpose()?;
    let own = fields.contains_key("stroke");
    if own && (named.is_some() || chosen.is_some()) {
        return Err(PosedError::Form(
            "the file has a stroke of its own; leave out the reference stroke, or the stroke".to_owned(),
        ));
    }
    let mut player: Player = field("player", Value::Object(fields))?;
    let assumed = if own { None } else { Some(chosen.or(named).unwrap_or(Reference::Regular)) };
    if let Some(reference) = assumed {
        player.stroke = reference.stroke();
    }
    Ok((player, assumed))
}

/// Reads one field; an error names where in it.
fn field<T: DeserializeOwned>(name: &str, value: Value) -> Result<T, PosedError> {
    serde_path_to_error::deserialize(value).map_err(|error| {
        let path = error.path().to_string();
        let place = if path == "." { name.to_owned() } else { format!("{name}.{path}") };
        PosedError::Form(format!("{place}: {}", error.into_inner()))
    })
}

/// Sets the tolerance of rebounds to what odds bear, unless the file sets one.
fn ease(fields: &mut Map<String, Value>) {
    let physics = fields.entry("physics").or_insert_with(|| json!({}));
    if let Value::Object(physics) = physics
        && let Value::Object(cushion) = physics.entry("cushion").or_insert_with(|| json!({}))
    {
        cushion.entry("tolerance").or_insert(json!(REBOUND_TOLERANCE));
    }
}
