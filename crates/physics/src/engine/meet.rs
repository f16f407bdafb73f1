//! Resolving ball contacts: one pair, the usual case, or several that close at one moment.

use longrail_math::{Vec2, Vec3};

use super::{End, Engine, Event, Kind, Record, TOGETHER_S, pair};
use crate::ball::MOST_BALLS;
use crate::impact::Moving;
use crate::impact::ball_ball::{self, Contact, MOST_TOGETHER, SOFT};
use crate::motion::{Body, Phase, State};
use crate::search::balls::touching;
use crate::world::World;

/// Depth (m) at which a soft touch must part, so that many of them do not add up.
pub(super) const DEEP: f64 = 2e-10;

/// A ball that has been brought to the moment of contact.
#[derive(Clone, Copy)]
struct Brought {
    state: State,
    moving: Moving,
    /// Half its acceleration.
    push: Vec2,
}

impl Brought {
    const NONE: Self = Self {
        state: State { position: Vec2::ZERO, height: 0.0, velocity: Vec3::ZERO, surface: Vec3::ZERO },
        moving: Moving { v: Vec3::ZERO, w: Vec3::ZERO, inverse_mass: 1.0 },
        push: Vec2::ZERO,
    };
}

impl Engine {
    /// Resolves the meeting of balls `i` < `j` at `t`.
    pub(super) fn resolve_pair<R: Record>(
        &mut self,
        world: &World,
        i: usize,
        j: usize,
        t: f64,
        record: &mut R,
    ) {
        self.now = t;
        let brought = [self.bring(world, i, t, record), self.bring(world, j, t, record)];
        let contact = self.contact(world, (0, i), (1, j), &brought);
        let mut moving = [brought[0].moving, brought[1].moving];
        let soft = contact.approach(&moving) < SOFT;
        ball_ball::collide(world.conditions(), &contact, &mut moving);
        let before = [brought[0].state, brought[1].state];
        let flew = [i, j].map(|ball| self.bodies[ball].phase == Phase::Flying);
        if soft {
            self.put_apart(i, j);
        }
        for (k, ball) in [i, j].into_iter().enumerate() {
            self.resume(world, ball, t, moving[k].v, moving[k].w, flew[k]);
            self.note_push(ball, soft, t);
        }
        if R::EVENTS {
            self.tell_meeting(world, (i, j), before, soft, t, record);
            for (k, ball) in [i, j].into_iter().enumerate() {
                if !flew[k] && self.bodies[ball].phase == Phase::Flying {
                    self.tell_flight(world, ball, t, record);
                }
            }
            if record.decided() {
                return;
            }
            if let Some((ball, pocket)) = record.foretold() {
                self.remove(ball, t, End::Pocket(pocket), world.conditions());
            }
        }
        // Own meetings first: they bound the search of pairs.
        self.search_own(world, i);
        self.search_own(world, j);
        let count = self.bodies.len();
        self.search_pairs(world, i, 0..count);
        for others in [0..i, i + 1..count] {
            self.search_pairs(world, j, others);
        }
    }

    /// Puts two balls apart that soft touches have let in too deep, each by its share: nanometres, which add up otherwise.
    fn put_apart(&mut self, i: usize, j: usize) {
        let (a, b) = (&self.bodies[i], &self.bodies[j]);
        let line = b.p - a.p;
        let distance = line.norm();
        let depth = touching(a.radius, b.radius) - distance;
        if depth <= DEEP || a.phase == Phase::Flying || b.phase == Phase::Flying {
            return;
        }
        let share = line * (depth / (distance * (a.inverse_mass + b.inverse_mass)));
        let (from_a, from_b) = (share * a.inverse_mass, share * b.inverse_mass);
        self.bodies[i].p -= from_a;
        self.bodies[j].p += from_b;
    }

    /// Resolves all meetings due at `t` together.
    #[cold]
    pub(super) fn resolve_several<R: Record>(&mut self, world: &World, t: f64, record: &mut R) {
        self.now = t;
        let count = self.bodies.len();
        let mut due = [(0_usize, 0_usize); MOST_TOGETHER];
        let mut found = 0;
        let mut brought = [Brought::NONE; MOST_BALLS];
        let mut touched = [false; MOST_BALLS];
        for j in 1..count {
            for i in 0..j {
                if self.pairs[pair(i, j)] > t + TOGETHER_S || found == MOST_TOGETHER {
                    continue;
                }
                due[found] = (i, j);
                found += 1;
                for ball in [i, j] {
                    if !touched[ball] {
                        touched[ball] = true;
                        brought[ball] = self.bring(world, ball, t, record);
                    }
                }
            }
        }
        let due = &due[..found];
        let none = Contact { first: 0, second: 0, normal: Vec3::ZERO, free: false, pressed: false };
        let mut contacts = [none; MOST_TOGETHER];
        for (contact, &(i, j)) in contacts.iter_mut().zip(due) {
            *contact = self.contact(world, (i, i), (j, j), &brought);
        }
        let mut moving = brought.map(|ball| ball.moving);
        let soft = contacts.map(|contact| contact.approach(&moving) < SOFT);
        ball_ball::collide_together(world.conditions(), &contacts[..found], &mut moving[..count]);
        let mut took_off = [false; MOST_BALLS];
        for i in (0..count).filter(|&i| touched[i]) {
            let flew = self.bodies[i].phase == Phase::Flying;
            self.resume(world, i, t, moving[i].v, moving[i].w, flew);
            took_off[i] = !flew && self.bodies[i].phase == Phase::Flying;
        }
        if R::EVENTS {
            for (k, &(i, j)) in due.iter().enumerate() {
                self.tell_meeting(world, (i, j), [brought[i].state, brought[j].state], soft[k], t, record);
            }
            for i in (0..count).filter(|&i| took_off[i]) {
                self.tell_flight(world, i, t, record);
            }
        }
        for i in (0..count).filter(|&i| touched[i]) {
            self.search_own(world, i);
        }
        for i in (0..count).filter(|&i| touched[i]) {
            self.search_pairs(world, i, 0..count);
        }
    }

    /// Brings ball `i` to `t`.
    #[inline]
    fn bring<R: Record>(&mut self, world: &World, i: usize, t: f64, record: &mut R) -> Brought {
        let conditions = world.conditions();
        self.leave::<R>(world, i, t, record);
        let body = &mut self.bodies[i];
        let push = body.a;
        body.advance(t, conditions);
        let state = State {
            position: body.p,
            height: body.height,
            velocity: body.v.with_z(body.climb),
            surface: body.w,
        };
        let moving = Moving { v: state.velocity, w: state.surface, inverse_mass: body.inverse_mass };
        Brought { state, moving, push }
    }

    /// The contact of two balls, each given by its place in `brought` and its number.
    #[inline]
    fn contact(
        &self,
        world: &World,
        (first, i): (usize, usize),
        (second, j): (usize, usize),
        brought: &[Brought],
    ) -> Contact {
        let (a, b) = (&brought[first], &brought[second]);
        let (body_a, body_b) = (&self.bodies[i], &self.bodies[j]);
        let flat = b.state.position - a.state.position;
        let rise = body_b.radius + b.state.height - body_a.radius - a.state.height;
        let line = flat.with_z(rise);
        let distance = line.norm();
        let normal = line / distance;
        let flying = body_a.phase == Phase::Flying || body_b.phase == Phase::Flying;
        let free = flying || world.conditions().flight.lift_from_ball_friction;
        // Pressed on by the cloth or by their weight in the air, or let in already by touches that were: they must part.
        let depth = body_a.radius + body_b.radius - distance;
        let weight = |body: &Body| if body.phase == Phase::Flying { 1.0 } else { 0.0 };
        let leans = (weight(body_b) - weight(body_a)) * normal.z > 0.0;
        let pressed = (a.push - b.push).dot(flat) > 0.0 || leans || depth > DEEP;
        Contact { first, second, normal, free, pressed }
    }

    /// Tells a meeting of two; the ball that brings the speed is named first.
    fn tell_meeting<R: Record>(
        &mut self,
        world: &World,
        (i, j): (usize, usize),
        before: [State; 2],
        soft: bool,
        t: f64,
        record: &mut R,
    ) {
        if !self.worth_telling(pair(i, j), soft, t) {
            return;
        }
        let line = before[1].position - before[0].position;
        let swap = before[0].velocity.xy().dot(line) < -before[1].velocity.xy().dot(line);
        let (balls, before) = if swap { ([j, i], [before[1], before[0]]) } else { ([i, j], before) };
        let after = balls.map(|ball| self.bodies[ball].state(t, world.conditions()));
        record.event(&Event { t_s: t, kind: Kind::Ball { with: balls[1] }, ball: balls[0], before, after });
    }
}
