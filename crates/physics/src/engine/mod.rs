//! The shot: from event to event until every ball rests.
//!
//! 1. Each ball knows when its own phase ends or what it meets first by itself ([`crate::search`]); each pair
//!    knows when it would touch, searched only up to the earlier of its two balls' own next events, after
//!    which it is searched again.
//! 2. The earliest of all is next. Time goes there in one step; nothing is integrated in between.
//! 3. The models resolve it; the balls concerned, and they alone, are searched again.
//!
//! Pair contacts due within [`TOGETHER_S`] of the next one are resolved together, so that a ball driven into
//! two others at once treats both alike; a contact that this makes close follows at the same time. Balls are
//! numbered by where they lie ([`Layout`]), so nothing depends on the order of the input.

mod meet;
mod record;
mod resolve;

pub use record::{Event, Kind, Leg, Log, Record};

use longrail_math::Vec3;

use crate::ball::MOST_BALLS;
use crate::cue::{Cue, Stroke, strike};
use crate::error::ShotError;
use crate::layout::Layout;
use crate::motion::{Body, Phase};
use crate::search::{Meeting, balls, bed, flight};
use crate::table::PocketId;
use crate::world::World;

/// The most events of one shot; a 15-ball break has some hundreds, a ball that slides down between an edge and another ball
/// some ten thousand.
pub const MOST_EVENTS: u32 = 1_000_000;

/// The most events of one moment; a 15-ball break has some hundreds. Beyond, balls are wedged: see [`Wedge`].
const MOST_AT_ONCE: u32 = 10_000;

/// How long a moment is, in seconds, where wedged balls are looked for.
const MOMENT_S: f64 = 1e-2;

/// Slower than this (m/s), wedged balls come to rest.
const WEDGED_MPS: f64 = 0.01;

/// Floods of events that follow each other within this time (seconds) are one.
const SAME_WEDGE_S: f64 = 3e-2;

/// Ball contacts this close in time (seconds) count as one moment: at 10 m/s a nanometre.
const TOGETHER_S: f64 = 1e-10;

/// Where a ball ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// On the bed.
    Bed,
    /// In a pocket.
    Pocket(PocketId),
    /// Off the table.
    OffTable,
}

impl End {
    /// The pocket, if the ball ended in one.
    pub fn pocket(self) -> Option<PocketId> {
        if let Self::Pocket(pocket) = self { Some(pocket) } else { None }
    }
}

/// The engine with its memory; it allocates when it first meets more balls than before, and then no more.
///
/// ```
/// use longrail_physics::{Ball, Cue, Engine, Layout, Stroke, World};
/// # fn main() -> Result<(), longrail_physics::ShotError> {
/// let world = World::default();
/// let layout = Layout::new(&world, &[Ball::at_rest("cue", 0.6, 0.6)])?;
/// let mut engine = Engine::new();
/// engine.play(&world, &layout, Some(&Stroke::plain(1.0, 0.0)), &Cue::default(), &mut ())?;
/// assert!(engine.rest_time_s() > 1.0);
/// # Ok(())
/// # }
/// ```
#[derive(Clone, Debug, Default)]
pub struct Engine {
    bodies: Vec<Body>,
    ends: Vec<End>,
    /// Of each ball: when its own next meeting is, and what it is.
    own: Vec<(f64, Meeting)>,
    /// Of each pair: when it touches.
    pairs: Vec<f64>,
    now: f64,
    rest: f64,
    events: u32,
    miscue: bool,
    /// Of each pair and then each ball alone: when its last soft touch was.
    last_soft: Vec<f64>,
    /// Of each ball: when it was last pushed softly.
    last_push: Vec<f64>,
}

/// Place of the pair `i` < `j` in the table of pairs.
#[inline]
fn pair(i: usize, j: usize) -> usize {
    j * (j - 1) / 2 + i
}

/// The least of `times`, four at a time: a chain of comparisons would take as long as the search itself.
#[inline]
fn earliest(times: &[f64]) -> f64 {
    let lesser = |a: f64, b: f64| if b < a { b } else { a };
    let mut least = [f64::INFINITY; 4];
    let mut chunks = times.chunks_exact(4);
    for chunk in &mut chunks {
        for (least, &time) in least.iter_mut().zip(chunk) {
            *least = lesser(*least, time);
        }
    }
    let rest = chunks.remainder().iter().fold(f64::INFINITY, |a, &b| lesser(a, b));
    lesser(lesser(lesser(least[0], least[1]), lesser(least[2], least[3])), rest)
}

impl Engine {
    /// An engine with nothing on its table.
    pub fn new() -> Self {
        Self::default()
    }

    /// Plays a shot to its end; without a `stroke` the balls go on from their own velocities.
    ///
    /// A miscue is an outcome: nothing moves, and [`Self::miscued`] says so. A record that is decided
    /// ([`Record::decided`]) ends the shot early.
    ///
    /// # Errors
    /// [`ShotError::NoCueBall`] for a stroke without a cue ball; [`ShotError::Stalled`] and
    /// [`ShotError::TooManyEvents`] where the engine had to give up.
    pub fn play<R: Record>(
        &mut self,
        world: &World,
        layout: &Layout,
        stroke: Option<&Stroke>,
        cue: &Cue,
        record: &mut R,
    ) -> Result<(), ShotError> {
        self.set_up(layout);
        if let Some(stroke) = stroke {
            let target = layout.cue_ball().ok_or(ShotError::NoCueBall)?;
            if !self.strike(world, layout, target, stroke, cue, record) {
                return Ok(());
            }
        }
        let count = self.bodies.len();
        for i in 0..count {
            self.search_own(world, i);
        }
        for j in 1..count {
            self.search_pairs(world, j, 0..j);
        }
        let mut wedge = Wedge::default();
        while let Some(next) = self.next() {
            self.events += 1;
            let due = match &next {
                Next::Own(_, t) | Next::Pair(_, _, t) | Next::Several(t) => *t,
            };
            if let Some(slow_mps) = wedge.flooded(due) {
                self.rest_wedged(world, &next, due, slow_mps);
                continue;
            }
            if self.events > MOST_EVENTS {
                return Err(ShotError::TooManyEvents { limit: MOST_EVENTS, t_s: self.now });
            }
            match next {
                Next::Own(i, t) => self.resolve_own(world, layout, i, t, record)?,
                Next::Pair(i, j, t) => self.resolve_pair(world, i, j, t, record),
                Next::Several(t) => self.resolve_several(world, t, record),
            }
            if record.decided() {
                return Ok(());
            }
        }
        self.finish(world, record);
        Ok(())
    }

    /// Time at which the last ball came to rest and stopped spinning, in seconds after the strike.
    pub fn rest_time_s(&self) -> f64 {
        self.rest
    }

    /// Whether the tip slid off the cue ball.
    pub fn miscued(&self) -> bool {
        self.miscue
    }

    /// Number of events resolved, soft touches included.
    pub fn events(&self) -> u32 {
        self.events
    }

    /// Where ball `index` (in the layout's order) is now, or was captured.
    pub fn position(&self, index: usize) -> longrail_math::Vec2 {
        self.bodies[index].p
    }

    /// Where ball `index` (in the layout's order) ended.
    pub fn end(&self, index: usize) -> End {
        self.ends[index]
    }

    fn set_up(&mut self, layout: &Layout) {
        let count = layout.bodies.len().min(MOST_BALLS);
        self.bodies.clear();
        self.bodies.extend_from_slice(&layout.bodies[..count]);
        self.ends.clear();
        self.ends.resize(count, End::Bed);
        self.own.clear();
        self.own.resize(count, (f64::INFINITY, Meeting::RunOut));
        self.pairs.clear();
        self.pairs.resize(count * count.saturating_sub(1) / 2, f64::INFINITY);
        self.last_soft.clear();
        self.last_soft.resize(self.pairs.len() + count, f64::NEG_INFINITY);
        self.last_push.clear();
        self.last_push.resize(count, f64::NEG_INFINITY);
        self.now = 0.0;
        self.rest = 0.0;
        self.events = 0;
        self.miscue = false;
    }

    /// Hits the ball `target`; false for a miscue.
    fn strike<R: Record>(
        &mut self,
        world: &World,
        layout: &Layout,
        target: usize,
        stroke: &Stroke,
        cue: &Cue,
        record: &mut R,
    ) -> bool {
        let conditions = world.conditions();
        let before = self.bodies[target].state(0.0, conditions);
        let mass = layout.balls()[target].mass_kg;
        let Some(launch) = strike(stroke, cue, mass) else {
            self.miscue = true;
            self.tell(world, Kind::Miscue, target, before, 0.0, record);
            return false;
        };
        let body = &mut self.bodies[target];
        body.v = launch.velocity;
        body.w = launch.surface;
        let climb = launch.into_bed_mps * conditions.flight.bed_restitution;
        body.phase = Phase::Rest;
        let flies = climb > resolve::hop_mps(conditions.gravity_mps2);
        if flies {
            body.take_off(0.0, climb);
        }
        body.start_phase(0.0, conditions);
        self.tell(world, Kind::Strike, target, before, 0.0, record);
        if flies {
            self.tell_flight(world, target, 0.0, record);
        }
        true
    }

    /// The earliest of all meetings, if there is one.
    #[inline]
    fn next(&self) -> Option<Next> {
        let mut own = (f64::INFINITY, 0);
        for (i, &(t, _)) in self.own.iter().enumerate() {
            if t < own.0 {
                own = (t, i);
            }
        }
        let first = earliest(&self.pairs);
        // Driven into a ball and into rubber at one moment, a ball meets the ball first: balls are stiffer, so that
        // contact is over before the rubber has given way.
        let rubber = matches!(self.own[own.1].1, Meeting::Nose(_) | Meeting::Jaw(..) | Meeting::Facing(..));
        if first > if rubber { own.0 + TOGETHER_S } else { own.0 } || first == f64::INFINITY {
            return (own.0 < f64::INFINITY).then_some(Next::Own(own.1, own.0));
        }
        let now = first.min(own.0);
        // The two earliest contacts: if they fall together, they are resolved together.
        let mut due = self.pairs.iter().enumerate().filter(|(_, t)| **t <= first + TOGETHER_S);
        let which = due.next().map_or(0, |(k, _)| k);
        if due.next().is_some() {
            return Some(Next::Several(now));
        }
        let mut j = 1;
        while pair(0, j + 1) <= which {
            j += 1;
        }
        Some(Next::Pair(which - pair(0, j), j, now))
    }

    /// Finds what ball `i` meets by itself next.
    #[inline]
    fn search_own(&mut self, world: &World, i: usize) {
        let body = &self.bodies[i];
        self.own[i] = match body.phase {
            Phase::Rest | Phase::Gone => (f64::INFINITY, Meeting::RunOut),
            Phase::Flying => {
                let (s, meeting) = flight::next(world, body);
                (body.since + s, meeting)
            }
            Phase::Sliding | Phase::Rolling => {
                let (s, meeting) = bed::next(world, body);
                (if meeting == Meeting::RunOut { body.until } else { body.since + s }, meeting)
            }
        };
    }

    /// Finds when ball `i` touches each of the balls `others`, if before either's own next meeting.
    #[inline]
    fn search_pairs(&mut self, world: &World, i: usize, others: std::ops::Range<usize>) {
        let gravity = world.conditions().gravity_mps2;
        let a = &self.bodies[i];
        let (a_still, a_gone) = (matches!(a.phase, Phase::Rest | Phase::Gone), a.phase == Phase::Gone);
        let course = a.course(self.now);
        let own = self.own[i].0;
        for j in others {
            if j == i {
                continue;
            }
            let b = &self.bodies[j];
            let apart = a_gone || b.phase == Phase::Gone || (a_still && b.phase == Phase::Rest);
            self.pairs[pair(i.min(j), i.max(j))] = if apart {
                f64::INFINITY
            } else {
                // Up to the same moment as the next meeting, which may be one with rubber (see `next`).
                let horizon = own.min(self.own[j].0) - self.now + TOGETHER_S;
                balls::meeting(a, &course, b, self.now, horizon, gravity)
                    .map_or(f64::INFINITY, |s| self.now + s)
            };
        }
    }

    /// Searches everything about ball `i` again.
    #[inline]
    fn search_again(&mut self, world: &World, i: usize) {
        self.search_own(world, i);
        self.search_pairs(world, i, 0..self.bodies.len());
    }

    /// Brings balls slower than `slow_mps` to rest, of those that the next event names or that were pushed within this
    /// moment.
    #[cold]
    fn rest_wedged(&mut self, world: &World, next: &Next, t: f64, slow_mps: f64) {
        self.now = t;
        for i in 0..self.bodies.len() {
            let named = match *next {
                Next::Own(ball, _) => ball == i,
                Next::Pair(a, b, _) => a == i || b == i,
                Next::Several(_) => true,
            };
            let pushed = self.last_push[i] > t - MOMENT_S;
            let body = &mut self.bodies[i];
            let moves = matches!(body.phase, Phase::Sliding | Phase::Rolling | Phase::Flying);
            if !(named || pushed) || !moves {
                continue;
            }
            let state = body.state(t, world.conditions());
            if state.velocity.norm() < slow_mps {
                body.advance(t, world.conditions());
                // A ball in the air falls from there.
                self.resume(world, i, t, Vec3::ZERO, Vec3::new(0.0, 0.0, state.surface.z), false);
                self.search_again(world, i);
            }
        }
    }

    /// Ends of spin that nothing came before, and the time of rest.
    fn finish<R: Record>(&mut self, world: &World, record: &mut R) {
        let conditions = world.conditions();
        for i in 0..self.bodies.len() {
            if self.bodies[i].phase == Phase::Gone {
                continue;
            }
            self.rest = self.rest.max(self.bodies[i].since);
            if self.bodies[i].w.z != 0.0 {
                let end = self.bodies[i].spin_end(conditions);
                self.rest = self.rest.max(end);
                self.tell_spin_end(world, i, f64::INFINITY, record);
            }
        }
    }
}

/// What comes next: a ball's own meeting, a contact of two balls, or several contacts at one moment.
enum Next {
    Own(usize, f64),
    Pair(usize, usize, f64),
    Several(f64),
}

/// Watches for floods of events at one moment.
///
/// Balls wedged between jaws or between each other pass what little speed they have round without end and without time
/// going on; in truth rubber and cloth swallow it. So they are brought to rest, at first the slow ones, and if the flood
/// goes on, faster and faster ones: no flood can last.
struct Wedge {
    /// Start of this moment, and events in it.
    moment: f64,
    events: u32,
    /// When balls were last brought to rest, and up to which speed.
    last: f64,
    slow_mps: f64,
}

impl Default for Wedge {
    fn default() -> Self {
        Self { moment: 0.0, events: 0, last: f64::NEG_INFINITY, slow_mps: WEDGED_MPS }
    }
}

impl Wedge {
    /// Counts an event at `t`; the speed below which balls must rest, if there are too many of them.
    #[inline]
    fn flooded(&mut self, t: f64) -> Option<f64> {
        if t > self.moment + MOMENT_S {
            (self.moment, self.events) = (t, 0);
        }
        self.events += 1;
        if self.events <= MOST_AT_ONCE {
            return None;
        }
        self.slow_mps = if t - self.last < SAME_WEDGE_S { 2.0 * self.slow_mps } else { WEDGED_MPS };
        (self.last, self.events) = (t, 0);
        Some(self.slow_mps)
    }
}
