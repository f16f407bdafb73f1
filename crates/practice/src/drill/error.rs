//! What can be wrong with a drill file, and with a rung on a table.

#[cfg(feature = "drill-files")]
use std::ops::Range;

#[cfg(feature = "drill-files")]
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use longrail_physics::ShotError;
use longrail_stroke::StrokeError;
use thiserror::Error;

/// What is wrong with a drill file, and where.
#[cfg(feature = "drill-files")]
#[derive(Clone, Debug, Error, PartialEq)]
#[error("{file}:{line}:{column}: {message}")]
pub struct FileError {
    /// The file.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What is wrong, and what is expected.
    pub message: String,
    /// The line of the file with the place underlined, as text of several lines.
    pub shown: String,
}

#[cfg(feature = "drill-files")]
impl FileError {
    /// At the bytes `span` of `text`; the whole file if nothing is known.
    pub(super) fn new(file: &str, text: &str, span: Option<Range<usize>>, message: &str) -> Self {
        let span = span.unwrap_or(0..0);
        let fits =
            |at: usize| (0..=at.min(text.len())).rev().find(|&at| text.is_char_boundary(at)).unwrap_or(0);
        let (start, end) = (fits(span.start), fits(span.end));
        let before = text.get(..start).unwrap_or_default();
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        // A place of several lines is shown by its first.
        let line_end = text.get(start..end).and_then(|part| part.find('\n')).map_or(end, |at| start + at);
        // What a person would call the message of a parser is its first line.
        let message = message.lines().collect::<Vec<_>>().join("; ");
        let snippet = Snippet::source(text)
            .path(file)
            .annotation(AnnotationKind::Primary.span(start..line_end.max(start)).label("here"));
        let report = [Level::ERROR.primary_title(message.as_str()).element(snippet)];
        let shown = Renderer::plain().render(&report);
        Self {
            file: file.to_owned(),
            line: before.matches('\n').count() + 1,
            column: before[line_start..].chars().count() + 1,
            message,
            shown,
        }
    }
}

/// Why a rung cannot be set up on a table.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum RungError {
    /// A rung that the ladder does not have.
    #[error("there is no rung {rung} in {drill}; it has the rungs 1 to {rungs}")]
    NoSuchRung {
        /// The drill.
        drill: String,
        /// What was asked for.
        rung: f64,
        /// How many there are.
        rungs: u32,
    },
    /// The balls cannot lie so on this table.
    #[error("rung {rung} of {drill} cannot be set up on this table: {reason}")]
    NotLegal {
        /// The drill.
        drill: String,
        /// Which rung, from 1; between two of them for a finer step.
        rung: f64,
        /// What is in the way.
        reason: ShotError,
    },
    /// The goal makes no sense with these balls.
    #[error(transparent)]
    Goal(#[from] StrokeError),
}
