//! Resolving what one ball meets by itself: which model, and what is told.

use longrail_math::{Vec2, Vec3};

use super::meet::DEEP;
use super::{End, Engine, Event, Kind, Leg, Record};
use crate::conditions::{Conditions, Cushion, Facing};
use crate::cushion::Motion;
use crate::error::ShotError;
use crate::impact::ball_ball::{PART, SOFT, take_from_spin};
use crate::impact::{Moving, fixed};
use crate::layout::Layout;
use crate::motion::{Body, Phase, State};
use crate::search::Meeting;
use crate::table::{Pocket, Rail};
use crate::world::World;

/// Soft touches of the same pair within this time (seconds) are told once.
const SAME_TOUCH_S: f64 = 0.02;

/// How far behind a hole's middle a ball may come down, in metres; farther out it has left the table before.
const BEHIND_M: f64 = 0.4;

/// Least upward speed that counts as leaving the cloth: a hop of one millimetre, m/s.
#[inline]
pub(super) fn hop_mps(gravity: f64) -> f64 {
    (2.0 * gravity * 1e-3).sqrt()
}

impl Engine {
    pub(super) fn resolve_own<R: Record>(
        &mut self,
        world: &World,
        layout: &Layout,
        i: usize,
        t: f64,
        record: &mut R,
    ) -> Result<(), ShotError> {
        let meeting = self.own[i].1;
        let conditions = world.conditions();
        self.now = t;
        self.leave::<R>(world, i, t, record);
        let (was, since) = (self.bodies[i].phase, self.bodies[i].since);
        let wanted = R::EVENTS && (R::CHANGES || meeting != Meeting::RunOut || was != Phase::Sliding);
        let before = if wanted { self.bodies[i].state(t, conditions) } else { State::default() };
        let told = match meeting {
            Meeting::RunOut => {
                self.bodies[i].run_out(t, conditions);
                let stopped = self.bodies[i].phase == Phase::Rest;
                // The slides between the touches of a push are not told one by one.
                if was == Phase::Sliding && since != self.last_push[i] {
                    self.tell(world, Kind::Roll, i, before, t, record);
                }
                stopped.then_some(Kind::Stop)
            }
            Meeting::Nose(rail) => self.nose(world, layout, i, rail, t)?.then_some(Kind::Cushion(rail)),
            Meeting::Jaw(pocket, k) => {
                let jaw = world.table().pocket(pocket).jaws[k];
                self.rubber(world, i, jaw.point, None, t).then_some(Kind::Jaw(pocket))
            }
            Meeting::Facing(pocket, k) => {
                let jaw = world.table().pocket(pocket).jaws[k];
                self.rubber(world, i, jaw.point, Some(jaw.along), t).then_some(Kind::Facing(pocket))
            }
            Meeting::Drop(pocket) => {
                self.remove(i, t, End::Pocket(pocket), conditions);
                Some(Kind::Pocket(pocket))
            }
            Meeting::Outside => {
                self.remove(i, t, End::OffTable, conditions);
                Some(Kind::OffTable)
            }
            Meeting::Bed => Some(self.land(world, i, t)),
        };
        if let Some(kind) = told {
            self.tell(world, kind, i, before, t, record);
        }
        if R::EVENTS && was != Phase::Flying && self.bodies[i].phase == Phase::Flying {
            self.tell_flight(world, i, t, record);
        }
        if !record.decided() {
            self.search_again(world, i);
        }
        Ok(())
    }

    /// Rebound from a nose at `t`; whether it is to be told.
    fn nose(
        &mut self,
        world: &World,
        layout: &Layout,
        i: usize,
        rail: Rail,
        t: f64,
    ) -> Result<bool, ShotError> {
        let conditions = world.conditions();
        let outward = rail.outward();
        let body = &mut self.bodies[i];
        body.advance(t, conditions);
        if body.phase == Phase::Flying {
            let from = outward * -world.rails[rail as usize].gap(body.p);
            let Cushion { restitution, friction, .. } = conditions.cushion;
            return Ok(self.off_edge(world, i, t, from, restitution, friction));
        }
        // X along the rail so that X, Y (outward), Z are right-handed.
        let along = Vec2::new(outward.y, -outward.x);
        let spin = body.w.xy();
        let arriving = body.v.dot(outward);
        if arriving < SOFT {
            let depth = body.reach - world.rails[rail as usize].gap(body.p);
            settle(body, outward, arriving, depth);
            body.start_phase(t, conditions);
            return Ok(self.softly(i, t));
        }
        let before = Motion {
            vx: body.v.dot(along),
            vy: arriving,
            vz: 0.0,
            wx: spin.dot(along),
            wy: spin.dot(outward),
            wz: body.w.z,
        };
        let contact = layout.nose_contacts[i];
        let after = world.rebound(&contact, &before).map_err(|stall| ShotError::Stalled {
            id: layout.id(i).to_owned(),
            t_s: t,
            steps: stall.steps,
        })?;
        let velocity = along * after.vx + outward * after.vy;
        let surface = (along * after.wx + outward * after.wy).with_z(after.wz);
        self.resume(world, i, t, velocity.with_z(after.vz), surface, false);
        Ok(true)
    }

    /// Rebound from a jaw point, or from a facing through `point` along `along`, at `t`; whether it is to be
    /// told.
    ///
    /// On the cloth the push is level: jaws stand upright (an assumption; the standard lets facings lean
    /// back by 12 to 15°). In flight it comes from the edge at the height of the nose.
    fn rubber(&mut self, world: &World, i: usize, point: Vec2, along: Option<Vec2>, t: f64) -> bool {
        let conditions = world.conditions();
        let body = &mut self.bodies[i];
        body.advance(t, conditions);
        let mut from = body.p - point;
        if let Some(along) = along {
            from -= along * from.dot(along);
        }
        let Facing { restitution, friction } = conditions.facing;
        if body.phase == Phase::Flying {
            return self.off_edge(world, i, t, from, restitution, friction);
        }
        let normal = from.with_z(0.0) / from.norm();
        let state = body.state(t, conditions);
        let arriving = -state.velocity.dot(normal);
        if arriving < SOFT {
            settle(body, -normal.xy(), arriving, body.reach - from.norm());
            body.start_phase(t, conditions);
            return self.softly(i, t);
        }
        let (v, w) = fixed::rebound(state.velocity, state.surface, normal, restitution, friction);
        self.resume(world, i, t, v, w, false);
        true
    }

    /// Rebound in the air from an edge at the height of the nose, over the bed `from` away; whether it is to be told.
    fn off_edge(
        &mut self,
        world: &World,
        i: usize,
        t: f64,
        from: Vec2,
        restitution: f64,
        friction: f64,
    ) -> bool {
        let conditions = world.conditions();
        let body = &self.bodies[i];
        let edge = from.with_z(body.radius + body.height - conditions.cushion.height_m);
        let normal = edge / edge.norm();
        let state = body.state(t, conditions);
        let arriving = -state.velocity.dot(normal);
        if arriving < SOFT {
            self.resume(world, i, t, hover(state.velocity, normal, arriving), state.surface, true);
            return self.softly(i, t);
        }
        let (v, w) = fixed::rebound(state.velocity, state.surface, normal, restitution, friction);
        self.resume(world, i, t, v, w, true);
        true
    }

    /// Comes down on the bed, or into a hole.
    fn land(&mut self, world: &World, i: usize, t: f64) -> Kind {
        let conditions = world.conditions();
        let p = self.bodies[i].position(t);
        let pockets = world.table().pockets();
        let inside = |pocket: &&Pocket| (p - pocket.drop_centre).norm() <= pocket.drop_radius;
        if let Some(pocket) = pockets.iter().find(inside) {
            self.remove(i, t, End::Pocket(pocket.id), conditions);
            return Kind::Pocket(pocket.id);
        }
        let behind = |pocket: &Pocket| {
            let past = p - pocket.drop_centre;
            past.dot(pocket.axis) > 0.0 && past.norm() < BEHIND_M
        };
        if pockets.iter().any(behind) {
            // Behind the hole there is no bed.
            self.remove(i, t, End::OffTable, conditions);
            return Kind::OffTable;
        }
        self.bodies[i].advance(t, conditions);
        self.bodies[i].height = 0.0;
        let state = self.bodies[i].state(t, conditions);
        self.resume(world, i, t, state.velocity, state.surface, true);
        Kind::Landing
    }

    /// Goes on with a new velocity and spin. What points into the bed is answered by the bed, with its
    /// restitution, and with the cloth's friction if the ball comes from the air.
    pub(super) fn resume(&mut self, world: &World, i: usize, t: f64, v: Vec3, w: Vec3, from_air: bool) {
        let conditions = world.conditions();
        let body = &mut self.bodies[i];
        let (mut v, mut w) = (v, w);
        if v.z < 0.0 && body.height <= 0.0 {
            let up = Vec3::new(0.0, 0.0, 1.0);
            let friction = if from_air { conditions.sliding_friction } else { 0.0 };
            (v, w) = fixed::rebound(v, w, up, conditions.flight.bed_restitution, friction);
        }
        body.v = v.xy();
        body.w = w;
        // Most balls do not rise at all; they need no root.
        let stays = body.height <= 0.0 && (v.z <= 0.0 || v.z <= hop_mps(conditions.gravity_mps2));
        body.phase = Phase::Rest;
        if stays {
            body.height = 0.0;
        } else {
            body.take_off(t, v.z);
        }
        body.start_phase(t, conditions);
    }

    pub(super) fn remove(&mut self, i: usize, t: f64, end: End, conditions: &Conditions) {
        let body = &mut self.bodies[i];
        body.advance(t, conditions);
        body.phase = Phase::Gone;
        body.until = f64::INFINITY;
        body.v = Vec2::ZERO;
        body.a = Vec2::ZERO;
        body.w = Vec3::ZERO;
        self.ends[i] = end;
        self.rest = self.rest.max(t);
    }

    /// Books a soft touch of the rubber by ball `i` at `t`; whether it is to be told.
    fn softly(&mut self, i: usize, t: f64) -> bool {
        self.note_push(i, true, t);
        self.worth_telling(self.pairs.len() + i, true, t)
    }

    /// Remembers that ball `i` goes on from a soft touch at `t`.
    pub(super) fn note_push(&mut self, i: usize, soft: bool, t: f64) {
        if soft {
            self.last_push[i] = t;
        }
    }

    /// Whether a touch is to be told: soft ones of the same partners only once in a while.
    pub(super) fn worth_telling(&mut self, slot: usize, soft: bool, t: f64) -> bool {
        if !soft {
            return true;
        }
        let again = t - self.last_soft[slot] < SAME_TOUCH_S;
        self.last_soft[slot] = t;
        !again
    }

    /// Tells the leg of ball `i` that ends at `t`, and an end of spin within it.
    pub(super) fn leave<R: Record>(&mut self, world: &World, i: usize, t: f64, record: &mut R) {
        if R::LEGS {
            let body = &self.bodies[i];
            if matches!(body.phase, Phase::Sliding | Phase::Rolling | Phase::Flying) && t > body.since {
                let fall =
                    if body.phase == Phase::Flying { -0.5 * world.conditions().gravity_mps2 } else { 0.0 };
                record.leg(&Leg {
                    ball: i,
                    phase: body.phase,
                    from_s: body.since,
                    to_s: t,
                    p: body.p,
                    v: body.v,
                    a: body.a,
                    lift: [body.height, body.climb, fall],
                });
            }
        }
        self.tell_spin_end(world, i, t, record);
    }

    /// Tells the end of ball `i`'s spin, if it comes before `t`.
    pub(super) fn tell_spin_end<R: Record>(&self, world: &World, i: usize, t: f64, record: &mut R) {
        if !R::CHANGES {
            return;
        }
        let conditions = world.conditions();
        let body = &self.bodies[i];
        let end = body.spin_end(conditions);
        if body.w.z != 0.0 && body.phase != Phase::Flying && end < t {
            let states = [body.state(end, conditions), State::default()];
            record.event(&Event { t_s: end, kind: Kind::SpinEnd, ball: i, before: states, after: states });
        }
    }

    /// Tells that ball `i` has left the cloth: nothing about it changes at that moment.
    pub(super) fn tell_flight<R: Record>(&self, world: &World, i: usize, t: f64, record: &mut R) {
        let now = self.bodies[i].state(t, world.conditions());
        self.tell(world, Kind::Flight, i, now, t, record);
    }

    pub(super) fn tell<R: Record>(
        &self,
        world: &World,
        kind: Kind,
        i: usize,
        before: State,
        t: f64,
        record: &mut R,
    ) {
        if R::EVENTS && (R::CHANGES || !kind.is_change()) {
            let after = self.bodies[i].state(t, world.conditions());
            let (before, after) = ([before, State::default()], [after, State::default()]);
            record.event(&Event { t_s: t, kind, ball: i, before, after });
        }
    }
}

/// Velocity after a touch in the air too soft to bounce: a ball that leans on an edge slides down it in hops of some
/// nanometres, no higher than it came.
fn hover(velocity: Vec3, normal: Vec3, arriving: f64) -> Vec3 {
    let arriving = arriving.max(0.0);
    velocity + normal * (arriving + arriving.min(PART))
}

/// A touch of the rubber too soft to bounce: a ball that the cloth presses on parts again at [`PART`], with
/// energy from its spin; any other stays. Neither gains energy. A ball that earlier touches let in too deep (m) is put
/// back: nanometres, which nobody sees, but many of them would take it through the rubber.
fn settle(body: &mut Body, outward: Vec2, arriving: f64, depth: f64) {
    let mut leaving = 0.0;
    if body.a.dot(outward) > 0.0 || depth > DEEP {
        let part = arriving.max(PART);
        let excess = 0.5 * (part * part - arriving * arriving) / body.inverse_mass;
        let mut spinning = [Moving { v: Vec3::ZERO, w: body.w, inverse_mass: body.inverse_mass }];
        leaving = if take_from_spin(excess, &mut spinning) { part } else { arriving };
        body.w = spinning[0].w;
    }
    body.v -= outward * (arriving + leaving);
    if depth > DEEP {
        body.p -= outward * depth;
    }
}
