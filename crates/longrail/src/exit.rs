//! Exit codes, and the one line that goes with them.

use std::io::Write;
use std::process::ExitCode;

use longrail_physics::ShotError;
use longrail_physics::json::Refusal;
use longrail_practice::desk::Refused;
use longrail_practice::guide::GuideError;
use longrail_stats::StatsError;
use longrail_store::StoreError;
use longrail_stroke::StrokeError;
use longrail_stroke::json::PosedError;
use thiserror::Error;

/// The codes, for `--help`.
pub(crate) const CODES: &str = "\
Exit codes:
  0  done
  2  the command line is wrong
  3  the input is wrong: not JSON, an unknown or missing field, a value out of range, an impossible layout,
     a count that cannot be, something that does not fit into the record
  4  the stroke cannot be played: a miscue, no way to lay the cue, or no hit that makes the goal
  5  a file or the record cannot be read or written, or an address cannot be served at
  6  the engine or the calibration gave up (please report it)
  130  a second Ctrl-C ended a map at once";

/// Why a command failed.
#[derive(Debug, Error)]
pub(crate) enum Failure {
    /// A shot that is refused.
    #[error("{0}")]
    Shot(#[from] Refusal),
    /// A question about counts that has no answer.
    #[error("{0}")]
    Statistics(#[from] StatsError),
    /// A goal that no hit makes.
    #[error("{0}")]
    OutOfReach(String),
    /// Something typed that cannot be read.
    #[error("{0}")]
    Input(String),
    /// A file or stream.
    #[error("{0}")]
    File(String),
    /// An address that cannot be served at.
    #[error("{0}")]
    Address(String),
    /// What does not fit into the record.
    #[error("{0}")]
    Refused(#[from] Refused),
    /// The store.
    #[error("{error}{hint}", error = .0, hint = rescue(.0))]
    Store(#[from] StoreError),
    /// Simulated players that the statistics refused.
    #[error("the calibration failed: {0}")]
    Calibration(String),
    /// No way to watch for Ctrl-C.
    #[error("Ctrl-C cannot be watched: {0}")]
    Interrupt(String),
    /// A picture that could not be drawn.
    #[error("the picture could not be drawn: {0}")]
    Picture(String),
}

/// What to type where a record is damaged.
fn rescue(error: &StoreError) -> String {
    match error {
        StoreError::Damaged(place) => format!(": `longrail record rescue {place} NEW.db`"),
        _ => String::new(),
    }
}

impl From<StrokeError> for Failure {
    fn from(error: StrokeError) -> Self {
        match error {
            StrokeError::Shot(error) => error.into(),
            other @ StrokeError::OutOfReach { .. } => Self::OutOfReach(other.to_string()),
            other => Self::Input(other.to_string()),
        }
    }
}

impl From<PosedError> for Failure {
    fn from(error: PosedError) -> Self {
        match error {
            PosedError::Form(what) => Self::Input(what),
            PosedError::Shot(refusal) => Self::Shot(refusal),
            PosedError::Stroke(error) => error.into(),
        }
    }
}

impl From<ShotError> for Failure {
    fn from(error: ShotError) -> Self {
        Self::Shot(Refusal::Shot(error))
    }
}

impl From<GuideError> for Failure {
    fn from(error: GuideError) -> Self {
        match error {
            GuideError::NoProfile => {
                Self::Input("this record has no name yet: `longrail player change --name NAME`".to_owned())
            }
            GuideError::NoDrill(id) => Self::Input(format!(
                "there is no drill {id:?}; `longrail drills` lists them, and a file of your own ends in .toml"
            )),
            GuideError::Stroke(error) => error.into(),
            GuideError::Stats(error) => error.into(),
            other => Self::Input(other.to_string()),
        }
    }
}

impl Failure {
    fn code(&self) -> u8 {
        match self {
            Self::Shot(Refusal::Shot(ShotError::Miscue { .. } | ShotError::Cueing { .. }))
            | Self::OutOfReach(_) => 4,
            Self::Shot(Refusal::Shot(ShotError::Stalled { .. } | ShotError::TooManyEvents { .. }))
            | Self::Picture(_)
            | Self::Calibration(_)
            | Self::Interrupt(_) => 6,
            Self::Shot(_) | Self::Statistics(_) | Self::Input(_) | Self::Refused(_) => 3,
            Self::File(_) | Self::Address(_) | Self::Store(_) => 5,
        }
    }

    /// One line on standard error, and the code.
    pub(crate) fn report(&self) -> ExitCode {
        // If even standard error is closed there is nobody to tell.
        let _ = writeln!(std::io::stderr(), "longrail: {self}");
        ExitCode::from(self.code())
    }
}
