//! What screens are told: the record and the guide's answers as plain words and numbers. All of it is a function of its
//! arguments.

mod evidence;
mod harder;
mod home;
mod ladder;
mod lane;
mod outlook;
mod picture;
mod profile;
mod seat;
mod today;
mod typed;

#[cfg(test)]
mod tests;

pub(crate) use evidence::{evidence, last_two};
pub(crate) use harder::price;
pub(crate) use home::{card_words, drills_in_use, open, purpose, purpose_told, size_words, what_words};
pub(crate) use ladder::ladders;
pub(crate) use profile::{card_of, player, profile_of, table};
pub(crate) use seat::{Decision, ended, score, seat};
pub(crate) use today::today;

use longrail_app_link::Begin;
use longrail_practice::drill::Setup;
use longrail_practice::event::{Aim, Task};
use longrail_stroke::infer::Parameter;

/// What begins a set of this task.
pub(crate) fn begin(task: &Task, aim: Aim) -> Begin {
    Begin {
        drill: task.drill.clone(),
        rung: Some(task.rung.to_string()),
        proof: aim == Aim::Proof,
        turned: matches!(task.setup, Setup::Turned | Setup::TurnedMirrored),
        mirrored: matches!(task.setup, Setup::Mirrored | Setup::TurnedMirrored),
        constraints: task.constraints.clone(),
        table: task.card.to_string(),
        ..Begin::default()
    }
}

/// A chance with its 80 % range.
pub(crate) fn odds(chance: Parameter) -> (f64, f64, f64) {
    (chance.mean, chance.low, chance.high)
}
