//! Why a question has no answer, and what to do.

use longrail_practice::card::CardError;
use longrail_practice::constraints::ConstraintsError;
use longrail_practice::desk::Refused;
use longrail_practice::event::EventError;
use longrail_practice::guide::GuideError;
use longrail_practice::log::TooEarly;
use longrail_practice::player::ProfileError;
use longrail_stats::StatsError;
use longrail_stroke::StrokeError;
use thiserror::Error;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::DomException;

use super::shelf::Away;

/// Why a question has no answer. Nothing was changed.
#[derive(Debug, Error)]
pub(crate) enum Trouble {
    /// The browser gives no more room.
    #[error(
        "This device has no room left, so this was not kept. What was confirmed before is safe. Free some space, or save a \
         backup in Setup; then try again."
    )]
    Full,
    /// It gave no more room, and what can be computed again made some.
    #[error(
        "This device had no room left, so this was not kept. What was confirmed before is safe. Ladders that can be worked out \
         again were dropped to make room: enter it once more."
    )]
    MadeRoom,
    /// The browser's database fails.
    #[error(
        "The browser's storage failed ({0}), so this was not kept. What was confirmed before is safe. Try again; if it stays, load the page again."
    )]
    Storage(String),
    /// Nobody is here yet.
    #[error("Say first who plays.")]
    Nobody,
    /// What was asked about is not on record.
    #[error("This is not on record any more: {0}.")]
    Unknown(&'static str),
    /// It is being computed.
    #[error("{0} is still being worked out.")]
    Later(String),
    /// What cannot be, in words.
    #[error("{0}")]
    Typed(String),
    /// An event reaches back; the record is read anew.
    #[error("{0}")]
    Early(#[from] TooEarly),
}

/// What else goes wrong is only told: its words are kept, which are small whatever it was.
macro_rules! told {
    ($($error:ty),*) => {$(
        impl From<$error> for Trouble {
            #[cold]
            #[inline(never)]
            fn from(error: $error) -> Self {
                Self::Typed(error.to_string())
            }
        }
    )*};
}

told!(CardError, ConstraintsError, EventError, GuideError, ProfileError, Refused, StatsError, StrokeError);

impl From<Away> for Trouble {
    fn from(away: Away) -> Self {
        match away {
            Away::Computing(title) => Self::Later(title),
            Away::Guide(error) => error.into(),
            Away::Failed(why) => Self::Typed(why),
        }
    }
}

impl From<JsValue> for Trouble {
    fn from(value: JsValue) -> Self {
        let Some(exception) = value.dyn_ref::<DomException>() else {
            return Self::Storage(format!("{value:?}"));
        };
        if exception.name() == "QuotaExceededError" { Self::Full } else { Self::Storage(exception.message()) }
    }
}

impl From<idb::Error> for Trouble {
    fn from(error: idb::Error) -> Self {
        match error {
            idb::Error::DomException(exception) => JsValue::from(exception).into(),
            other => Self::Storage(other.to_string()),
        }
    }
}
