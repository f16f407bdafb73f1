//! How a spread moves over weeks. On ln σ less is better.

/// The course of ln spread, relative to its start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Course {
    /// It stays.
    Steady,
    /// It changes evenly by this much from the first to the last session.
    Ramp(f64),
    /// It changes evenly by this much until half-way, and stays from there.
    Plateau(f64),
    /// It changes at once by this much at this session.
    Step(f64, usize),
    /// The player stops for this many days before this session and comes back changed by this much.
    LayOff {
        /// Change on the way back.
        by: f64,
        /// First session after it, from 1.
        at: usize,
        /// Days without a session.
        days: f64,
    },
}

impl Course {
    /// ln spread at session `session` (from 0) of `count`, relative to the start.
    pub fn at(self, session: usize, count: usize) -> f64 {
        // A few hundred sessions.
        #[allow(clippy::cast_precision_loss)]
        let way = session as f64 / count.max(1) as f64;
        match self {
            Self::Steady => 0.0,
            Self::Ramp(by) => by * way,
            Self::Plateau(by) => by * (2.0 * way).min(1.0),
            Self::Step(by, at) | Self::LayOff { by, at, .. } => {
                if session >= at {
                    by
                } else {
                    0.0
                }
            }
        }
    }

    /// Days before a session, `usual` but for a lay-off.
    pub fn days(self, session: usize, usual: f64) -> f64 {
        match self {
            Self::LayOff { at, days, .. } if session == at => days,
            _ => usual,
        }
    }

    /// In words.
    pub fn text(self) -> String {
        match self {
            Self::Steady => "steady".to_owned(),
            Self::Ramp(by) => format!("even change of {by:+.2}"),
            Self::Plateau(by) => format!("{by:+.2} until half-way, then a plateau"),
            Self::Step(by, at) => format!("step of {by:+.2} at session {}", at + 1),
            Self::LayOff { by, at, days } => {
                format!("{days} days off before session {}, back at {by:+.2}", at + 1)
            }
        }
    }
}
