//! The chance of each outcome at one rung, for any spread of aim and speed and any bias of aim.

use longrail_physics::Engine;
use longrail_stats::special::normal_cdf;
use serde::{Deserialize, Serialize};

use super::cells::{Within, aim_edges, node, speed_edges};
use super::outcome::{Chances, Seen, Shares, place};
use super::surface_text::Stored;
use crate::error::StrokeError;
use crate::odds::{Setting, scattered};
use crate::stroke::Stroke;
use crate::{Hit, Player};

/// Chances by the errors of aim and speed, constant between edges.
///
/// An error lies in cell k if it is between edges k − 1 and k; the first and the last cell reach to infinity.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Stored", into = "Stored")]
pub struct Surface {
    /// Errors of aim in degrees, positive to the left, rising.
    pub(super) aim_edges_deg: Vec<f64>,
    /// Errors of speed as shares of it, rising; none where speed does not matter.
    pub(super) speed_edges: Vec<f64>,
    /// By aim, then speed; each share a number of sixteenths.
    pub(super) cells: Vec<Shares>,
    /// Times the spreads of aim and speed here, where the hit is hampered.
    pub(super) aim_times: f64,
    pub(super) speed_times: f64,
    /// Whether a ball is to be potted, which a lapse would miss.
    pub(super) pots: bool,
}

impl Surface {
    /// An opening of ± `half_width_deg` around the intended aim: the elementary model (study, 3.1). An error to the left
    /// sends the ball to the right.
    pub fn window(half_width_deg: f64) -> Self {
        let half = half_width_deg.abs();
        let cells = [Seen::Left, Seen::Made, Seen::Right].map(certain).to_vec();
        Self {
            aim_edges_deg: vec![-half, half],
            speed_edges: Vec::new(),
            cells,
            aim_times: 1.0,
            speed_times: 1.0,
            pots: true,
        }
    }

    /// The surface of `hit` in this setting, with the player's spread of the tip. Some 9,000 shots: chances of a make err by
    /// about .3 points (root mean square over pots and strokes).
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn of(setting: &Setting<'_>, hit: &Hit) -> Result<Self, StrokeError> {
        let mut engine = Engine::new();
        // Errors of 1° and of the whole speed, to be multiplied by what a node says.
        let one = Stroke { aim_bias_deg: 0.0, aim_sd_deg: 1.0, speed_sd: 1.0, ..setting.player.stroke };
        let here = Setting { player: &Player { stroke: one, ..*setting.player }, ..*setting }.stroke(hit);
        let plain = Stroke { aim_sd_deg: 1.0, speed_sd: 1.0, ..here };
        let (aim_edges_deg, speed_edges) = (aim_edges(), speed_edges());
        let (aims, speeds) = (Within::all(&aim_edges_deg), Within::all(&speed_edges));
        let mut nodes = (0..).map(node);
        let mut cells = Vec::with_capacity(aims.len() * speeds.len());
        for aim in &aims {
            let count = aim.shots();
            for speed in &speeds {
                let mut counts = [0_u32; 6];
                for [aim_share, speed_share, right, up] in nodes.by_ref().take(count as usize) {
                    let errors = [aim.at(aim_share), speed.at(speed_share), right, up];
                    let verdict = setting.play(&mut engine, &scattered(hit, &plain, &errors))?;
                    if let Some(place) = place(Seen::of(verdict.category, errors[0])) {
                        counts[place] += 1;
                    }
                }
                cells.push(counts.map(|seen| f64::from(seen) / f64::from(count)));
            }
        }
        Ok(Self {
            aim_edges_deg,
            speed_edges,
            cells,
            aim_times: here.aim_sd_deg,
            speed_times: here.speed_sd,
            pots: setting.plan.object.is_some(),
        })
    }

    /// The chances for a spread and a bias of aim, in degrees, and a spread of speed as a share of it. Spreads are those of
    /// an unhampered hit, and not negative.
    pub fn chances(&self, spread_deg: f64, bias_deg: f64, speed_spread: f64) -> Chances {
        let mut shares = Shares::default();
        mixed(&self.aim_weights(spread_deg, bias_deg), &self.at_speed_spread(speed_spread), &mut shares);
        shares.into()
    }

    /// Whether the error of speed changes anything.
    pub(super) fn tells_speed(&self) -> bool {
        let speeds = self.speed_edges.len() + 1;
        self.cells.chunks(speeds).any(|cells| cells.iter().any(|cell| *cell != cells[0]))
    }

    /// Whether a ball is to be potted.
    pub(super) fn pots(&self) -> bool {
        self.pots
    }

    /// Chance of each cell of aim.
    pub(super) fn aim_weights(&self, spread_deg: f64, bias_deg: f64) -> Vec<f64> {
        weights(&self.aim_edges_deg, bias_deg, self.aim_times * spread_deg)
    }

    /// The share made by cell of aim, once speed is averaged over.
    pub(super) fn made_at_speed_spread(&self, speed_spread: f64) -> Vec<f64> {
        let weights = weights(&self.speed_edges, 0.0, self.speed_times * speed_spread);
        let made = |cells: &[Shares]| weights.iter().zip(cells).map(|(weight, cell)| weight * cell[0]).sum();
        self.cells.chunks(weights.len()).map(made).collect()
    }

    /// Shares by cell of aim, once speed is averaged over.
    pub(super) fn at_speed_spread(&self, speed_spread: f64) -> Vec<Shares> {
        let weights = weights(&self.speed_edges, 0.0, self.speed_times * speed_spread);
        self.cells
            .chunks(weights.len())
            .map(|cells| {
                let mut shares = Shares::default();
                mixed(&weights, cells, &mut shares);
                shares
            })
            .collect()
    }
}

/// Standard deviations beyond which a normal error lies with less than 1e-15.
const FARTHEST: f64 = 8.0;

/// Adds the cells, by weight, to `shares`.
fn mixed(weights: &[f64], cells: &[Shares], shares: &mut Shares) {
    for (weight, cell) in weights.iter().zip(cells) {
        for (share, value) in shares.iter_mut().zip(cell) {
            *share += weight * value;
        }
    }
}

/// Chance that a normal error lies in each cell.
fn weights(edges: &[f64], mean: f64, sd: f64) -> Vec<f64> {
    let sd = sd.max(1e-9);
    let mut below = 0.0;
    let up_to = edges.iter().map(|edge| match (edge - mean) / sd {
        z if z < -FARTHEST => 0.0,
        z if z > FARTHEST => 1.0,
        z => normal_cdf(z),
    });
    let up_to = up_to.chain([1.0]);
    up_to
        .map(|up_to| {
            let weight: f64 = (up_to - below).max(0.0);
            below = up_to;
            weight
        })
        .collect()
}

/// One outcome for sure.
fn certain(seen: Seen) -> Shares {
    let mut shares = Shares::default();
    if let Some(place) = place(seen) {
        shares[place] = 1.0;
    }
    shares
}
