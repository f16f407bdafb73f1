//! A ladder worked out: what to intend on every rung, and what each outcome there says of a stroke.

use longrail_stroke::digest;
use longrail_stroke::infer::Surface;
use longrail_stroke::{Hit, StrokeError};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Version of the text. A text of another version is worked out again.
const VERSION: &str = "1";

/// First word of the text.
const NAME: &str = "ladder";

/// Most rungs that are read; a drill has at most 60.
const MOST_RUNGS: usize = 60;

/// The hit prescribed on a rung: it is the one that is best for the reference stroke, and the player sees it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "[f64; 6]", into = "[f64; 6]")]
pub struct Prescribed {
    /// What to intend.
    pub hit: Hit,
    /// The chance of the reference stroke with it, for one attempt.
    pub made: f64,
}

impl From<Prescribed> for [f64; 6] {
    fn from(Prescribed { hit, made }: Prescribed) -> Self {
        [hit.speed_mps, hit.direction_deg, hit.tip_right, hit.tip_up, hit.elevation_deg, made]
    }
}

impl TryFrom<[f64; 6]> for Prescribed {
    type Error = &'static str;

    fn try_from(numbers: [f64; 6]) -> Result<Self, &'static str> {
        let [speed_mps, direction_deg, tip_right, tip_up, elevation_deg, made] = numbers;
        let hit = Hit { speed_mps, direction_deg, tip_right, tip_up, elevation_deg };
        if numbers.iter().all(|number| number.is_finite()) && (0.0..=1.0).contains(&made) {
            return Ok(Self { hit, made });
        }
        Err("no hit and chance")
    }
}

/// Why a stored ladder is of no use. Whichever it is: work the ladder out again.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
#[non_exhaustive]
pub enum StoredError {
    /// Written by another version of the program.
    #[error("the stored ladder is of version {found:?}, and this program reads {VERSION}; work it out again")]
    Version {
        /// Its version.
        found: String,
    },
    /// Not what was written.
    #[error("the stored ladder is damaged; work it out again")]
    Damaged,
}

/// Why a ladder cannot be worked on.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum WorkError {
    /// The shot.
    #[error(transparent)]
    Stroke(#[from] StrokeError),
    /// What is stored is of another ladder.
    #[error("what was worked out belongs to another ladder, table, player or model; work it out again")]
    OtherKey,
}

/// A ladder, as far as it is worked out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Worked {
    key: String,
    /// Whether all hits are solved.
    pub(super) solved: bool,
    pub(super) hits: Vec<Option<Prescribed>>,
    pub(super) surfaces: Vec<Option<Surface>>,
}

impl Worked {
    /// A ladder that was worked out in another way, easiest rung first; none where no hit makes it. `key` is a name of the
    /// caller's.
    pub fn new(key: String, rungs: Vec<Option<(Prescribed, Surface)>>) -> Self {
        let (hits, surfaces) = rungs
            .into_iter()
            .map(|rung| rung.map_or((None, None), |(hit, surface)| (Some(hit), Some(surface))))
            .unzip();
        Self { key, solved: true, hits, surfaces }
    }

    /// Nothing yet, of a ladder of so many rungs.
    pub(super) fn open(key: String, rungs: usize) -> Self {
        Self { key, solved: false, hits: vec![None; rungs], surfaces: vec![None; rungs] }
    }

    /// The name of what was worked out: [`super::Posed::key`].
    pub fn key(&self) -> &str {
        &self.key
    }

    /// Number of rungs.
    pub fn rungs(&self) -> u32 {
        u32::try_from(self.hits.len()).unwrap_or(u32::MAX)
    }

    /// Whether nothing is left to do.
    pub fn is_complete(&self) -> bool {
        self.solved
            && self.hits.iter().zip(&self.surfaces).all(|(hit, surface)| hit.is_none() || surface.is_some())
    }

    /// What to intend on a rung, from 1; `None` where no hit makes it, and before all hits are solved.
    pub fn prescribed(&self, rung: u32) -> Option<&Prescribed> {
        self.hits.get(index(rung)?)?.as_ref()
    }

    /// What the outcomes on a rung, from 1, say of a stroke; `None` where no hit makes it, and before it is worked out.
    pub fn surface(&self, rung: u32) -> Option<&Surface> {
        self.surfaces.get(index(rung)?)?.as_ref()
    }

    /// The same for all rungs, easiest first.
    pub fn surfaces(&self) -> &[Option<Surface>] {
        &self.surfaces
    }

    /// As one line of text: the version, a sum of the rest, and the rest.
    pub fn encode(&self) -> String {
        // Numbers, texts and lists: writing them cannot fail, and an empty rest is refused when read.
        let rest = serde_json::to_string(self).unwrap_or_default();
        format!("{NAME} {VERSION} {} {rest}", digest::of(format_args!("{rest}")))
    }

    /// Reads what [`Self::encode`] wrote.
    ///
    /// # Errors
    /// [`StoredError`] for a text of another version, or one that was damaged: it is worked out again.
    pub fn decode(text: &str) -> Result<Self, StoredError> {
        let mut parts = text.splitn(4, ' ');
        let mut next = || parts.next().ok_or(StoredError::Damaged);
        if next()? != NAME {
            return Err(StoredError::Damaged);
        }
        let version = next()?;
        if version != VERSION {
            return Err(StoredError::Version { found: version.chars().take(20).collect() });
        }
        let (sum, rest) = (next()?, next()?);
        if sum != digest::of(format_args!("{rest}")) {
            return Err(StoredError::Damaged);
        }
        let worked: Self = serde_json::from_str(rest).map_err(|_| StoredError::Damaged)?;
        let rungs = worked.hits.len();
        if rungs != worked.surfaces.len() || rungs > MOST_RUNGS {
            return Err(StoredError::Damaged);
        }
        Ok(worked)
    }
}

/// A rung's place in a list.
fn index(rung: u32) -> Option<usize> {
    usize::try_from(rung).ok()?.checked_sub(1)
}
