//! The chance that a stroke makes a goal with a given intended hit.
//!
//! The hit's errors are integrated over [`Nodes`]; each node is one shot of the engine. What fails is told apart, since
//! "missed on the left" and "potted, but the cue ball came up short" ask for different practice.

use longrail_physics::cue::Cueing;
use longrail_physics::{Cue, Engine, Layout, World};
use serde::{Deserialize, Serialize};

use crate::Hit;
use crate::error::StrokeError;
use crate::goal::{Judge, Plan, Verdict};
use crate::nodes::{Node, Nodes};
use crate::player::Player;
use crate::stroke::Stroke;

/// Error of a rebound, as a share of the speed of approach, that odds bear: against 1e-6 they move by 0.02 points
/// (root mean square over 60 layouts, 0.15 at most), far less than their own error.
pub const REBOUND_TOLERANCE: f64 = 1e-4;

/// A ball this near (m) to a rail counts as frozen to it for the bridge.
const FROZEN_M: f64 = 0.005;

/// Elevation up to which a cue lies as usual, in degrees: over a rail it is never quite level. An assumption.
const USUAL_DEG: f64 = 5.0;

/// How a shot ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Category {
    /// Everything asked for came true.
    Made,
    /// The ball passed its pocket on the left, seen from the ball.
    MissedLeft,
    /// On the right.
    MissedRight,
    /// The ball was missed altogether, or did not head for a pocket.
    Astray,
    /// Potted, or nothing was to be potted; the cue ball came up short, or touched too few rails.
    Short,
    /// It went too far.
    Long,
    /// It went off its line, or touched what it should avoid.
    Off,
    /// The cue ball dropped.
    Scratch,
    /// A wrong ball dropped, or a ball left the table.
    Foul,
    /// The tip slid off the cue ball.
    Miscue,
}

impl Category {
    /// All of them, in this order.
    pub const ALL: [Self; 10] = [
        Self::Made,
        Self::MissedLeft,
        Self::MissedRight,
        Self::Astray,
        Self::Short,
        Self::Long,
        Self::Off,
        Self::Scratch,
        Self::Foul,
        Self::Miscue,
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Made => "made",
            Self::MissedLeft => "missed on the left",
            Self::MissedRight => "missed on the right",
            Self::Astray => "missed by far",
            Self::Short => "cue ball short",
            Self::Long => "cue ball long",
            Self::Off => "cue ball off its line",
            Self::Scratch => "scratch",
            Self::Foul => "foul",
            Self::Miscue => "miscue",
        }
    }
}

/// Where, by whom and for what a hit is played.
#[derive(Clone, Copy, Debug)]
pub struct Setting<'a> {
    /// Table and conditions.
    pub world: &'a World,
    /// The balls.
    pub layout: &'a Layout,
    /// The player.
    pub player: &'a Player,
    /// What counts as made, made ready for this layout.
    pub plan: &'a Plan,
}

/// The chance of a goal.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Odds {
    /// Chance that it is made, 0 to 1, lapses included.
    pub made: f64,
    /// Standard error of `made` from the nodes; nothing else is in it. Odds from the same nodes err alike: a difference
    /// between neighbouring layouts is better known than either.
    pub standard_error: f64,
    /// Chance of each category in the order of [`Category::ALL`], lapses left out.
    pub shares: [f64; 10],
    /// Shots computed.
    pub shots: u32,
}

impl Odds {
    /// Chance of one category, lapses left out.
    pub fn share(&self, category: Category) -> f64 {
        self.shares[category as usize]
    }
}

impl Setting<'_> {
    /// `hit` as this player can play it here: raised as far as rails and balls behind the cue ball force it.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where no cue can be laid.
    pub fn playable(&self, hit: &Hit) -> Result<Hit, StrokeError> {
        let cue = self.player.cue();
        let balls = self.layout.balls();
        let cueing = Cueing {
            table: self.world.table().spec(),
            nose_height_m: self.world.conditions().cushion.height_m,
            cue: &cue,
            stroke: hit,
            cue_ball: &balls[self.plan.cue],
            balls,
        };
        Ok(cueing.playable()?)
    }

    /// The stroke with which this player plays `hit` here: wider where the hit is hampered.
    pub fn stroke(&self, hit: &Hit) -> Stroke {
        let ball = &self.layout.balls()[self.plan.cue];
        let spec = self.world.table().spec();
        let back = -longrail_math::Vec2::from_angle(hit.direction_deg.to_radians());
        let (p, r) = (ball.position, ball.radius_m);
        let gaps = [p.x, p.y, spec.length_m - p.x, spec.width_m - p.y];
        let behind = [-back.x, -back.y, back.x, back.y];
        // Frozen to a rail over which the cue comes.
        let frozen = gaps.iter().zip(behind).any(|(gap, towards)| gap - r < FROZEN_M && towards > 0.5);
        let nearest = gaps.into_iter().fold(f64::INFINITY, f64::min);
        let hampered = &self.player.hampered;
        let mut times =
            longrail_math::fx::pow(hampered.per_ten_degrees, (hit.elevation_deg - USUAL_DEG).max(0.0) / 10.0);
        if frozen {
            times *= hampered.frozen;
        }
        if nearest > self.player.reach_m {
            times *= hampered.stretched;
        }
        self.player.stroke.at(hit.speed_mps, times)
    }

    /// Plays one hit as it is.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn play(&self, engine: &mut Engine, hit: &Hit) -> Result<Verdict, StrokeError> {
        if self.plan.passes { self.watch::<true>(engine, hit) } else { self.watch::<false>(engine, hit) }
    }

    fn watch<const PATHS: bool>(&self, engine: &mut Engine, hit: &Hit) -> Result<Verdict, StrokeError> {
        let mut judge = Judge::<PATHS>::new(self.plan);
        let cue: Cue = self.player.cue();
        engine.play(self.world, self.layout, Some(hit), &cue, &mut judge)?;
        Ok(judge.verdict(engine))
    }

    /// The chance of the goal when `hit` is intended; it should be [`Self::playable`].
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub fn odds(&self, engine: &mut Engine, hit: &Hit, nodes: &Nodes) -> Result<Odds, StrokeError> {
        let stroke = self.stroke(hit);
        let axes = self.axes(engine, hit, &stroke)?;
        let mut counts = [0_u32; 10];
        let (mut blocks, mut sum, mut squares) = (0.0, 0.0, 0.0);
        for block in nodes.blocks() {
            let mut made = 0_u32;
            for node in block {
                let verdict = self.play(engine, &scattered(hit, &stroke, &axes.errors(node)))?;
                counts[verdict.category as usize] += 1;
                made += u32::from(verdict.made());
            }
            // Nodes in their thousands.
            #[allow(clippy::cast_precision_loss)]
            let share = f64::from(made) / block.len() as f64;
            blocks += 1.0;
            sum += share;
            squares += share * share;
        }
        let shots: u32 = counts.iter().sum();
        let shares = counts.map(|count| f64::from(count) / f64::from(shots.max(1)));
        let mean = sum / blocks;
        // What one shot more or less would do is the least error that can be claimed.
        let least = 1.0 / f64::from(shots.max(1));
        let variance =
            if blocks > 1.0 { (squares - blocks * mean * mean).max(0.0) / (blocks - 1.0) } else { 0.0 };
        let attend = 1.0 - stroke.lapse;
        Ok(Odds {
            made: attend * shares[0],
            standard_error: attend * (variance / blocks).sqrt().max(least),
            shares,
            shots,
        })
    }
}

/// The hit that comes of intending `hit` with the errors `node`.
pub fn scattered(hit: &Hit, stroke: &Stroke, node: &Node) -> Hit {
    let [aim, speed, right, up] = *node;
    // Nobody strikes backwards: far out the speed stays a twentieth of what was intended.
    let speed_mps = hit.speed_mps * (1.0 + stroke.speed_sd * speed).max(0.05);
    Hit {
        speed_mps: speed_mps.clamp(1e-3, 20.0),
        direction_deg: hit.direction_deg + stroke.aim_bias_deg + stroke.aim_sd_deg * aim,
        tip_right: hit.tip_right + stroke.tip_right_sd * right,
        tip_up: hit.tip_up + stroke.tip_up_sd * up,
        ..*hit
    }
}
