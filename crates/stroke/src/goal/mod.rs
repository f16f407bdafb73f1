//! What counts as made.
//!
//! A goal is a list of wishes that must all come true. By default a scratch, a wrong ball potted and a miss of all balls
//! fail it. It is data: it can be written down as JSON and read aloud as a line of English.

mod fate;
mod judge;
mod lack;
mod names;
mod plan;
mod words;
mod zone;

pub(crate) use fate::Fates;
pub use judge::{Judge, Verdict};
pub(crate) use lack::Lack;
pub(crate) use plan::Check;
pub use plan::Plan;
pub use words::diamonds;
pub(crate) use words::from_rails;
pub use zone::Zone;

use longrail_physics::table::{PocketId, Rail};
use serde::{Deserialize, Serialize};

/// One thing that must come true.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Wish {
    /// A ball drops.
    Pot {
        /// Which ball.
        ball: String,
        /// Into which pocket; any if left out.
        #[serde(default, with = "names::some_pocket", skip_serializing_if = "Option::is_none")]
        pocket: Option<PocketId>,
        /// Over exactly so many rails; 0, the default, is straight in. A rail that the ball runs along, or touches within
        /// half a diamond of the pocket before it meets a jaw, is not counted.
        #[serde(default)]
        banks: u32,
        /// Without touching a jaw or a facing.
        #[serde(default)]
        clean: bool,
    },
    /// The cue ball meets this ball before any other.
    First {
        /// Which ball.
        ball: String,
    },
    /// The first ball is this one and is hit full, but for a part of its width.
    Full {
        /// Which ball.
        ball: String,
        /// How far off full: the offset of the cue ball's line from its middle, as a share of the distance at which it
        /// would just miss; 0 to 1.
        within: f64,
    },
    /// The cue ball touches this rail.
    Touch {
        /// Which rail.
        #[serde(with = "names::rail")]
        rail: Rail,
    },
    /// The cue ball touches so many rails (a rail twice counts twice).
    Rails {
        /// At least so many.
        #[serde(default)]
        at_least: u32,
        /// At most so many; no bound if left out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        at_most: Option<u32>,
    },
    /// The cue ball does not touch this ball.
    AvoidBall {
        /// Which ball.
        ball: String,
    },
    /// The cue ball does not touch this rail.
    AvoidRail {
        /// Which rail.
        #[serde(with = "names::rail")]
        rail: Rail,
    },
    /// The cue ball's centre passes through a zone.
    Pass {
        /// Where.
        zone: Zone,
    },
    /// The cue ball stops with its centre in a zone.
    Stop {
        /// Where.
        zone: Zone,
    },
    /// The cue ball stops near another ball, wherever that ends.
    StopNear {
        /// Which ball.
        ball: String,
        /// Most distance between the centres, in diamonds.
        diamonds: f64,
    },
    /// A ball stops near a rail: between its edge and the nose.
    Lag {
        /// Which ball; the cue ball if left out.
        #[serde(default = "names::cue")]
        ball: String,
        /// Which rail.
        #[serde(with = "names::rail")]
        rail: Rail,
        /// Most distance, in diamonds.
        diamonds: f64,
    },
    /// At the end the cue ball has no straight way to this ball: every line to any part of it is blocked.
    Hide {
        /// Which ball.
        ball: String,
    },
    /// At least so many balls drop, any of them, anywhere.
    Break {
        /// How many.
        at_least: u32,
    },
}

/// What counts as made.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Goal {
    /// All of these must come true.
    #[serde(rename = "all")]
    pub wishes: Vec<Wish>,
    /// Whether a scratch is no failure.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub scratch_counts: bool,
    /// Whether balls that no wish names may drop.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub others_may_drop: bool,
}

impl Goal {
    /// A ball into a pocket, straight in, no scratch.
    pub fn pot(ball: &str, pocket: PocketId) -> Self {
        Self::of(Wish::Pot { ball: ball.to_owned(), pocket: Some(pocket), banks: 0, clean: false })
    }

    /// One wish.
    pub fn of(wish: Wish) -> Self {
        Self { wishes: vec![wish], ..Self::default() }
    }

    /// The same and one wish more.
    #[must_use]
    pub fn and(mut self, wish: Wish) -> Self {
        self.wishes.push(wish);
        self
    }
}
