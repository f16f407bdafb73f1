//! Two devices that write events: their clocks, their numbers, their identifiers.

use longrail_math::random::Stream;
use longrail_practice::clock::Clock;
use longrail_practice::event::{Event, Head, Payload, Wall};
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use std::collections::VecDeque;

/// Minutes by which the player's local time is ahead of UTC.
const OFFSET_MIN: i16 = 60;

#[derive(Clone, Copy, Debug)]
struct Device {
    id: DeviceId,
    clock: Clock,
    sequence: u64,
}

/// What writes the events: one of two devices, at a moment.
#[derive(Clone, Debug)]
pub(super) struct Pen {
    player: PlayerId,
    devices: [Device; 2],
    /// Which of them is in hand.
    hand: usize,
    wall_ms: u64,
    stream: Stream,
    written: VecDeque<Event>,
}

impl Pen {
    pub(super) fn new(player: PlayerId, made_ms: u64, mut stream: Stream) -> Self {
        let mut device = || Device {
            id: DeviceId::new(made_ms, random(&mut stream)),
            clock: Clock::default(),
            sequence: 0,
        };
        let devices = [device(), device()];
        Self { player, devices, hand: 0, wall_ms: made_ms, stream, written: VecDeque::new() }
    }

    /// Goes on at a later moment.
    pub(super) fn at(&mut self, wall_ms: u64) {
        self.wall_ms = self.wall_ms.max(wall_ms);
    }

    /// Lets time pass.
    pub(super) fn wait(&mut self, ms: u64) {
        self.wall_ms += ms;
    }

    pub(super) const fn now(&self) -> Wall {
        Wall { ms: self.wall_ms, offset_min: OFFSET_MIN }
    }

    /// From now on, identifiers are drawn from this stream.
    pub(super) fn draw_from(&mut self, stream: Stream) {
        self.stream = stream;
    }

    /// Takes a device in hand. It has met what the other one wrote.
    pub(super) fn take(&mut self, device: usize) {
        let (before, _) = self.devices[self.hand].clock.tick(self.wall_ms);
        self.hand = device % self.devices.len();
        // Never so far ahead that it would be refused: both clocks are right.
        let _ = self.devices[self.hand].clock.witness(before, self.wall_ms);
    }

    /// Writes an event, and says what it is called.
    pub(super) fn write(&mut self, payload: Payload) -> EventId {
        let wall = self.now();
        let id = EventId::new(wall.ms, random(&mut self.stream));
        let device = &mut self.devices[self.hand];
        device.sequence += 1;
        let (clock, _) = device.clock.tick(wall.ms);
        let (player, sequence) = (self.player, device.sequence);
        let head = Head { id, player, device: device.id, author: player, clock, sequence, wall };
        self.written.push_back(Event::new(head, payload));
        id
    }

    /// Hands out what was written.
    pub(super) fn written(&mut self) -> VecDeque<Event> {
        std::mem::take(&mut self.written)
    }
}

/// Bits for an identifier.
fn random(stream: &mut Stream) -> u128 {
    (0..3).fold(0, |bits, _| bits << 32 | u128::from(stream.below(u32::MAX)))
}
