//! An event as a row: numbers for identifiers that recur, and what is left of its body.

use crate::StoreError;
use longrail_practice::clock::{Position, Stamp};
use longrail_practice::event::{Event, EventError, Head, Kind, Wall, Written};
use longrail_practice::id::{DeviceId, EventId, Id, PlayerId};
use std::collections::BTreeMap;

/// The text that reads events: the place, the columns of the table in their order, and the names that three of them stand
/// for. Behind it, `e` is the table.
macro_rules! select {
    ($rest:literal) => {
        concat!(
            "SELECT e.place, e.id_high, e.id_low, e.device, e.author, e.sequence, e.clock_ms, e.clock_count, e.wall_ms, \
             e.wall_offset_min, e.kind, e.set_number, e.body, e.line, d.uuid, a.uuid, s.uuid FROM event AS e \
             LEFT JOIN name AS d ON d.player_id = e.player_id AND d.number = e.device \
             LEFT JOIN name AS a ON a.player_id = e.player_id AND a.number = e.author \
             LEFT JOIN name AS s ON s.player_id = e.player_id AND s.number = e.set_number ",
            $rest
        )
    };
}
pub(crate) use select;

/// An event as the table has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Row {
    pub(crate) id_high: i64,
    pub(crate) id_low: i64,
    pub(crate) device: i64,
    pub(crate) author: i64,
    pub(crate) sequence: i64,
    pub(crate) clock_ms: i64,
    pub(crate) clock_count: i64,
    pub(crate) wall_ms: i64,
    pub(crate) wall_offset_min: i64,
    pub(crate) kind: String,
    pub(crate) set_number: Option<i64>,
    pub(crate) body: Option<String>,
    pub(crate) line: Option<String>,
}

/// An event taken apart, once: what it names that recurs (device, author, and its set), and what is left of it.
pub(crate) struct Parts {
    device: u128,
    author: u128,
    set: Option<u128>,
    body: Option<String>,
    line: Option<String>,
}

/// The identifiers that numbers stand for, in one player's record.
pub(crate) type Numbered = BTreeMap<i64, u128>;

/// An identifier's halves, each less 2^63: as signed numbers they are ordered as the identifiers are.
pub(crate) const fn halves<T>(id: Id<T>) -> (i64, i64) {
    // The lower 64 bits of either; the highest of them turned.
    #[allow(clippy::cast_possible_truncation)]
    const fn half(bits: u128) -> i64 {
        (bits as u64 ^ 1 << 63).cast_signed()
    }
    (half(id.bits() >> 64), half(id.bits()))
}

fn whole(high: i64, low: i64) -> EventId {
    let half = |half: i64| u128::from(half.cast_unsigned() ^ 1 << 63);
    EventId::from_bits(half(high) << 64 | half(low))
}

impl Parts {
    pub(crate) fn of(event: &Event) -> Result<Self, StoreError> {
        let (set, body, line) = match event.written()? {
            Written::Known { set, body, .. } => (set.map(Id::bits), Some(body), None),
            Written::Opaque(line) => (None, None, Some(line)),
        };
        Ok(Self { device: event.head.device.bits(), author: event.head.author.bits(), set, body, line })
    }

    pub(crate) fn names(&self) -> impl Iterator<Item = u128> + use<> {
        [Some(self.device), Some(self.author), self.set].into_iter().flatten()
    }
}

impl Row {
    /// The row of an event with these parts, whose names have these numbers.
    ///
    /// # Errors
    /// [`StoreError::Number`] for a number that no column holds.
    pub(crate) fn of(
        event: &Event,
        parts: &Parts,
        numbers: &BTreeMap<u128, i64>,
    ) -> Result<Self, StoreError> {
        let head = &event.head;
        let fits = |number: u64| i64::try_from(number).map_err(|_| StoreError::Number(head.id));
        let number = |name: u128| numbers.get(&name).copied().ok_or(StoreError::Number(head.id));
        let (id_high, id_low) = halves(head.id);
        Ok(Self {
            id_high,
            id_low,
            device: number(parts.device)?,
            author: number(parts.author)?,
            sequence: fits(head.sequence)?,
            clock_ms: fits(head.clock.ms)?,
            clock_count: head.clock.count.into(),
            wall_ms: fits(head.wall.ms)?,
            wall_offset_min: head.wall.offset_min.into(),
            kind: event.kind().to_owned(),
            set_number: parts.set.map(number).transpose()?,
            body: parts.body.clone(),
            line: parts.line.clone(),
        })
    }

    /// The event.
    ///
    /// # Errors
    /// If the row is damaged, or a number has no name.
    pub(crate) fn event(&self, player: PlayerId, names: &Numbered) -> Result<Event, EventError> {
        let event = match (&self.line, &self.body) {
            (Some(line), _) => Event::decode(line)?,
            (None, Some(body)) => {
                let kind = Kind::from_name(&self.kind)
                    .ok_or_else(|| EventError::Head(format!("`{}` is no kind of event", self.kind)))?;
                let set = self.set_number.map(|number| named(names, number)).transpose()?;
                Event::read(self.head(player, names)?, kind, set.map(EventId::from_bits), body)?
            }
            (None, None) => return Err(EventError::Head("its row has neither body nor line".to_owned())),
        };
        // What is searched for must be what is found.
        if event.head == self.head(player, names)? {
            Ok(event)
        } else {
            Err(EventError::Head("its line and the columns beside it differ".to_owned()))
        }
    }

    fn head(&self, player: PlayerId, names: &Numbered) -> Result<Head, EventError> {
        let damaged = |what: &str| EventError::Head(format!("the column {what} of its row is damaged"));
        let ms = |value: i64, what| u64::try_from(value).map_err(|_| damaged(what));
        let count = u32::try_from(self.clock_count).map_err(|_| damaged("clock_count"))?;
        let offset_min = i16::try_from(self.wall_offset_min).map_err(|_| damaged("wall_offset_min"))?;
        Ok(Head {
            id: whole(self.id_high, self.id_low),
            player,
            device: DeviceId::from_bits(named(names, self.device)?),
            author: PlayerId::from_bits(named(names, self.author)?),
            clock: Stamp { ms: ms(self.clock_ms, "clock_ms")?, count },
            sequence: ms(self.sequence, "sequence")?,
            wall: Wall { ms: ms(self.wall_ms, "wall_ms")?, offset_min },
        })
    }
}

fn named(names: &Numbered, number: i64) -> Result<u128, EventError> {
    names
        .get(&number)
        .copied()
        .ok_or_else(|| EventError::Head(format!("nothing is called by number {number}")))
}

/// Where a clock stands, as the columns have it.
///
/// # Errors
/// [`StoreError::Number`] for a number that no column holds.
pub(crate) fn clock_of(position: &Position) -> Result<(i64, i64), StoreError> {
    let ms = i64::try_from(position.clock.ms).map_err(|_| StoreError::Number(position.id))?;
    Ok((ms, position.clock.count.into()))
}

#[cfg(test)]
mod tests {
    use super::{halves, whole};
    use longrail_practice::id::EventId;

    #[test]
    fn halves_keep_the_order_of_identifiers_and_come_back() {
        let bits = [0, 1, u128::from(u64::MAX), 1 << 64, 1 << 127, u128::MAX - 1, u128::MAX];
        for pair in bits.windows(2) {
            let [a, b] = [pair[0], pair[1]].map(|bits| halves(EventId::from_bits(bits)));
            assert!(a < b, "{pair:?}");
            assert_eq!(whole(a.0, a.1).bits(), pair[0]);
        }
    }
}
