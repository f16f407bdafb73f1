//! Who may write what in whose record.
//!
//! The door through which an event comes in (a server, a shared device) asks; it knows the roles. The log itself takes
//! any event, since what another door let in is already a fact.

use super::{Event, Kind};

/// What an author is to the player of a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// The player.
    Player,
    /// Somebody who shares the table and enters attempts for the player.
    Scorer,
    /// The player's instructor, as the player allowed.
    Instructor,
    /// Whoever runs the server.
    Administrator,
}

/// May somebody in this role write this kind?
///
/// - What was shot: the player, a scorer, an instructor. Likewise its frame (sessions, blocks, sets), so that a clinic
///   can be scored from one device.
/// - A correction: the same; a scorer and an instructor their own events only, which the caller sees from the authors.
/// - What is decided (promotion, step back) and written for oneself (journal, study): the player.
/// - A table card may be added by whoever scores, since the table is where both stand; changed and retired by player and
///   instructor. Remarks: player and instructor.
/// - Profile: the player; an instructor for a learner without an account.
/// - Erasing: the player, and the administrator on the player's request.
pub const fn may_write(role: Role, kind: Kind) -> bool {
    use Role::{Administrator, Instructor, Player, Scorer};
    match kind {
        Kind::SessionBegan
        | Kind::SessionEnded
        | Kind::BlockBegan
        | Kind::BlockEnded
        | Kind::WarmUpDeclared
        | Kind::SetBegan
        | Kind::SetEnded
        | Kind::Attempt
        | Kind::Batch
        | Kind::CueEndNoted
        | Kind::CardAdded
        | Kind::Correction => matches!(role, Player | Scorer | Instructor),
        Kind::ProfileChanged
        | Kind::CardChanged
        | Kind::CardRetired
        | Kind::ComparisonOpened
        | Kind::Annotation => {
            matches!(role, Player | Instructor)
        }
        Kind::PromotionAccepted | Kind::StepBackAnswered | Kind::Study | Kind::JournalEntry => {
            matches!(role, Player)
        }
        Kind::PersonErased => matches!(role, Player | Administrator),
    }
}

/// Reads a line that comes from another device, if it may come in.
///
/// # Errors
/// Why it is refused, in words.
pub fn coming_in(line: &str) -> Result<Event, String> {
    let event = Event::decode(line).map_err(|error| error.to_string())?;
    may_come_in(&event)?;
    Ok(event)
}

/// Whether an event may come in from a file or another device, whose door knows no roles: what somebody decided for somebody else
/// may not.
///
/// # Errors
/// A sentence that names the kind.
fn may_come_in(event: &Event) -> Result<(), String> {
    let Some(payload) = event.payload() else { return Ok(()) };
    let kind = payload.kind();
    let own = event.head.author == event.head.player;
    if own || may_write(Role::Instructor, kind) || may_write(Role::Scorer, kind) {
        return Ok(());
    }
    Err(format!("somebody else may not write {} in a player's record", kind.name()))
}

/// May somebody in this role correct an event that `own` says was the author's own?
pub const fn may_correct(role: Role, own: bool) -> bool {
    match role {
        Role::Player => true,
        Role::Scorer | Role::Instructor => own,
        Role::Administrator => false,
    }
}

#[cfg(test)]
mod tests {
    use super::{Kind, Role, may_correct, may_write};

    const ROLES: [Role; 4] = [Role::Player, Role::Scorer, Role::Instructor, Role::Administrator];

    fn writers(kind: Kind) -> Vec<Role> {
        ROLES.into_iter().filter(|&role| may_write(role, kind)).collect()
    }

    #[test]
    fn the_player_may_write_everything_and_the_administrator_only_erases() {
        for &kind in Kind::ALL {
            assert!(may_write(Role::Player, kind), "{kind:?}");
            assert_eq!(may_write(Role::Administrator, kind), kind == Kind::PersonErased, "{kind:?}");
        }
    }

    #[test]
    fn nobody_decides_or_keeps_a_journal_for_the_player() {
        for kind in [Kind::PromotionAccepted, Kind::StepBackAnswered, Kind::JournalEntry, Kind::Study] {
            assert_eq!(writers(kind), [Role::Player]);
        }
    }

    #[test]
    fn a_scorer_enters_what_was_shot_and_corrects_only_that() {
        assert!(may_write(Role::Scorer, Kind::Attempt) && may_write(Role::Scorer, Kind::Correction));
        assert!(!may_write(Role::Scorer, Kind::Annotation) && !may_write(Role::Scorer, Kind::ProfileChanged));
        assert_eq!(ROLES.map(|role| may_correct(role, false)), [true, false, false, false]);
        assert_eq!(ROLES.map(|role| may_correct(role, true)), [true, true, true, false]);
    }
}
