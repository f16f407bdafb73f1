//! The chance of each outcome at one rung, for any spread of aim and speed and any bias of aim.

use longrail_math::quasi;
use longrail_physics::Engine;
use longrail_stats::special::{normal_cdf, normal_quantile};
use serde::{Deserialize, Serialize};

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

/// How cells are laid out; part of a surface's key.
pub(super) const CELLS: Cells = Cells {
    narrowest_deg: 0.02,
    widening: 1.1,
    farthest_deg: 8.0,
    speeds: [0.015, 0.04, 0.07, 0.11, 0.16, 0.23, 0.33],
    farthest_speed: 0.6,
    nodes: 16,
    fine_deg: 0.06,
    nodes_beyond: 4,
};

/// See [`CELLS`].
#[derive(Debug)]
pub(super) struct Cells {
    /// Width of the middle cell of aim, in degrees, by how much each is wider than the one before, outwards, and the last
    /// edge.
    narrowest_deg: f64,
    widening: f64,
    farthest_deg: f64,
    /// Edges of the cells of speed above the intended one, as shares of it; below they are the same.
    speeds: [f64; 7],
    /// Errors of speed that stand for all beyond the last edge reach to this.
    farthest_speed: f64,
    /// Shots in a cell: their errors of aim and speed are spread over it, those of the tip over the stroke's.
    nodes: u32,
    /// Beyond this width of a cell of aim, in degrees, fewer do: a stroke that comes so far out has many cells there.
    fine_deg: f64,
    nodes_beyond: u32,
}

/// Sets of nodes, so that neighbouring cells do not have the same.
const SETS: u32 = 8;

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

    /// The surface of `hit` in this setting, with the player's spread of the tip. Some 9,000 shots.
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
        let aims = extents(&aim_edges_deg, CELLS.farthest_deg);
        let speeds = extents(&speed_edges, CELLS.farthest_speed);
        let sets = |count: u32| -> Vec<Vec<[f64; 4]>> { (0..SETS).map(|set| nodes(count, set)).collect() };
        let (many, few) = (sets(CELLS.nodes), sets(CELLS.nodes_beyond));
        let mut cells = Vec::with_capacity(aims.len() * speeds.len());
        for (k, aim) in aims.iter().enumerate() {
            let (sets, count) = if aim.1 - aim.0 <= CELLS.fine_deg {
                (&many, CELLS.nodes)
            } else {
                (&few, CELLS.nodes_beyond)
            };
            for (j, speed) in speeds.iter().enumerate() {
                let mut counts = [0_u32; 6];
                for node in &sets[(k + 3 * j) % sets.len()] {
                    let within = |(low, high): (f64, f64), share: f64| low + share * (high - low);
                    let errors = [within(*aim, node[0]), within(*speed, node[1]), node[2], node[3]];
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

/// Places within a cell, 0 to 1, for aim and speed, and standard normal errors of the tip.
fn nodes(count: u32, set: u32) -> Vec<[f64; 4]> {
    (0..count)
        .map(|k| {
            let at = |dimension| quasi::point(k, dimension, 7 + set);
            [at(0), at(1), normal_quantile(at(2)), normal_quantile(at(3))]
        })
        .collect()
}

/// From where to where each cell's nodes reach; `farthest` is what stands for infinity.
fn extents(edges: &[f64], farthest: f64) -> Vec<(f64, f64)> {
    let mut bounds = vec![-farthest];
    bounds.extend(edges);
    bounds.push(farthest);
    bounds.windows(2).map(|pair| (pair[0].min(pair[1]), pair[1].max(pair[0]))).collect()
}

/// Edges of the cells of aim: narrow around the intended aim, wider outwards.
pub(super) fn aim_edges() -> Vec<f64> {
    let mut outwards = vec![0.5 * CELLS.narrowest_deg];
    let mut width = CELLS.narrowest_deg;
    while outwards[outwards.len() - 1] + width < CELLS.farthest_deg {
        outwards.push(outwards[outwards.len() - 1] + width);
        width *= CELLS.widening;
    }
    mirrored(&outwards)
}

/// Edges of the cells of speed.
pub(super) fn speed_edges() -> Vec<f64> {
    mirrored(&CELLS.speeds)
}

/// The same on the other side of 0.
fn mirrored(outwards: &[f64]) -> Vec<f64> {
    outwards.iter().rev().map(|edge| -edge).chain(outwards.iter().copied()).collect()
}
