//! A shot with a goal and a player: the contract of `longrail shot` and two fields more.

use std::path::PathBuf;

use clap::ValueEnum;
pub(super) use longrail_stroke::json::{Posed, sized};
use longrail_stroke::stroke::Reference;

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
pub(crate) enum Named {
    /// Aim 1.5°, speed 20 %, tip 4.5 mm.
    Learning,
    /// Aim 0.7°, speed 12 %, tip 3 mm.
    Regular,
    /// Aim 0.35°, speed 8 %, tip 2 mm.
    Solid,
    /// Aim 0.15°, speed 4 %, tip 1 mm.
    Fine,
}

impl Named {
    pub(crate) fn reference(self) -> Reference {
        match self {
            Self::Learning => Reference::Learning,
            Self::Regular => Reference::Regular,
            Self::Solid => Reference::Solid,
            Self::Fine => Reference::Fine,
        }
    }
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
    Ok(Posed::read(&text, source.stroke.map(Named::reference))?)
}
