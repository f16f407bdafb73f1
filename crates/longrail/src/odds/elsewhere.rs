//! The same stroke under other conditions: another table, pocket, cloth or ball set.

use longrail_math::fx;
use longrail_physics::Engine;
use longrail_stroke::infer::TABLE_SD;
use longrail_stroke::json::chance;
use longrail_stroke::stroke::USUAL_MPS;
use longrail_stroke::{Hit, Nodes, Odds, Player, Setting};
use serde_json::{Value, json};

use super::posed::{Posed, sized};
use super::say;
use crate::exit::Failure;
use crate::files;

/// Quantile of the normal distribution that leaves a tenth on either side.
const TENTH: f64 = 1.281_55;

/// What the same stroke makes elsewhere.
pub(super) struct Elsewhere {
    /// "on 7ft", "what if 1".
    pub(super) label: String,
    hit: Hit,
    odds: Odds,
    /// Four times in five the chance lies between these, if the stroke is what it is said to be.
    low: f64,
    high: f64,
    /// What was changed, as a JSON merge patch.
    patch: Value,
}

/// The tables of these sizes, and the conditions that these patches make.
pub(super) fn all(
    posed: &Posed,
    sizes: &[String],
    patches: &[String],
    nodes: &Nodes,
) -> Result<Vec<Elsewhere>, Failure> {
    let mut all = Vec::with_capacity(sizes.len() + patches.len());
    for size in sizes {
        all.push(elsewhere(posed, format!("on {size}"), sized(size), nodes)?);
    }
    for (number, patch) in (1..).zip(patches) {
        let text = if patch.trim_start().starts_with('{') {
            patch.clone()
        } else {
            files::read(Some(patch.as_ref()), "a merge patch")?
        };
        let patch: Value = serde_json::from_str(&text)
            .map_err(|error| Failure::Input(format!("--what-if {number}: not JSON: {error}")))?;
        all.push(elsewhere(posed, format!("what if {number}"), patch, nodes)?);
    }
    Ok(all)
}

fn elsewhere(posed: &Posed, label: String, patch: Value, nodes: &Nodes) -> Result<Elsewhere, Failure> {
    let there = posed.patched(&patch)?;
    let (hit, odds) = chance(&there, None, nodes)?;
    // A wider or narrower stroke keeps the hit: nobody knows beforehand which of the two it will be.
    let scaled = |factor: f64| -> Result<f64, Failure> {
        let stroke = there.player.stroke.at(USUAL_MPS, factor);
        let player = Player { stroke, ..there.player };
        let setting = Setting { player: &player, ..there.setting() };
        Ok(setting.odds(&mut Engine::new(), &hit, nodes)?.made)
    };
    let (wide, narrow) = (scaled(fx::exp(TENTH * TABLE_SD))?, scaled(fx::exp(-TENTH * TABLE_SD))?);
    let (low, high) = if wide < narrow { (wide, narrow) } else { (narrow, wide) };
    Ok(Elsewhere { label, hit, odds, low, high, patch })
}

impl Elsewhere {
    /// "41.0 % (80 %: 38 to 44), a prediction and not a measurement".
    pub(super) fn words(&self) -> String {
        format!(
            "{} (80 %: {:.0} to {:.0}), a prediction and not a measurement",
            say::percent(self.odds.made),
            100.0 * self.low,
            100.0 * self.high
        )
    }

    pub(super) fn object(&self) -> Value {
        json!({
            "label": self.label, "changed": self.patch, "hit": say::hit_object(&self.hit),
            "odds": say::odds_object(&self.odds), "low": self.low, "high": self.high, "level": 0.8,
        })
    }
}
