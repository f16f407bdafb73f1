//! The chance of each outcome at one rung, for any spread and bias of aim.

use longrail_math::fx;
use longrail_physics::Engine;
use longrail_stats::special::normal_cdf;

use super::Seen;
use crate::Hit;
use crate::error::StrokeError;
use crate::nodes::Nodes;
use crate::odds::{Category, Setting, scattered};
use crate::stroke::Stroke;

/// Chances of what can be seen, lapses left out: made, missed on the left, missed on the right, strayed. They add up to 1.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Chances {
    /// Made.
    pub made: f64,
    /// The ball missed on the left.
    pub left: f64,
    /// The ball missed on the right.
    pub right: f64,
    /// The ball potted, the cue ball not where it should be.
    pub strayed: f64,
}

impl Chances {
    /// The chance of what was seen, for attempts that lapse with chance `lapse`; a lapse misses on either side alike.
    pub fn of(&self, seen: Seen, lapse: f64) -> f64 {
        let attend = 1.0 - lapse;
        match seen {
            Seen::Made => attend * self.made,
            Seen::Left => attend * self.left + 0.5 * lapse,
            Seen::Right => attend * self.right + 0.5 * lapse,
            Seen::Missed => attend * (self.left + self.right) + lapse,
            Seen::Strayed => attend * self.strayed,
            Seen::Failed => 1.0 - attend * self.made,
        }
    }

    fn add(&mut self, weight: f64, other: &Self) {
        self.made += weight * other.made;
        self.left += weight * other.left;
        self.right += weight * other.right;
        self.strayed += weight * other.strayed;
    }
}

/// Chances by the error of aim, constant between edges.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Errors of aim in degrees, positive to the left, rising; cell k lies between edges k − 1 and k, the first and the last
    /// reach to infinity.
    edges_deg: Vec<f64>,
    cells: Vec<Chances>,
    /// Times the spread of aim here, where the hit is hampered.
    times: f64,
}

/// Errors of speed and tip that are averaged over.
const NODES: u32 = 32;

/// Narrowest cell, in degrees, and by how much each is wider than the one before, outwards.
const NARROWEST_DEG: f64 = 0.02;
const WIDENING: f64 = 1.06;

/// Farthest edge, in degrees.
const FARTHEST_DEG: f64 = 8.0;

impl Surface {
    /// An opening of ± `half_width_deg` around the intended aim: the elementary model (study, 3.1). An error to the left
    /// sends the ball to the right.
    pub fn window(half_width_deg: f64) -> Self {
        let half = half_width_deg.abs();
        let (left, right) =
            (Chances { left: 1.0, ..Chances::default() }, Chances { right: 1.0, ..Chances::default() });
        Self {
            edges_deg: vec![-half, half],
            cells: vec![left, Chances { made: 1.0, ..Chances::default() }, right],
            times: 1.0,
        }
    }

    /// The surface of `hit` in this setting, with the player's spreads of speed and tip.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn of(setting: &Setting<'_>, hit: &Hit) -> Result<Self, StrokeError> {
        let mut engine = Engine::new();
        let (usual, here) = (setting.player.stroke.aim_sd_deg, setting.stroke(hit));
        let times = if usual > 0.0 { here.aim_sd_deg / usual } else { 1.0 };
        let stroke = Stroke { aim_bias_deg: 0.0, aim_sd_deg: 1.0, ..here };
        let nodes = Nodes::sobol(1, NODES, 7);
        let edges_deg = edges();
        let mut cells = Vec::with_capacity(edges_deg.len() + 1);
        for cell in 0..=edges_deg.len() {
            let (low, high) = (
                edges_deg[cell.saturating_sub(1)],
                edges_deg.get(cell).copied().unwrap_or(edges_deg[edges_deg.len() - 1]),
            );
            let mut chances = Chances::default();
            for (k, node) in (0_u32..).zip(nodes.all()) {
                // Spread over the cell, so that an edge of the goal within it is not missed by all.
                let share = (f64::from(k) + 0.5) / f64::from(NODES);
                let aim = [low + share * (high - low), node[1], node[2], node[3]];
                let verdict = setting.play(&mut engine, &scattered(hit, &stroke, &aim))?;
                chances.add(1.0 / f64::from(NODES), &seen(verdict.category, aim[0]));
            }
            cells.push(chances);
        }
        Ok(Self { edges_deg, cells, times })
    }

    /// The chances for a spread and a bias of aim, in degrees; the spread is positive, and that of an unhampered hit.
    pub fn chances(&self, spread_deg: f64, bias_deg: f64) -> Chances {
        let spread_deg = self.times * spread_deg;
        let mut chances = Chances::default();
        let mut below = 0.0;
        for (k, cell) in self.cells.iter().enumerate() {
            let up_to = match self.edges_deg.get(k) {
                Some(edge) => normal_cdf((edge - bias_deg) / spread_deg),
                None => 1.0,
            };
            if up_to > below {
                chances.add(up_to - below, cell);
            }
            below = up_to;
        }
        chances
    }
}

/// What an outcome looks like to who keeps the score. A ball missed by far is missed on the side to which it was sent: to the
/// right by an aim too far left.
fn seen(category: Category, aim_deg: f64) -> Chances {
    let far_left = category == Category::Astray && aim_deg <= 0.0;
    let far_right = category == Category::Astray && aim_deg > 0.0;
    let mut chances = Chances::default();
    let seen = if category == Category::Made {
        &mut chances.made
    } else if category == Category::MissedLeft || far_left {
        &mut chances.left
    } else if category == Category::MissedRight || far_right {
        &mut chances.right
    } else {
        &mut chances.strayed
    };
    *seen = 1.0;
    chances
}

/// Edges of the cells: narrow around the intended aim, wider outwards.
fn edges() -> Vec<f64> {
    let mut outwards = vec![0.5 * NARROWEST_DEG];
    let mut width = NARROWEST_DEG;
    while outwards[outwards.len() - 1] < FARTHEST_DEG {
        outwards.push(outwards[outwards.len() - 1] + width);
        width *= WIDENING;
    }
    let mut edges: Vec<f64> = outwards.iter().rev().map(|edge| -edge).collect();
    edges.extend(outwards);
    edges
}

/// ln of a chance, kept finite: what should be impossible happens once in 10⁹.
pub(super) fn ln_chance(chance: f64) -> f64 {
    fx::ln(chance.max(1e-9))
}
