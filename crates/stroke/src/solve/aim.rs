//! The direction that sends the object ball at the middle of a pocket, for given speed and tip.
//!
//! A ball near a rail that is to go along it can be hit by way of that rail as well: such hits bend back from the rail, forgive
//! more, and are sought on their own.

use longrail_math::{Vec2, fx};
use longrail_physics::table::{PocketId, Rail};
use longrail_physics::{Engine, Event, Kind, Leg, Record};

use crate::Hit;
use crate::error::StrokeError;
use crate::odds::Setting;

/// Offset of the object ball's heading from the middle of the mouth at which a direction is good enough, in metres.
const GOOD_M: f64 = 5e-5;

/// A direction this near to that of the ghost ball (degrees) is a start for the search.
const NEIGHBOUR_DEG: f64 = 15.0;

/// Thinnest cut that is tried, in degrees.
const THINNEST_DEG: f64 = 84.0;

/// A ball this near to a rail (m) may be hit by way of it, if the way to the pocket and the rail are no farther apart (sine).
const NEAR_RAIL_M: f64 = 0.07;
const ALONG: f64 = 0.3;

/// Watches for the first contact, and where it sends the ball.
struct Probe {
    cue: usize,
    ball: usize,
    mouth: Vec2,
    /// The rail that is to be touched before, until it is.
    rail: Option<Rail>,
    /// How far the ball heads past the mouth, positive to its left; not a number if it heads away.
    past: Option<f64>,
    over: bool,
}

impl Record for Probe {
    const EVENTS: bool = true;
    const LEGS: bool = false;
    const CHANGES: bool = false;

    fn event(&mut self, event: &Event) {
        let involved = event.ball == self.cue || event.with() == Some(self.cue);
        if !involved
            || matches!(event.kind, Kind::Strike | Kind::Roll | Kind::SpinEnd | Kind::Flight | Kind::Landing)
        {
            return;
        }
        if let Kind::Cushion(rail) = event.kind
            && self.rail == Some(rail)
        {
            self.rail = None;
            return;
        }
        self.over = true;
        if let Kind::Ball { with } = event.kind
            && self.rail.is_none()
        {
            let place = usize::from(with == self.ball);
            if with == self.ball || event.ball == self.ball {
                let (p, v) = (event.after[place].position, event.after[place].velocity.xy());
                let to = self.mouth - p;
                self.past = Some(if v.dot(to) > 0.0 { -v.cross(to) / v.norm() } else { f64::NAN });
            }
        }
    }

    fn leg(&mut self, _: &Leg) {}

    fn decided(&self) -> bool {
        self.over
    }
}

/// Where an object ball is sent.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sight {
    pub(super) ball: usize,
    pub(super) pocket: PocketId,
    /// How far past the middle of the mouth, in metres, positive to its left.
    pub(super) past_m: f64,
    /// By how much of that the player's aim spreads.
    pub(super) spread_m: f64,
    /// The rail that the cue ball touches just before the ball, if it does.
    pub(super) rail: Option<Rail>,
}

/// Farthest correction that a single look at where the ball goes is trusted with, in degrees.
const AT_A_LOOK_DEG: f64 = 1.0;

impl Setting<'_> {
    /// As [`Self::aimed`] from a direction that is near already: to a millimetre or so, with one look at where the ball goes.
    pub(super) fn aimed_at_a_look(
        &self,
        engine: &mut Engine,
        hit: &Hit,
        sight: Sight,
    ) -> Result<Option<Hit>, StrokeError> {
        if let Some(past_m) = self.past(engine, hit, sight)? {
            let by = (past_m - sight.past_m) / self.past_per_degree(sight);
            if by.abs() < AT_A_LOOK_DEG {
                return Ok(Some(Hit { direction_deg: hit.direction_deg - by, ..*hit }));
            }
        }
        self.aimed(engine, hit, sight)
    }

    /// How much farther past the middle of the mouth the ball goes for a degree more, in metres.
    pub(super) fn past_per_degree(&self, sight: Sight) -> f64 {
        let balls = self.layout.balls();
        let (cue, object) = (&balls[self.plan.cue], &balls[sight.ball]);
        let line = self.world.table().pocket(sight.pocket).mouth - object.position;
        let touching = cue.radius_m + object.radius_m;
        let way = object.position - line * (touching / line.norm().max(1e-9)) - cue.position;
        let cos = way.dot(line) / (way.norm() * line.norm()).max(1e-9);
        // A cue ball that is off by an angle meets the ball aside by the length of its way, and that turns the line of centres.
        let direct = -line.norm() * way.norm() / (touching * cos.max(0.1)) * 1_f64.to_radians();
        // By way of a rail the cue ball comes from its other side.
        if sight.rail.is_some() { -direct } else { direct }
    }

    /// How far past the middle of the mouth that `sight` names `hit` sends the ball, in metres, positive to the mouth's
    /// left; `None` if it does not send it there at all.
    pub(super) fn past(
        &self,
        engine: &mut Engine,
        hit: &Hit,
        Sight { ball, pocket, rail, .. }: Sight,
    ) -> Result<Option<f64>, StrokeError> {
        let mouth = self.world.table().pocket(pocket).mouth;
        let mut probe = Probe { cue: self.plan.cue, ball, mouth, rail, past: None, over: false };
        engine.play(self.world, self.layout, Some(hit), &self.player.cue(), &mut probe)?;
        Ok(probe.past.filter(|past| past.is_finite()))
    }

    /// Rails that a hit on `ball` may go by on its way to `pocket`: the ball is near them and has to go along them.
    pub(super) fn rails_along(&self, ball: usize, pocket: PocketId) -> Result<Vec<Rail>, StrokeError> {
        let object = &self.layout.balls()[ball];
        let line = self.world.table().pocket(pocket).mouth - object.position;
        let mut rails = Vec::new();
        for rail in Rail::ALL {
            let along = line.dot(rail.outward()).abs() < ALONG * line.norm();
            if along && self.world.gap_m(rail, object.position, object.radius_m)? < NEAR_RAIL_M {
                rails.push(rail);
            }
        }
        Ok(rails)
    }

    /// `hit` with the direction that sends the ball where `sight` says; `None` if none does, because the cut is too thin or
    /// something is in the way.
    pub(super) fn aimed(
        &self,
        engine: &mut Engine,
        hit: &Hit,
        sight: Sight,
    ) -> Result<Option<Hit>, StrokeError> {
        let Sight { ball, pocket, past_m, rail, .. } = sight;
        let balls = self.layout.balls();
        let (cue, object) = (&balls[self.plan.cue], &balls[ball]);
        let mouth = self.world.table().pocket(pocket).mouth;
        let towards = |point: Vec2| {
            let line = point - object.position;
            line / line.norm().max(1e-9)
        };
        let line = towards(mouth + towards(mouth).turned_left() * past_m);
        let mut ghost = object.position - line * (cue.radius_m + object.radius_m);
        let cos = (ghost - cue.position).dot(line) / (ghost - cue.position).norm().max(1e-9);
        if cos < fx::cos(THINNEST_DEG.to_radians()) {
            return Ok(None);
        }
        if let Some(rail) = rail {
            // Its image in the rail.
            ghost += rail.outward() * (2.0 * self.world.gap_m(rail, ghost, cue.radius_m)?);
        }
        let way = ghost - cue.position;
        let mut past = |direction_deg: f64| -> Result<Option<f64>, StrokeError> {
            let past = self.past(engine, &Hit { direction_deg, ..*hit }, sight)?;
            Ok(past.map(|past| past - past_m))
        };
        // From a neighbour's direction, if the hit has one, and else from the ghost ball.
        let ghost_deg = fx::atan2(way.y, way.x).to_degrees();
        if (hit.direction_deg - ghost_deg).abs() < NEIGHBOUR_DEG
            && let Some(direction_deg) = zero(hit.direction_deg, &mut past)?
        {
            return Ok(Some(Hit { direction_deg, ..*hit }));
        }
        Ok(zero(ghost_deg, &mut past)?.map(|direction_deg| Hit { direction_deg, ..*hit }))
    }
}

/// Where `past` is zero, by secant steps from `start`, in degrees; `None` if it is lost on the way.
fn zero(
    start: f64,
    past: &mut impl FnMut(f64) -> Result<Option<f64>, StrokeError>,
) -> Result<Option<f64>, StrokeError> {
    let mut a = start;
    let Some(mut at_a) = past(a)? else { return Ok(None) };
    let mut b = a + 0.05;
    for _ in 0..12 {
        if at_a.abs() < GOOD_M {
            return Ok(Some(a));
        }
        let Some(at_b) = past(b)? else { return Ok(None) };
        if at_b == at_a {
            return Ok(None);
        }
        // Not more than two degrees at once: near a miss the slope is steep and short-lived.
        let next = (b - at_b * (b - a) / (at_b - at_a)).clamp(b - 2.0, b + 2.0);
        (a, at_a, b) = (b, at_b, next);
    }
    Ok((at_a.abs() < 20.0 * GOOD_M).then_some(a))
}
