//! A visit made of what there is to do: blocks of one purpose each, with rests between.
//!
//! Rest of five minutes in each half hour (study of progression, 5.3: a default, no trial sets a limit). How the rest of the time
//! is shared out is a judgement: equal shares over what the purpose puts first, none longer than [`BREAK`] minutes, and a little
//! of something new in a visit of an hour.

use super::{Proposal, Wish};
use crate::event::{Purpose, Wall};
use crate::state::State;

/// Minutes at the table after which a break is due.
pub const BREAK: u32 = 25;
/// Minutes after which an open visit was left, and not gone on with: half a day. An assumption.
pub const LEFT_MINUTES: u32 = 12 * 60;
/// Minutes of a rest.
const REST: u32 = 5;
/// Minutes after which the visit has been long.
const LONG: u32 = 60;
/// Minutes that a block has at about; the least it has.
const SHARE: u32 = 20;
const LEAST: u32 = 10;

/// What a block is filled with.
#[derive(Clone, Debug)]
pub enum Part<'a> {
    /// A set of a ladder.
    Shoot(&'a Proposal),
    /// Games.
    Games,
    /// Rest.
    Rest,
}

/// A part of a visit that is proposed.
#[derive(Clone, Debug)]
pub struct Block<'a> {
    /// How long.
    pub minutes: u32,
    /// What for; none while resting.
    pub purpose: Option<Purpose>,
    /// With what.
    pub part: Part<'a>,
}

/// The purpose of a block filled with this.
const fn purpose_of(wish: Wish) -> Purpose {
    match wish {
        Wish::Work => Purpose::DrillWork,
        Wish::Begin => Purpose::NewSkill,
        Wish::GoOn | Wish::Prove | Wish::LookAgain => Purpose::Test,
    }
}

/// What a purpose puts first.
const fn order(purpose: Purpose) -> [Wish; 5] {
    use Wish::{Begin, GoOn, LookAgain, Prove, Work};
    match purpose {
        Purpose::DrillWork | Purpose::MatchPlay => [Work, GoOn, Begin, Prove, LookAgain],
        Purpose::NewSkill => [Begin, Work, GoOn, Prove, LookAgain],
        Purpose::Test => [GoOn, Prove, LookAgain, Work, Begin],
    }
}

/// The blocks of a visit of so many minutes.
pub fn blocks(purpose: Purpose, minutes: u32, proposals: &[Proposal]) -> Vec<Block<'_>> {
    let rests = minutes.saturating_sub(LEAST) / (BREAK + REST);
    if purpose == Purpose::MatchPlay {
        return vec![Block { minutes, purpose: Some(purpose), part: Part::Games }];
    }
    let time = minutes.saturating_sub(rests * REST);
    let chosen = chosen(purpose, time, proposals);
    let alone = chosen.iter().all(|proposal| proposal.wish == Wish::Begin);
    let Some(count) = u32::try_from(chosen.len()).ok().filter(|count| *count > 0) else { return Vec::new() };
    // In steps of five minutes; what is left over goes to the first ones.
    let (each, extra) = (time / count / 5 * 5, time - time / count / 5 * 5 * count);
    let mut blocks = Vec::new();
    let (mut since, mut rested) = (0, 0);
    for (number, proposal) in (0..).zip(chosen) {
        let minutes = each + 5 * u32::from(number < extra / 5) + if number == 0 { extra % 5 } else { 0 };
        if since > 0 && since + minutes > BREAK && rested < rests {
            blocks.push(Block { minutes: REST, purpose: None, part: Part::Rest });
            (since, rested) = (0, rested + 1);
        }
        since += minutes;
        // With nothing else to do, a ladder that is begun is what the visit is for.
        let purpose = Some(if alone { purpose } else { purpose_of(proposal.wish) });
        blocks.push(Block { minutes, purpose, part: Part::Shoot(proposal) });
    }
    // A rest that found no place between two blocks is time to shoot.
    if let Some(last) = blocks.last_mut() {
        last.minutes += REST * (rests - rested);
    }
    blocks
}

/// As many proposals as the time has room for, in the order of the purpose, each ladder once per kind.
fn chosen(purpose: Purpose, time: u32, proposals: &[Proposal]) -> Vec<&Proposal> {
    let room = usize::try_from((time / SHARE).max(1)).unwrap_or(1);
    let short = time < 50;
    let work = proposals.iter().any(|proposal| proposal.wish == Wish::Work);
    let wanted = order(purpose).into_iter().flat_map(|wish| {
        // Something new beside the work takes a visit that is long enough; the first of each kind is enough for a proof.
        let most = match wish {
            Wish::Begin if !work => 2,
            Wish::Begin if purpose != Purpose::NewSkill => usize::from(!short),
            Wish::Begin | Wish::GoOn | Wish::Prove => 1,
            Wish::Work | Wish::LookAgain => 2,
        };
        proposals.iter().filter(move |proposal| proposal.wish == wish).take(most)
    });
    let mut chosen: Vec<&Proposal> = wanted.collect();
    if chosen.is_empty() {
        chosen = proposals.iter().collect();
    }
    chosen.truncate(room);
    chosen
}

/// When the last thing was noted in the open visit; none if no visit is open.
pub fn last_noted(state: &State) -> Option<Wall> {
    let (_, session) = state.open_session()?;
    let sets = state
        .sets
        .values()
        .filter(|set| set.began.as_ref().is_some_and(|(_, began)| session.blocks.contains(&began.block)));
    let noted = sets.filter_map(|set| set.last.or(set.began.as_ref().map(|(wall, _)| *wall)));
    noted.chain(session.began.as_ref().map(|(wall, _)| *wall)).max()
}

/// What to mind after so many minutes at the table.
pub fn caution(minutes: u32) -> Option<String> {
    if minutes >= LEFT_MINUTES {
        // A visit that was left, or a clock that was put forward: nobody played for so long.
        None
    } else if minutes >= LONG {
        Some(format!("{minutes} minutes: a long visit. Pain is a reason to stop for the day."))
    } else if minutes >= BREAK && minutes % BREAK < 5 {
        Some("A break is due. Pain is a reason to stop for the day.".to_owned())
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::{RungNumber, Setup};
    use crate::event::{Aim, Task};
    use crate::id::EventId;

    fn proposal(drill: &str, wish: Wish) -> Proposal {
        let task = Task {
            drill: drill.to_owned(),
            drill_version: 1,
            rung: RungNumber::FIRST,
            setup: Setup::Given,
            constraints: String::new(),
            card: EventId::from_bits(1),
        };
        Proposal {
            wish,
            task,
            aim: Aim::Work,
            title: drill.to_owned(),
            table: String::new(),
            chance: None,
            sheet: None,
            why: String::new(),
            reason: String::new(),
        }
    }

    fn several() -> Vec<Proposal> {
        [("a", Wish::GoOn), ("a", Wish::Work), ("b", Wish::Work), ("b", Wish::Prove), ("c", Wish::Begin)]
            .map(|(drill, wish)| proposal(drill, wish))
            .to_vec()
    }

    #[test]
    fn every_minute_is_given_to_something() {
        let proposals = several();
        for purpose in [Purpose::DrillWork, Purpose::NewSkill, Purpose::Test, Purpose::MatchPlay] {
            for minutes in [1, 10, 15, 30, 45, 60, 75, 90, 120, 121, 1440] {
                let blocks = blocks(purpose, minutes, &proposals);
                assert_eq!(
                    blocks.iter().map(|block| block.minutes).sum::<u32>(),
                    minutes,
                    "{minutes} {purpose:?}"
                );
                assert!(blocks.iter().all(|block| block.minutes > 0), "{minutes} {purpose:?}");
            }
        }
    }

    #[test]
    fn the_purpose_comes_first_and_an_hour_has_one_rest() {
        let proposals = several();
        let hour = blocks(Purpose::DrillWork, 60, &proposals);
        assert_eq!(hour[0].purpose, Some(Purpose::DrillWork));
        assert_eq!(hour.iter().filter(|block| matches!(block.part, Part::Rest)).count(), 1);
        assert_eq!(blocks(Purpose::Test, 60, &proposals)[0].purpose, Some(Purpose::Test));
        assert_eq!(blocks(Purpose::NewSkill, 20, &proposals)[0].purpose, Some(Purpose::NewSkill));
    }

    #[test]
    fn with_nothing_to_do_there_is_no_block() {
        assert!(blocks(Purpose::DrillWork, 60, &[]).is_empty());
    }
}
