//! One fact: who noted it, when, and what it says.
//!
//! An event is one line of JSON (here broken into lines to be read):
//! ```json
//! {"id": "017f22e2-79b0-7cc3-98c4-dc0c0c07398f", "player": "…", "device": "…", "author": "…",
//!  "clock": {"ms": 1645557742000, "count": 0}, "sequence": 17, "wall": {"ms": 1645557742000, "offset_min": 60},
//!  "schema": 1, "kind": "attempt", "body": {"set": "…", "outcome": "missed_left"}}
//! ```
//! **Known kinds are read strictly**: an unknown field is an error that names it. **Unknown kinds, and events of a newer
//! schema, are kept**: their line is stored and passed on byte for byte, so that an old device in the middle loses
//! nothing. For that the fields up to `kind` keep their names and meaning in every schema.
//!
//! To add a kind: a struct and a row in `payload.rs`, an arm in [`may`], and what it changes in [`crate::state`].

pub mod may;
mod part;
mod payload;

pub use payload::{
    Aim, Annotation, Attempt, Batch, BlockBegan, BlockEnded, CardAdded, CardChanged, CardRetired,
    ComparisonOpened, Correction, CueEnd, CueEndNoted, JournalEntry, Kind, Outcome, Payload, PersonErased,
    ProfileChanged, PromotionAccepted, Purpose, SessionBegan, SessionEnded, SetBegan, SetEnded,
    StepBackAnswered, Study, Task, WarmUpDeclared,
};

use crate::clock::{Position, Stamp};
use crate::id::{DeviceId, EventId, PlayerId};
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use thiserror::Error;

/// The schema that this program writes.
pub const SCHEMA: u32 = 1;

/// The longest line that is read, bytes. A long journal entry is a hundredth of it.
pub const LONGEST: usize = 1 << 20;

/// Why a line is no event.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
#[non_exhaustive]
pub enum EventError {
    /// The line is no JSON object with the fields of an event.
    #[error("this line is no event: {0}")]
    Head(String),
    /// The body does not have the form of its kind.
    #[error("the body of this `{kind}` event cannot be read: {why}")]
    Body {
        /// The kind.
        kind: String,
        /// What is wrong, with the name of the field.
        why: String,
    },
    /// A field holds a value that makes no sense.
    #[error("`{field}` of this `{kind}` event is {value}; it must be {allowed}")]
    Value {
        /// The kind.
        kind: &'static str,
        /// The field.
        field: &'static str,
        /// What it holds.
        value: u64,
        /// What it may hold, as it would stand behind "must be".
        allowed: &'static str,
    },
    /// The line is longer than [`LONGEST`].
    #[error("this line has {0} bytes; an event has at most {LONGEST}")]
    TooLong(usize),
}

/// What the wall clock of the device showed. It dates an event for people; it does not order it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wall {
    /// Milliseconds since 1970-01-01 UTC.
    pub ms: u64,
    /// Minutes by which local time was ahead of UTC, −1440 to 1440.
    pub offset_min: i16,
}

/// Who, when, and in what order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Head {
    /// The event.
    pub id: EventId,
    /// Whose record it belongs to.
    pub player: PlayerId,
    /// The device that wrote it.
    pub device: DeviceId,
    /// Who wrote it; the player, or somebody who scored, taught or administered.
    pub author: PlayerId,
    /// The device's hybrid clock.
    pub clock: Stamp,
    /// The device's own number of the event, from 1, rising.
    pub sequence: u64,
    /// The wall clock.
    pub wall: Wall,
}

impl Head {
    /// Where the event stands among all.
    pub const fn position(&self) -> Position {
        Position { clock: self.clock, device: self.device, sequence: self.sequence, id: self.id }
    }
}

/// What an event says.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// Something that this program understands.
    Known(Payload),
    /// Something newer. The text is the whole line.
    Opaque {
        /// Its kind.
        kind: String,
        /// The line as it came.
        text: String,
    },
}

/// An event's line taken apart, for a store that keeps what recurs only once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Written {
    /// Of a known kind.
    Known {
        /// The kind.
        kind: Kind,
        /// The set that it was shot in, for the many events of which each names one.
        set: Option<EventId>,
        /// The rest of the body as JSON.
        body: String,
    },
    /// Of a newer one: the whole line.
    Opaque(String),
}

/// One fact.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Who, when, and in what order.
    pub head: Head,
    /// What it says.
    pub body: Body,
}

/// An event as this program writes it.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Line<'a> {
    id: EventId,
    player: PlayerId,
    device: DeviceId,
    author: PlayerId,
    clock: Stamp,
    sequence: u64,
    wall: Wall,
    schema: u32,
    kind: String,
    #[serde(borrow)]
    body: &'a RawValue,
}

/// What must hold in every schema.
#[derive(Deserialize)]
struct Loose {
    id: EventId,
    player: PlayerId,
    device: DeviceId,
    author: PlayerId,
    clock: Stamp,
    sequence: u64,
    wall: Wall,
    schema: u32,
    kind: String,
}

impl Event {
    /// A new event of this program's schema.
    pub const fn new(head: Head, payload: Payload) -> Self {
        Self { head, body: Body::Known(payload) }
    }

    /// What it says, if this program understands it.
    pub const fn payload(&self) -> Option<&Payload> {
        match &self.body {
            Body::Known(payload) => Some(payload),
            Body::Opaque { .. } => None,
        }
    }

    /// The event that it takes back, if it is a correction.
    pub const fn corrects(&self) -> Option<EventId> {
        match self.payload() {
            Some(Payload::Correction(correction)) => Some(correction.of),
            _ => None,
        }
    }

    /// The name of its kind.
    pub fn kind(&self) -> &str {
        match &self.body {
            Body::Known(payload) => payload.kind().name(),
            Body::Opaque { kind, .. } => kind,
        }
    }

    /// Its line, without a line break. Equal events have equal lines.
    ///
    /// # Errors
    /// None that this program's own types can cause; a type that JSON cannot hold is told rather than lost.
    pub fn encode(&self) -> Result<String, EventError> {
        let (kind, body) = match self.written()? {
            Written::Known { kind, set, body } => (kind.name().to_owned(), part::on(set, &body).into_owned()),
            Written::Opaque(line) => return Ok(line),
        };
        let told = |error: serde_json::Error| EventError::Head(error.to_string());
        let body = RawValue::from_string(body).map_err(told)?;
        let Head { id, player, device, author, clock, sequence, wall } = self.head;
        let line =
            Line { id, player, device, author, clock, sequence, wall, schema: SCHEMA, kind, body: &body };
        serde_json::to_string(&line).map_err(told)
    }

    /// Reads a line.
    ///
    /// # Errors
    /// If it is no event, or one of a known kind with a field that is unknown, missing or impossible.
    pub fn decode(line: &str) -> Result<Self, EventError> {
        if line.len() > LONGEST {
            return Err(EventError::TooLong(line.len()));
        }
        let told = |error: serde_json::Error| EventError::Head(error.to_string());
        let loose: Loose = serde_json::from_str(line).map_err(told)?;
        let Loose { id, player, device, author, clock, sequence, wall, schema, kind } = loose;
        let head = Head { id, player, device, author, clock, sequence, wall };
        let known = Kind::from_name(&kind).filter(|_| schema <= SCHEMA);
        let Some(known) = known else {
            return Ok(Self { head, body: Body::Opaque { kind, text: line.to_owned() } });
        };
        let Line { body, .. } = serde_json::from_str(line).map_err(told)?;
        Self::read(head, known, None, body.get())
    }

    /// The event taken apart.
    ///
    /// # Errors
    /// As [`Self::encode`].
    pub fn written(&self) -> Result<Written, EventError> {
        match &self.body {
            Body::Known(payload) => {
                let body = payload.body().map_err(|error| EventError::Head(error.to_string()))?;
                let (set, body) = part::off(body);
                Ok(Written::Known { kind: payload.kind(), set, body })
            }
            Body::Opaque { text, .. } => Ok(Written::Opaque(text.clone())),
        }
    }

    /// Puts an event of a known kind together again.
    ///
    /// # Errors
    /// If the body does not have the form of its kind.
    pub fn read(head: Head, kind: Kind, set: Option<EventId>, body: &str) -> Result<Self, EventError> {
        let whole = part::on(set, body);
        let told = |error: serde_json::Error| EventError::Body {
            kind: kind.name().to_owned(),
            why: error.to_string(),
        };
        let payload = Payload::read(kind, &whole).map_err(told)?;
        payload.check()?;
        Ok(Self::new(head, payload))
    }
}

#[cfg(test)]
mod tests;
