//! Identifiers: UUIDs of version 7, whose first 48 bits are a time.
//!
//! Layout and text form: RFC 9562, sections 4 and 5.7.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::marker::PhantomData;
use std::str::FromStr;
use thiserror::Error;

/// Text that is no identifier.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
#[error(
    "`{0}` is no identifier: 32 hexadecimal digits in lower case with hyphens, as in \
     `017f22e2-79b0-7cc3-98c4-dc0c0c07398f`"
)]
pub struct BadId(String);

/// An identifier of a `T`: 128 bits, written as a UUID. Ordered by its bits, so roughly by the time of its making.
pub struct Id<T> {
    bits: u128,
    of: PhantomData<fn() -> T>,
}

/// Tells identifiers of people from others.
#[derive(Debug)]
pub enum Person {}
/// Tells identifiers of devices from others.
#[derive(Debug)]
pub enum Device {}
/// Tells identifiers of events from others.
#[derive(Debug)]
pub enum Fact {}

/// A player or whoever else writes events.
pub type PlayerId = Id<Person>;
/// A device, or one installation of the program on it.
pub type DeviceId = Id<Device>;
/// An event. What an event begins (a session, a block, a set, a card) is called by the event's identifier.
pub type EventId = Id<Fact>;

impl<T> Id<T> {
    /// A new identifier.
    ///
    /// `unix_ms`: the wall clock, of which the low 48 bits are kept. `random`: fresh random bits, of which 74 are kept.
    ///
    /// ```
    /// use longrail_practice::id::EventId;
    /// // The example of RFC 9562, appendix A.6.
    /// let id = EventId::new(0x017F_22E2_79B0, 0xCC3_98C4_DC0C_0C07_398F);
    /// assert_eq!(id.to_string(), "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
    /// ```
    pub const fn new(unix_ms: u64, random: u128) -> Self {
        const LOW: u128 = (1 << 62) - 1;
        let time = (unix_ms as u128 & ((1 << 48) - 1)) << 80;
        // Twelve random bits behind the version, sixty-two behind the variant.
        let high = ((random >> 64) & 0xFFF) << 64;
        Self::from_bits(time | 7 << 76 | high | 2 << 62 | random & LOW)
    }

    /// The identifier with these bits.
    pub const fn from_bits(bits: u128) -> Self {
        Self { bits, of: PhantomData }
    }

    /// Its bits.
    pub const fn bits(self) -> u128 {
        self.bits
    }
}

impl<T> fmt::Display for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let b = self.bits;
        let (time_high, time_low) = (b >> 96, (b >> 80) & 0xFFFF);
        let (version, variant, node) = ((b >> 64) & 0xFFFF, (b >> 48) & 0xFFFF, b & 0xFFFF_FFFF_FFFF);
        write!(f, "{time_high:08x}-{time_low:04x}-{version:04x}-{variant:04x}-{node:012x}")
    }
}

impl<T> FromStr for Id<T> {
    type Err = BadId;

    /// Reads the one form that [`fmt::Display`] writes: one identifier, one text.
    fn from_str(text: &str) -> Result<Self, BadId> {
        let bad = || BadId(text.chars().take(64).collect());
        let digits: String = text.chars().filter(|&c| c != '-').collect();
        let id = u128::from_str_radix(&digits, 16).map(Self::from_bits).map_err(|_| bad())?;
        if id.to_string() == text { Ok(id) } else { Err(bad()) }
    }
}

impl<T> Serialize for Id<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de, T> Deserialize<'de> for Id<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(D::Error::custom)
    }
}

// Written out, because a derive would ask the same of `T`.
impl<T> Clone for Id<T> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<T> Copy for Id<T> {}
impl<T> PartialEq for Id<T> {
    fn eq(&self, other: &Self) -> bool {
        self.bits == other.bits
    }
}
impl<T> Eq for Id<T> {}
impl<T> PartialOrd for Id<T> {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl<T> Ord for Id<T> {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.bits.cmp(&other.bits)
    }
}
impl<T> fmt::Debug for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")
    }
}

#[cfg(test)]
mod tests {
    use super::EventId;

    #[test]
    fn a_later_identifier_is_greater_whatever_the_random_bits() {
        assert!(EventId::new(1, u128::MAX) < EventId::new(2, 0));
    }

    #[test]
    fn only_the_one_text_form_is_read() {
        let good = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f";
        assert_eq!(good.parse::<EventId>().unwrap().to_string(), good);
        let bad =
            ["", "017F22E2-79B0-7CC3-98C4-DC0C0C07398F", "017f22e279b07cc398c4dc0c0c07398f", "+17f22e2-"];
        for text in bad {
            assert!(text.parse::<EventId>().is_err(), "{text}");
        }
    }
}
