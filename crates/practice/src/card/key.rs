//! When records from a table may be held against each other.
//!
//! A [`Key`] is what a card says of all that changes odds. Like is compared with like if no two *measurements* differ by more
//! than the tolerances here. These are judgements: each is about what measuring the same table twice leaves open, and moves
//! odds by a few points at most.

use longrail_physics::Conditions;
use longrail_physics::table::PocketId;
use serde::{Deserialize, Serialize};

use super::difference::{Difference, Unit};
use super::{Card, CardError, Size};

/// Length and width: a tape read twice.
const SIZE_MM: f64 = 10.0;
/// The same where one of the two is only a name: tables that go by one name differ by two inches.
const NAMED_SIZE_MM: f64 = 60.0;
/// Mouths: a ruler, or coins, read twice.
const MOUTH_MM: f64 = 2.0;
/// Rolling friction, as a share: a stopwatch pressed twice, a cloth on a damp and on a dry day.
const CLOTH: f64 = 0.15;
/// Restitution of the rails.
const RAILS: f64 = 0.03;
/// Radius of the cue ball: what balls of one set may differ by and more (WPA: 0.127 mm across).
const RADIUS_MM: f64 = 0.25;
/// Mass of the cue ball.
const MASS_G: f64 = 5.0;

/// The like-with-like key of a card.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Key {
    /// Name and place: two cards of one name and place are one table.
    pub table: (String, String),
    /// Length and width, in metres.
    pub size_m: (f64, f64),
    /// Whether they were measured, and do not only follow from a name.
    pub size_measured: bool,
    /// Mouths in the order of the engine's pockets, in metres; none where not measured.
    pub mouths_m: [Option<f64>; 6],
    /// Rolling friction, if measured.
    pub cloth: Option<f64>,
    /// Restitution of the rails, if measured.
    pub rails: Option<f64>,
    /// Radius in metres and mass in kilograms of an odd cue ball.
    pub cue_ball: Option<(f64, f64)>,
}

/// What editing a card means for the records on it.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Records before and after may be held against each other; odds are worked out anew where a field changed.
    Keeps {
        /// What changed, in words; empty if nothing that matters.
        changed: Vec<String>,
    },
    /// It is no longer like with like: the table as it is now needs a card of its own.
    NewCard {
        /// What differs too much.
        why: Vec<Difference>,
    },
}

impl Key {
    /// What stands against holding records under the two keys against each other; nothing if like is compared with like. What
    /// is measured on one side only counts as unchanged on one and the same table, and as unknown otherwise.
    pub fn differences(&self, other: &Self) -> Vec<Difference> {
        let same = self.table == other.table;
        let mut found = Vec::new();
        let mut differ = |what: &str, a: Option<f64>, b: Option<f64>, tolerance: f64, unit: Unit| match (a, b)
        {
            (Some(a), Some(b)) if (a - b).abs() <= tolerance => {}
            (Some(a), Some(b)) => {
                let what = what.to_owned();
                found.push(Difference::Measured { what, values: (a, b), tolerance, unit });
            }
            _ if same => {}
            _ => found.push(Difference::Words(format!("{what}: not measured on both tables"))),
        };
        let mm = |value: f64| Some(1e3 * value);
        let size = if self.size_measured == other.size_measured { SIZE_MM } else { NAMED_SIZE_MM };
        differ("length", mm(self.size_m.0), mm(other.size_m.0), size, Unit::Mm(0));
        differ("width", mm(self.size_m.1), mm(other.size_m.1), size, Unit::Mm(0));
        for (id, (a, b)) in PocketId::ALL.into_iter().zip(self.mouths_m.iter().zip(&other.mouths_m)) {
            differ(&format!("mouth of {}", id.name()), a.and_then(mm), b.and_then(mm), MOUTH_MM, Unit::Mm(1));
        }
        let larger = self.cloth.unwrap_or(0.0).max(other.cloth.unwrap_or(0.0));
        differ("rolling friction of the cloth", self.cloth, other.cloth, CLOTH * larger, Unit::Plain(4));
        differ("restitution of the rails", self.rails, other.rails, RAILS, Unit::Plain(2));
        let radius = |key: &Self| key.cue_ball.map(|(radius, _)| 1e3 * radius);
        differ("radius of the cue ball", radius(self), radius(other), RADIUS_MM, Unit::Mm(2));
        let mass = |key: &Self| key.cue_ball.map(|(_, mass)| 1e3 * mass);
        differ("mass of the cue ball", mass(self), mass(other), MASS_G, Unit::Grams);
        found
    }
}

impl Card {
    /// The like-with-like key.
    ///
    /// # Errors
    /// What is wrong with the card.
    pub fn key(&self) -> Result<Key, CardError> {
        let world = self.world()?;
        let conditions: &Conditions = world.conditions();
        Ok(Key {
            table: (self.name.clone(), self.place.clone()),
            size_m: self.size_m()?,
            size_measured: matches!(self.size, Size::Measured { .. }),
            mouths_m: world.table().spec().mouths_m,
            cloth: self.cloth.map(|_| conditions.rolling_friction),
            rails: self.rails.map(|_| conditions.cushion.restitution),
            cue_ball: self.cue_ball.map(|ball| (ball.radius_m, ball.mass_kg)),
        })
    }

    /// What it means for the records if this card becomes `new`. To measure what was assumed keeps them: the table was what it
    /// is. So do a new name and a second measurement within the tolerances. Compare with the card as each part of it was first
    /// measured ([`Card::fill`]), not with the last of many small changes, which may add up.
    ///
    /// # Errors
    /// What is wrong with one of the cards.
    pub fn change(&self, new: &Self) -> Result<Change, CardError> {
        let before = self.key()?;
        // Renaming makes no other table.
        let after = Key { table: before.table.clone(), ..new.key()? };
        let why = before.differences(&after);
        if !why.is_empty() {
            return Ok(Change::NewCard { why });
        }
        let fields = [
            ("name", self.name != new.name),
            ("place", self.place != new.place),
            ("playing surface", self.size != new.size),
            ("mouths", self.mouths != new.mouths),
            ("cloth", self.cloth != new.cloth),
            ("rails", self.rails != new.rails),
            ("cue ball", self.cue_ball != new.cue_ball),
            ("potted balls", self.potted != new.potted),
            ("roll-off", self.roll_off != new.roll_off),
        ];
        let changed = fields.into_iter().filter(|(_, differs)| *differs).map(|(name, _)| name.to_owned());
        Ok(Change::Keeps { changed: changed.collect() })
    }
}
