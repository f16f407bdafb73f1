//! What events say, kind by kind.

use super::EventError;
use crate::card::Card;
use crate::drill::{RungNumber, Setup};
use crate::id::EventId;
use crate::player::Profile;
use longrail_stroke::infer::Seen;
use serde::{Deserialize, Serialize};

/// Makes the enum of kinds, that of payloads, and the way between them, from one list.
macro_rules! kinds {
    ($($(#[$doc:meta])* $name:literal => $variant:ident),* $(,)?) => {
        /// The kinds of events. Their names are part of the format and never change.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Kind { $($(#[$doc])* $variant),* }

        /// What an event says.
        #[derive(Clone, Debug, PartialEq)]
        pub enum Payload { $($(#[$doc])* $variant($variant)),* }

        impl Kind {
            /// Every kind.
            pub const ALL: &[Self] = &[$(Self::$variant),*];

            /// Its name in the log.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$variant => $name),* }
            }

            /// The kind of this name.
            pub fn from_name(name: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|kind| kind.name() == name)
            }
        }

        impl Payload {
            /// Its kind.
            pub const fn kind(&self) -> Kind {
                match self { $(Self::$variant(_) => Kind::$variant),* }
            }

            /// Its JSON.
            pub(super) fn body(&self) -> Result<String, serde_json::Error> {
                match self { $(Self::$variant(body) => serde_json::to_string(body)),* }
            }

            /// Reads the JSON of a payload of this kind.
            pub(super) fn read(kind: Kind, body: &str) -> Result<Self, serde_json::Error> {
                match kind { $(Kind::$variant => serde_json::from_str(body).map(Self::$variant)),* }
            }
        }
    };
}

kinds! {
    /// A player was named, or the profile changed.
    "profile_changed" => ProfileChanged,
    /// A table card was added; it is called by this event's identifier.
    "card_added" => CardAdded,
    /// A table card changed in a way that keeps results comparable.
    "card_changed" => CardChanged,
    /// A table card is no longer offered.
    "card_retired" => CardRetired,
    /// A visit to the table began; it is called by this event's identifier.
    "session_began" => SessionBegan,
    /// A visit ended.
    "session_ended" => SessionEnded,
    /// A part of a visit began; it is called by this event's identifier.
    "block_began" => BlockBegan,
    /// A part of a visit ended.
    "block_ended" => BlockEnded,
    /// The next attempts of a set are warm-up; said before they were shot.
    "warm_up_declared" => WarmUpDeclared,
    /// Attempts at one task began; the set is called by this event's identifier.
    "set_began" => SetBegan,
    /// A set ended.
    "set_ended" => SetEnded,
    /// One attempt.
    "attempt" => Attempt,
    /// Several attempts, entered as one count.
    "batch" => Batch,
    /// Where the cue ball ended in an attempt that is noted already.
    "cue_end_noted" => CueEndNoted,
    /// An earlier event was a mistake.
    "correction" => Correction,
    /// The player accepted a promotion.
    "promotion_accepted" => PromotionAccepted,
    /// The player answered the advice to step back.
    "step_back_answered" => StepBackAnswered,
    /// Two parts of the record are held against each other; noted before the result is shown, since each one raises the bar.
    "comparison_opened" => ComparisonOpened,
    /// A remark on an earlier event.
    "annotation" => Annotation,
    /// Study away from the table.
    "study" => Study,
    /// An entry of the journal.
    "journal_entry" => JournalEntry,
    /// A person's record was erased.
    "person_erased" => PersonErased,
}

/// What a block is for. Exactly one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Purpose {
    /// Work on a drill.
    DrillWork,
    /// Something new.
    NewSkill,
    /// Finding out where one stands.
    Test,
    /// Games.
    MatchPlay,
}

/// The profile, whole.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProfileChanged {
    /// The profile from now on.
    pub profile: Box<Profile>,
}

/// A new table card.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CardAdded {
    /// The card.
    pub card: Box<Card>,
}

/// A card, whole, in place of what it was.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CardChanged {
    /// Which card.
    pub of: EventId,
    /// The card from now on.
    pub card: Box<Card>,
}

/// A card that is no longer offered; what was shot on it stays.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CardRetired {
    /// Which card.
    pub of: EventId,
}

/// The beginning of a visit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SessionBegan {
    /// What the visit is for.
    pub purpose: Purpose,
    /// Minutes at hand, 1 to 1440.
    pub minutes_free: u32,
    /// The table, if it is known already.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub card: Option<EventId>,
}

/// The end of a visit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SessionEnded {
    /// Which visit.
    pub session: EventId,
    /// How well the mind was on it, 1 to 5.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub focus: Option<u8>,
    /// One line on it; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub line: String,
}

/// The beginning of a block.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BlockBegan {
    /// Of which visit.
    pub session: EventId,
    /// What for.
    pub purpose: Purpose,
}

/// The end of a block.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BlockEnded {
    /// Which block.
    pub block: EventId,
}

/// Warm-up, declared beforehand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WarmUpDeclared {
    /// In which set.
    pub set: EventId,
    /// The next attempts of it that are left out, 1 to 10.
    pub attempts: u32,
}

/// What is attempted: with the player, the key of evidence. Counts of different tasks are never added up.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Task {
    /// The drill's name.
    pub drill: String,
    /// The drill's version.
    pub drill_version: u32,
    /// The rung.
    pub rung: RungNumber,
    /// The corner at which it is set up.
    pub setup: Setup,
    /// The constraints in the one text that [`crate::constraints::Constraints`] has; empty for none.
    pub constraints: String,
    /// The table card.
    pub card: EventId,
}

impl Task {
    /// What all tasks of one ladder share: the same at its first rung.
    #[must_use]
    pub fn ladder(&self) -> Self {
        Self { rung: RungNumber::FIRST, ..self.clone() }
    }
}

/// What a set is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Aim {
    /// Its attempts go on the sheet of its task.
    Proof,
    /// It feeds the stroke and never promotes.
    Work,
}

/// The beginning of a set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetBegan {
    /// In which block.
    pub block: EventId,
    /// What is attempted.
    pub task: Task,
    /// What for.
    pub aim: Aim,
}

/// The end of a set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SetEnded {
    /// Which set.
    pub set: EventId,
}

/// How an attempt went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// The goal was made.
    Made,
    /// It was not; nobody asked on which side.
    Missed,
    /// Missed, to the left of the pocket's centre as seen from the object ball towards the pocket.
    MissedLeft,
    /// Missed, to the right of it.
    MissedRight,
    /// Missed, and the side was asked for but not seen.
    MissedNotSeen,
}

impl Outcome {
    /// Was the goal made?
    pub const fn made(self) -> bool {
        matches!(self, Self::Made)
    }

    /// What a stroke is inferred from. Where a ball missed its pocket, that says more than where the cue ball went.
    pub const fn seen(self, cue_end: Option<CueEnd>) -> Seen {
        match (self, cue_end) {
            (Self::Made, _) => Seen::Made,
            (Self::MissedLeft, _) => Seen::Left,
            (Self::MissedRight, _) => Seen::Right,
            (Self::MissedNotSeen, None) => Seen::Missed,
            (Self::Missed, None) => Seen::Failed,
            (_, Some(CueEnd::Short)) => Seen::Short,
            (_, Some(CueEnd::Long)) => Seen::Long,
            (_, Some(CueEnd::Off)) => Seen::Off,
        }
    }
}

/// Where the cue ball ended, against where it should have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CueEnd {
    /// Too short.
    Short,
    /// Too long.
    Long,
    /// Off to a side.
    Off,
}

/// One try.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Attempt {
    /// In which set.
    pub set: EventId,
    /// How it went.
    pub outcome: Outcome,
    /// Where the cue ball ended, if it missed its place and somebody noted it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cue_end: Option<CueEnd>,
}

/// Where the cue ball ended in an attempt, noted after the attempt itself so that it never holds up the next one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CueEndNoted {
    /// In which set.
    pub set: EventId,
    /// Which attempt.
    pub of: EventId,
    /// Where it ended. The last note counts.
    pub cue_end: CueEnd,
}

/// A count of tries, looked at once.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Batch {
    /// In which set.
    pub set: EventId,
    /// Made, up to `tried`.
    pub made: u32,
    /// Tried, 1 to 10000.
    pub tried: u32,
}

/// An earlier event of the same record does not count. A correction cannot be corrected: note the fact anew.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Correction {
    /// Which event.
    pub of: EventId,
}

/// A promotion that the player accepted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PromotionAccepted {
    /// On what.
    pub task: Task,
    /// Made on the sheet, as the device saw it then, without warm-up.
    pub made: u32,
    /// Tried on the sheet, as the device saw it then, without warm-up.
    pub tried: u32,
}

/// An answer to the advice to step back.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepBackAnswered {
    /// On what.
    pub task: Task,
    /// Stepped back (true) or stayed (false).
    pub accepted: bool,
}

/// What is compared.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ComparisonOpened {
    /// The two parts in one text; the same text is the same comparison, however often it is looked at.
    pub what: String,
}

/// A remark.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Annotation {
    /// On which event.
    pub of: EventId,
    /// The remark.
    pub text: String,
}

/// Study away from the table.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Study {
    /// How long, 1 to 1440 minutes.
    pub minutes: u32,
    /// One line on it; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub line: String,
}

/// What the player wrote about a day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JournalEntry {
    /// What went on.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub went_on: String,
    /// What worked.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub worked: String,
    /// What comes next.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub next: String,
    /// For the player's eyes only; true unless it says otherwise.
    #[serde(default = "yes")]
    pub private: bool,
}

const fn yes() -> bool {
    true
}

/// The end of a record. All that is left of it is this event, which tells nothing but that there was one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PersonErased {}

/// Minutes in a day.
const DAY: u32 = 24 * 60;

impl Payload {
    /// Ranges that the types cannot hold.
    pub(super) fn check(&self) -> Result<(), EventError> {
        let kind = self.kind().name();
        let within = |field, value: u32, least: u32, most: u32, allowed| {
            let value_is_fine = (least..=most).contains(&value);
            if value_is_fine {
                Ok(())
            } else {
                Err(EventError::Value { kind, field, value: value.into(), allowed })
            }
        };
        match self {
            Self::SessionBegan(x) => within("minutes_free", x.minutes_free, 1, DAY, "1 to 1440"),
            Self::SessionEnded(x) => within("focus", x.focus.unwrap_or(1).into(), 1, 5, "1 to 5"),
            Self::WarmUpDeclared(x) => {
                within("attempts", x.attempts, 1, longrail_stats::promotion::WARM_UP, "1 to 10")
            }
            Self::PromotionAccepted(x) => within("made", x.made, 0, x.tried, "at most `tried`"),
            Self::Batch(x) => within("tried", x.tried, 1, 10_000, "1 to 10000")
                .and_then(|()| within("made", x.made, 0, x.tried, "at most `tried`")),
            Self::Study(x) => within("minutes", x.minutes, 1, DAY, "1 to 1440"),
            _ => Ok(()),
        }
    }
}
