//! A shot with a goal and a player: the contract of `longrail shot` and two fields more.

use std::path::PathBuf;

use clap::ValueEnum;
use longrail_physics::json::{Problem, read};
use longrail_stroke::constraint::Constraint;
use longrail_stroke::goal::Plan;
use longrail_stroke::odds::REBOUND_TOLERANCE;
use longrail_stroke::stroke::Reference;
use longrail_stroke::{Goal, Player, Setting, Task};
use serde::de::DeserializeOwned;
use serde_json::{Map, Value, json};

use super::ladder::Ladder;
use crate::exit::Failure;
use crate::files;

/// What the file looks like, for `--help`.
pub(super) const FORM: &str = r#"The file is that of `longrail shot` and two fields more:
  "goal":   {"all": [{"pot": {"ball": "1", "pocket": "foot-left"}},
             {"stop": {"zone": {"circle": {"along": 2, "across": 2, "radius": 1}}}}]}
            wishes: pot, first, full, touch, rails, avoid_ball, avoid_rail, pass, stop,
            stop_near, lag, hide, break (docs/odds-json.md)
  "player": {"stroke": {"aim_sd_deg": 0.4, ...}, "limits": {"hardest_mps": 5, ...}}
            or {"reference": "regular"}; may be left out"#;

/// The same for a ladder.
pub(super) const LADDER_FORM: &str = r#"The file is that of `longrail odds` and a field more, with what moves from rung to rung, in
diamonds; the layout given is the first rung:
  "ladder": {"rungs": 8, "moves": [{"ball": "1", "along": -0.25, "across": -0.25}]}"#;

/// The same for constraints.
pub(super) const PRICE_FORM: &str = r#"The file is that of `longrail odds` and a field more:
  "constraints": [{"narrower_pocket": 0.9}, {"smaller_zone": 0.5}, {"streak": 3}, "no_side",
                  {"speed": {"softest_mps": 3, "hardest_mps": 6}},
                  {"blocker": {"along": 6, "across": 1.5}}]"#;

/// Options that every command here has.
#[derive(clap::Args)]
pub(super) struct Source {
    /// File with the shot, its goal and the player as JSON; standard input if absent or "-".
    pub(super) file: Option<PathBuf>,
    /// A stroke to compute with, where the file names none. All four are assumptions, defined by their numbers.
    #[arg(long, value_enum)]
    stroke: Option<Named>,
    /// Seed of the nodes: another one shows by how much the figures are uncertain.
    #[arg(long, default_value_t = 1)]
    pub(super) seed: u32,
    /// Write JSON instead of text.
    #[arg(long)]
    pub(super) json: bool,
}

impl Source {
    /// A file by name, and nothing else.
    pub(super) fn of(file: PathBuf, seed: u32) -> Self {
        Self { file: Some(file), stroke: None, seed, json: false }
    }
}

/// Reference strokes by name.
#[derive(Clone, Copy, ValueEnum)]
enum Named {
    /// Aim 1.5°, speed 20 %, tip 4.5 mm.
    Learning,
    /// Aim 0.7°, speed 12 %, tip 3 mm.
    Regular,
    /// Aim 0.35°, speed 8 %, tip 2 mm.
    Solid,
    /// Aim 0.15°, speed 4 %, tip 1 mm.
    Fine,
}

/// What was posed.
pub(super) struct Posed {
    pub(super) problem: Problem,
    pub(super) goal: Goal,
    pub(super) player: Player,
    /// The reference stroke, if the player's own is not known.
    pub(super) assumed: Option<Reference>,
    /// How a ladder goes on from here, if the file says so.
    pub(super) ladder: Option<Ladder>,
    /// What makes it harder, if the file says so.
    pub(super) constraints: Vec<Constraint>,
    plan: Plan,
    /// The shot's own fields, for posing it again on another table.
    fields: Map<String, Value>,
}

impl Posed {
    /// The same shot with `patch` (a JSON merge patch) applied to its file; goal, player and all else stay.
    pub(super) fn patched(&self, patch: &Value) -> Result<Self, Failure> {
        let Some(changes) = patch.as_object() else {
            return Err(Failure::Input("a merge patch must be a JSON object".to_owned()));
        };
        if let Some(name) =
            ["goal", "player", "stroke", "ladder"].iter().find(|name| changes.contains_key(**name))
        {
            return Err(Failure::Input(format!(
                "a what-if changes table, physics, ball or balls; {name:?} stays what it is"
            )));
        }
        let sized = patch.get("table").is_some_and(|table| {
            ["size", "length_m", "width_m"].iter().any(|name| table.get(name).is_some())
        });
        let balls = self.fields.get("balls").and_then(Value::as_array);
        if sized && balls.is_some_and(|balls| balls.iter().any(|ball| ball.get("along").is_none())) {
            return Err(Failure::Input(
                "to pose the shot on another table, give all balls in diamonds (along, across)".to_owned(),
            ));
        }
        let mut fields = Value::Object(self.fields.clone());
        json_patch::merge(&mut fields, patch);
        let problem = read(&fields.to_string())?;
        let plan = self.goal.plan(&problem.world, &problem.layout)?;
        let Value::Object(fields) = fields else {
            return Err(Failure::Input("the patch leaves no shot".to_owned()));
        };
        let (goal, ladder) = (self.goal.clone(), self.ladder.clone());
        Ok(Self { problem, goal, ladder, plan, fields, constraints: Vec::new(), ..*self })
    }

    /// The same layout, in diamonds, on a table of another size.
    pub(super) fn on(&self, size: &str) -> Result<Self, Failure> {
        self.patched(&sized(size))
    }

    /// Whether the file says what its rails are like.
    pub(super) fn rails_known(&self) -> bool {
        let cushion = self.fields.get("physics").and_then(|physics| physics.get("cushion"));
        cushion
            .is_some_and(|cushion| cushion.get("restitution").is_some() || cushion.get("friction").is_some())
    }

    pub(super) fn task(&self) -> Task {
        Task {
            world: self.problem.world.clone(),
            balls: self.problem.layout.balls().to_vec(),
            goal: self.goal.clone(),
            player: self.player,
        }
    }

    /// The size of the table by its name; `None` where the file gives its own length or width.
    pub(super) fn size(&self) -> Option<&str> {
        let Some(table) = self.fields.get("table") else { return Some("9ft") };
        let own = table.get("length_m").is_some() || table.get("width_m").is_some();
        if own { None } else { Some(table.get("size").and_then(Value::as_str).unwrap_or("9ft")) }
    }

    pub(super) fn setting(&self) -> Setting<'_> {
        Setting {
            world: &self.problem.world,
            layout: &self.problem.layout,
            player: &self.player,
            plan: &self.plan,
        }
    }
}

/// The merge patch that poses a shot on a table of another size, which fills in its length and width.
pub(super) fn sized(size: &str) -> Value {
    json!({"table": {"size": size, "length_m": null, "width_m": null}})
}

/// A chance that is looked for, checked.
pub(super) fn target(target: f64) -> Result<f64, Failure> {
    if (0.05..=0.95).contains(&target) {
        return Ok(target);
    }
    Err(Failure::Input(format!("target is {target}; it must be 0.05 to 0.95")))
}

/// Reads what `source` names, which has no constraints.
pub(super) fn posed(source: &Source) -> Result<Posed, Failure> {
    let posed = constrained(source)?;
    if posed.constraints.is_empty() {
        return Ok(posed);
    }
    Err(Failure::Input(
        "the file has \"constraints\", which only `longrail price` knows; leave them out here".to_owned(),
    ))
}

/// Reads what `source` names.
pub(super) fn constrained(source: &Source) -> Result<Posed, Failure> {
    let text = files::read(source.file.as_deref(), "a shot with a goal")?;
    let value: Value =
        serde_json::from_str(&text).map_err(|error| Failure::Input(format!("not JSON: {error}")))?;
    let Value::Object(mut fields) = value else {
        return Err(Failure::Input("the shot must be a JSON object: {\"balls\": …, \"goal\": …}".to_owned()));
    };
    let Some(goal) = fields.remove("goal") else {
        return Err(Failure::Input(
            "there is no \"goal\"; for instance \"goal\": {\"all\": [{\"pot\": {\"ball\": \"1\"}}]}"
                .to_owned(),
        ));
    };
    if fields.contains_key("cue") {
        return Err(Failure::Input(
            "\"cue\" has no place beside a goal: \"player\" has squirt and end_mass_kg instead".to_owned(),
        ));
    }
    let goal: Goal = field("goal", goal)?;
    let ladder = fields.remove("ladder").map(|ladder| field("ladder", ladder)).transpose()?;
    let constraints = fields.remove("constraints").map(|list| field("constraints", list)).transpose()?;
    let constraints: Vec<Constraint> = constraints.unwrap_or_default();
    let (player, assumed) = player(fields.remove("player"), source.stroke)?;
    player.check()?;
    ease(&mut fields);
    let problem = read(&Value::Object(fields.clone()).to_string())?;
    let plan = goal.plan(&problem.world, &problem.layout)?;
    Ok(Posed { problem, goal, player, assumed, ladder, constraints, plan, fields })
}

/// The player of the file, or one with a reference stroke.
fn player(value: Option<Value>, chosen: Option<Named>) -> Result<(Player, Option<Reference>), Failure> {
    let mut fields = match value {
        None => Map::new(),
        Some(Value::Object(fields)) => fields,
        Some(_) => return Err(Failure::Input("player: it must be a JSON object".to_owned())),
    };
    let named: Option<Reference> =
        fields.remove("reference").map(|name| field("player.reference", name)).transpose()?;
    let chosen = chosen.map(|named| match named {
        Named::Learning => Reference::Learning,
        Named::Regular => Reference::Regular,
        Named::Solid => Reference::Solid,
        Named::Fine => Reference::Fine,
    });
    let own = fields.contains_key("stroke");
    if own && (named.is_some() || chosen.is_some()) {
        return Err(Failure::Input(
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
fn field<T: DeserializeOwned>(name: &str, value: Value) -> Result<T, Failure> {
    serde_path_to_error::deserialize(value).map_err(|error| {
        let path = error.path().to_string();
        let place = if path == "." { name.to_owned() } else { format!("{name}.{path}") };
        Failure::Input(format!("{place}: {}", error.into_inner()))
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
