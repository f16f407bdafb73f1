//! Whether the object ball drops, told from how it sets out: for searches, which play thousands of shots that differ in little
//! else.
//!
//! A ball that nothing disturbs on its way to a pocket drops or not by its heading and its speed alone: spin hardly bends the
//! way of a ball that is not struck by a cue. (Along a rail it does, and there nothing is foreseen.) So the ball is sent off
//! once with many headings and speeds, and what came of it is kept. A shot whose heading and speed lie between four that agree
//! is decided as soon as the ball is struck; near the edges, where they do not agree, it is played to its end.

use std::sync::Arc;

use longrail_math::{Vec2, fx};
use longrail_physics::table::PocketId;
use longrail_physics::{Cue, Engine, Event, Kind, Layout, Leg, Record, World};

use super::judge::Judge;
use super::plan::{Check, Plan};
use crate::error::StrokeError;
use crate::whole;

/// Headings are told apart by how far past the middle of the mouth they lead, up to so far (m) to both sides. A ball that
/// heads farther past meets with what the outermost ones do.
const HALF_M: f64 = 0.08;
const HEADINGS: usize = 81;

/// Every so many headings are tried first, and those between only where two neighbours differ.
const STRIDE: usize = 4;

/// A rail that is touched farther from the mouth than so many of its widths bends the way by the ball's spin.
const NEAR_WIDTHS: f64 = 2.0;

/// Speeds by equal factors, in m/s.
const SLOWEST_MPS: f64 = 0.2;
const FASTEST_MPS: f64 = 8.0;
const SPEEDS: usize = 12;

/// What becomes of a ball.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fate {
    Drops,
    Misses,
    /// Not known before it is played.
    Open,
}

/// What becomes of the object ball from where it lies.
#[derive(Clone, Debug)]
pub(crate) struct Fates {
    from: Vec2,
    mouth: Vec2,
    pocket: PocketId,
    /// What becomes of it, for each speed all headings.
    nodes: Arc<[Fate]>,
    /// Rows of speeds to a factor of e.
    rows: f64,
}

impl Fates {
    /// Those of the object ball of `plan`, if there are no other balls than the cue ball and it, and it is to go straight into
    /// one pocket and matters no further.
    ///
    /// # Errors
    /// [`StrokeError::Shot`] where the engine gives up.
    pub(super) fn of(
        world: &World,
        layout: &Layout,
        plan: &Plan,
        engine: &mut Engine,
    ) -> Result<Option<Self>, StrokeError> {
        let Some((ball, pocket)) = wanted(plan).filter(|_| layout.balls().len() == 2) else {
            return Ok(None);
        };
        let (from, mouth) = (layout.balls()[ball].position, world.table().pocket(pocket).mouth);
        let way = mouth - from;
        // The ball alone; its cue ball is not on the table.
        let only = Check::Pot { ball: 0, pocket: Some(pocket), banks: 0, clean: false };
        let alone = Plan {
            checks: vec![only],
            cue: 1,
            object: Some(0),
            may_drop: vec![true],
            starts: vec![from; 2],
            radii: vec![layout.balls()[ball].radius_m; 2],
            ..plan.clone()
        };
        let mut rolls = layout.balls()[ball].clone();
        let near_m = NEAR_WIDTHS * world.table().pocket(pocket).width;
        let mut tried = |mps: f64, j: usize| -> Result<Fate, StrokeError> {
            let past_m = HALF_M * (2.0 * whole(j) / whole(HEADINGS - 1) - 1.0);
            // Nearer than that, the ball lies between the jaws.
            let sine = (past_m / way.norm().max(1e-9)).clamp(-1.0, 1.0);
            let heading = way * (1.0 - sine * sine).sqrt() + way.turned_left() * sine;
            rolls.velocity = heading * (mps / way.norm().max(1e-9));
            let layout = Layout::new(world, std::slice::from_ref(&rolls))?;
            let mut watch = Watch { judge: Judge::new(&alone), mouth, near_m, along_rail: false };
            engine.play(world, &layout, None, &Cue::default(), &mut watch)?;
            let drops = !watch.judge.has_failed() && engine.end(0).pocket() == Some(pocket);
            Ok(match (watch.along_rail, drops) {
                (true, _) => Fate::Open,
                (false, true) => Fate::Drops,
                (false, false) => Fate::Misses,
            })
        };
        let mut nodes = Vec::with_capacity(SPEEDS * HEADINGS);
        for i in 0..SPEEDS {
            let mut before = tried(speed(i), 0)?;
            nodes.push(before);
            for last in (STRIDE..HEADINGS).step_by(STRIDE) {
                let after = tried(speed(i), last)?;
                for j in last - STRIDE + 1..last {
                    nodes.push(if before == after { after } else { tried(speed(i), j)? });
                }
                nodes.push(after);
                before = after;
            }
        }
        let rows = whole(SPEEDS - 1) / fx::ln(FASTEST_MPS / SLOWEST_MPS);
        Ok(Some(Self { from, mouth, pocket, nodes: nodes.into(), rows }))
    }

    /// The pocket that is meant.
    pub(crate) fn pocket(&self) -> PocketId {
        self.pocket
    }

    /// What becomes of the ball that sets out from `p` with `v`.
    // A place among the nodes, which are few.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(crate) fn of_ball(&self, p: Vec2, v: Vec2) -> Fate {
        let (to, mps) = (self.mouth - p, v.norm());
        let there = (p - self.from).norm_squared() < 1e-12;
        if !there || v.dot(to) <= 0.0 || !(SLOWEST_MPS..FASTEST_MPS).contains(&mps) {
            return Fate::Open;
        }
        let past_m = (-v.cross(to) / mps).clamp(-HALF_M, HALF_M);
        let column = (0.5 * (past_m / HALF_M + 1.0) * whole(HEADINGS - 1)) as usize;
        let row = (self.rows * fx::ln(mps / SLOWEST_MPS)) as usize;
        let first = row.min(SPEEDS - 2) * HEADINGS + column.min(HEADINGS - 2);
        let fate = self.nodes[first];
        let agree = [1, HEADINGS, HEADINGS + 1].iter().all(|k| self.nodes[first + k] == fate);
        if agree { fate } else { Fate::Open }
    }
}

/// Watches a ball on its way.
struct Watch<'a> {
    judge: Judge<'a, false>,
    mouth: Vec2,
    near_m: f64,
    /// It touched a rail before it was near the pocket.
    along_rail: bool,
}

impl Record for Watch<'_> {
    const EVENTS: bool = true;
    const LEGS: bool = false;
    const CHANGES: bool = false;

    fn event(&mut self, event: &Event) {
        let far = (event.position() - self.mouth).norm() > self.near_m;
        self.along_rail |= matches!(event.kind, Kind::Cushion(_)) && far;
        self.judge.event(event);
    }

    fn leg(&mut self, _: &Leg) {}

    fn decided(&self) -> bool {
        self.along_rail || self.judge.decided()
    }
}

/// Speed of row `i`.
fn speed(i: usize) -> f64 {
    SLOWEST_MPS * fx::pow(FASTEST_MPS / SLOWEST_MPS, whole(i) / whole(SPEEDS - 1))
}

/// The ball and its pocket, if nothing else is asked of it than to drop there.
fn wanted(plan: &Plan) -> Option<(usize, PocketId)> {
    let mut found = None;
    for check in &plan.checks {
        match check {
            Check::Pot { ball, pocket: Some(pocket), banks: 0, clean: false } if found.is_none() => {
                found = Some((*ball, *pocket));
            }
            Check::Pot { .. }
            | Check::StopNear { .. }
            | Check::Lag { .. }
            | Check::Hide { .. }
            | Check::Break { .. }
            | Check::AvoidBall { .. } => return None,
            _ => {}
        }
    }
    found
}
