//! What a shot tells while it is played: events, and the legs of each ball's path.

use longrail_math::Vec2;

use crate::motion::{Phase, State};
use crate::table::{PocketId, Rail};

/// Kinds of event; names as in the JSON contract.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The cue hits the cue ball.
    Strike,
    /// Sliding ends, rolling begins.
    Roll,
    /// A ball comes to rest; it may still spin in place.
    Stop,
    /// Spin about the vertical ends.
    SpinEnd,
    /// Two balls meet.
    Ball {
        /// The other ball.
        with: usize,
    },
    /// A ball meets a nose.
    Cushion(Rail),
    /// A ball meets a facing.
    Facing(PocketId),
    /// A ball meets a jaw point.
    Jaw(PocketId),
    /// A ball is captured.
    Pocket(PocketId),
    /// A ball leaves the table.
    OffTable,
    /// The tip slides off the cue ball; the shot ends there.
    Miscue,
    /// A ball leaves the cloth.
    Flight,
    /// A ball comes down on the bed.
    Landing,
}

impl Kind {
    /// Whether a ball meets nothing in it and goes on.
    pub fn is_change(self) -> bool {
        matches!(self, Self::Strike | Self::Roll | Self::SpinEnd | Self::Flight | Self::Landing)
    }

    /// Name in the JSON contract.
    pub fn name(self) -> &'static str {
        match self {
            Self::Strike => "strike",
            Self::Roll => "roll",
            Self::Stop => "stop",
            Self::SpinEnd => "spin-end",
            Self::Ball { .. } => "ball",
            Self::Cushion(_) => "cushion",
            Self::Facing(_) => "facing",
            Self::Jaw(_) => "jaw",
            Self::Pocket(_) => "pocket",
            Self::OffTable => "off-table",
            Self::Miscue => "miscue",
            Self::Flight => "flight",
            Self::Landing => "landing",
        }
    }
}

/// Something that happened to a ball, or to two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// When, in seconds after the strike.
    pub t_s: f64,
    /// What.
    pub kind: Kind,
    /// The ball, in the order of the layout.
    pub ball: usize,
    /// State just before, and of the other ball if there is one.
    pub before: [State; 2],
    /// State just after.
    pub after: [State; 2],
}

impl Event {
    /// The other ball of a meeting of two.
    pub fn with(&self) -> Option<usize> {
        if let Kind::Ball { with } = self.kind { Some(with) } else { None }
    }

    /// Where the centre of `ball` was.
    pub fn position(&self) -> Vec2 {
        self.before[0].position
    }
}

/// A stretch of one ball's path in one phase: p + v s + a s² with s counted from `from_s`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// The ball, in the order of the layout.
    pub ball: usize,
    /// What it does.
    pub phase: Phase,
    /// Start and end, in seconds after the strike.
    pub from_s: f64,
    /// End.
    pub to_s: f64,
    /// Centre at the start, in metres.
    pub p: Vec2,
    /// Velocity at the start, in m/s.
    pub v: Vec2,
    /// Half the acceleration, in m/s².
    pub a: Vec2,
    /// Height above the bed at the start, its rate, and half its acceleration; zero on the cloth.
    pub lift: [f64; 3],
}

impl Leg {
    /// Centre at `t_s`.
    pub fn position(&self, t_s: f64) -> Vec2 {
        let s = t_s - self.from_s;
        self.p + (self.v + self.a * s) * s
    }

    /// Height above the bed at `t_s`.
    pub fn height(&self, t_s: f64) -> f64 {
        let s = t_s - self.from_s;
        self.lift[0] + (self.lift[1] + self.lift[2] * s) * s
    }
}

/// Takes what a shot tells. `()` takes nothing and costs nothing.
pub trait Record {
    /// Whether events (with states before and after) are wanted.
    const EVENTS: bool;
    /// Whether legs are wanted.
    const LEGS: bool;
    /// Whether events are wanted in which a ball meets nothing and goes on ([`Kind::is_change`]).
    const CHANGES: bool = Self::EVENTS;
    /// Takes an event; they come in order of time, except that the end of a spin comes when it is noticed.
    fn event(&mut self, event: &Event);
    /// Takes a leg when it ends.
    fn leg(&mut self, leg: &Leg);
    /// A ball of which it is known that it will drop, and where: asked after a contact of two balls that was told. The ball is
    /// taken off the table there and then, as if it had dropped.
    fn foretold(&mut self) -> Option<(usize, PocketId)> {
        None
    }
    /// Whether nothing that follows is of interest: asked after each event, and the shot is left there if so, its
    /// balls where they are.
    fn decided(&self) -> bool {
        false
    }
}

impl Record for () {
    const EVENTS: bool = false;
    const LEGS: bool = false;
    fn event(&mut self, _: &Event) {}
    fn leg(&mut self, _: &Leg) {}
}

/// Keeps everything.
#[derive(Clone, Debug, Default)]
pub struct Log {
    /// Events in order of time.
    pub events: Vec<Event>,
    /// Legs in order of their ends.
    pub legs: Vec<Leg>,
}

impl Log {
    /// Empties the log, keeping its memory.
    pub fn clear(&mut self) {
        self.events.clear();
        self.legs.clear();
    }
}

impl Record for Log {
    const EVENTS: bool = true;
    const LEGS: bool = true;

    fn event(&mut self, event: &Event) {
        // Ends of spin are noticed late: each goes back to its place in time.
        let mut at = self.events.len();
        while at > 0 && self.events[at - 1].t_s > event.t_s {
            at -= 1;
        }
        self.events.insert(at, *event);
    }

    fn leg(&mut self, leg: &Leg) {
        self.legs.push(*leg);
    }
}
