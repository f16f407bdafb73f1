//! Who is here, and what is open.

use std::collections::BTreeSet;

use longrail_app_link::{Open, Purpose};
use longrail_physics::table::Size as Named;
use longrail_practice::card::{Card, Size};
use longrail_practice::event::{self, Outcome, Wall};
use longrail_practice::measure::INCH_M;
use longrail_practice::state::{State, What};

use crate::record::Shelf;

/// A purpose as the record has it.
pub(crate) const fn purpose(purpose: Purpose) -> event::Purpose {
    match purpose {
        Purpose::DrillWork => event::Purpose::DrillWork,
        Purpose::NewSkill => event::Purpose::NewSkill,
        Purpose::Test => event::Purpose::Test,
        Purpose::MatchPlay => event::Purpose::MatchPlay,
    }
}

pub(crate) const fn purpose_told(purpose: event::Purpose) -> Purpose {
    match purpose {
        event::Purpose::DrillWork => Purpose::DrillWork,
        event::Purpose::NewSkill => Purpose::NewSkill,
        event::Purpose::Test => Purpose::Test,
        event::Purpose::MatchPlay => Purpose::MatchPlay,
    }
}

/// "9 ft, 254 by 127 cm".
pub(crate) fn size_words(size: &Named, imperial: bool) -> String {
    let name = size.name.replacen("ft", " ft", 1).replace("-oversize", " oversize").replace('-', ", ");
    let (unit, in_m) = if imperial { ("in", INCH_M) } else { ("cm", 0.01) };
    format!("{name}: {:.0} by {:.0} {unit}", size.length_m / in_m, size.width_m / in_m)
}

/// "9 ft, the club".
pub(crate) fn card_words(card: &Card, imperial: bool) -> String {
    let size = match &card.size {
        Size::Named(name) => name.replacen("ft", " ft", 1),
        Size::Measured { length_m, width_m } => {
            let (unit, in_m) = if imperial { ("in", INCH_M) } else { ("cm", 0.01) };
            format!("{:.0} by {:.0} {unit}", length_m / in_m, width_m / in_m)
        }
    };
    if card.place.is_empty() { size } else { format!("{size}, {}", card.place) }
}

/// The open visit, which may have been left.
pub(crate) fn open(state: &State, shelf: &Shelf, left: bool) -> Option<Open> {
    let (_, session) = state.open_session()?;
    let (began, what) = session.began.as_ref()?;
    let block = session.blocks.last().and_then(|block| state.blocks.get(block)?.began.as_ref());
    let set = state.set_now().and_then(|(_, set)| {
        let (_, began) = set.began.as_ref()?;
        let title = shelf.drill_of(&began.task.drill).map_or(began.task.drill.as_str(), |drill| &drill.title);
        let count = set.count();
        Some(format!("{title}, rung {}: {} of {}", began.task.rung, count.made(), count.tried()))
    });
    Some(Open {
        purpose: purpose_told(block.map_or(what.purpose, |(_, began)| began.purpose)),
        began_ms: ms(*began),
        minutes: what.minutes_free,
        left,
        set: set.unwrap_or_default(),
    })
}

/// A moment as JavaScript has it: exact below 2^53.
#[allow(clippy::cast_precision_loss)]
pub(crate) const fn ms(wall: Wall) -> f64 {
    wall.ms as f64
}

/// Drills on which something was shot, of all.
pub(crate) fn drills_in_use(state: &State, shelf: &Shelf) -> (u32, u32) {
    let used: BTreeSet<&str> = state
        .tasks()
        .filter(|(_, shots)| shots.tally.tried() > 0)
        .map(|(task, _)| task.drill.as_str())
        .collect();
    let count = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
    (count(used.len()), count(shelf.drills().count()))
}

/// An entry in words.
pub(crate) fn what_words(what: What) -> String {
    match what {
        What::Batch { made, tried } => format!("{made} of {tried}"),
        What::Attempt { outcome, .. } => match outcome {
            Outcome::Made => "made",
            Outcome::Missed => "missed",
            Outcome::MissedLeft => "missed left",
            Outcome::MissedRight => "missed right",
            Outcome::MissedNotSeen => "missed, side not seen",
        }
        .to_owned(),
    }
}
