//! What the keys mean at the moment, and what the screen itself has to say.

use ratatui::crossterm::event::{KeyCode, KeyEvent};

use super::entry::Entry;
use super::keys::{self, Asked};
use super::view::{Desk, Flow, Press, View};
use super::wrap;

/// Asked before a set ends.
const SURE: &str = "End the set? e again, any other key goes on.";

/// Said when the set goes on after all: the key that said so is no attempt.
const GOES_ON: &str = "The set goes on. That key counted nothing.";

/// Said by Tab when the learner is alone.
const ALONE: &str = "Nobody else is at this table.";

/// Returned when the screen was left and the desk has nothing to say.
const LEFT: &str = "The set stays open: the same command goes on with it.";

/// What the keys mean.
#[derive(Debug, PartialEq)]
pub(super) enum Mode {
    /// A key is an attempt.
    Scoring,
    /// Something is typed.
    Typing(Entry),
    /// The end of the set has been asked for once.
    Ending,
    /// Lines to read, beginning with this part of them.
    Reading(Reading, usize),
}

/// What there is to read.
#[derive(Debug, PartialEq)]
pub(super) enum Reading {
    /// About the keys.
    Help,
    /// The lines at the end of the set.
    End(Vec<String>),
}

impl Reading {
    /// The lines for a screen so wide.
    pub(super) fn lines(&self, columns: u16) -> Vec<String> {
        match self {
            Self::Help => keys::HELP.iter().flat_map(|line| wrap::wrap(line, columns.into())).collect(),
            Self::End(lines) => lines.iter().flat_map(|line| wrap::wrap(line, columns.into())).collect(),
        }
    }
}

/// What follows from a key.
#[derive(Debug, PartialEq)]
pub(super) enum Step {
    /// The screen stays.
    Stays,
    /// It closes, and these lines are left to say.
    Closes(Vec<String>),
}

/// The screen between two keys.
#[derive(Debug)]
pub(super) struct Screen {
    mode: Mode,
    said: Option<String>,
}

impl Screen {
    /// Ready for the first attempt.
    pub(super) const fn new() -> Self {
        Self { mode: Mode::Scoring, said: None }
    }

    /// What the keys mean.
    pub(super) const fn mode(&self) -> &Mode {
        &self.mode
    }

    /// What has to be read now, the most urgent first: a question, the screen's own word, the desk's.
    pub(super) fn messages(&self, view: &View) -> Vec<String> {
        let question = match &self.mode {
            Mode::Typing(entry) => Some(entry.line()),
            Mode::Ending => Some(SURE.to_owned()),
            Mode::Scoring | Mode::Reading(..) => None,
        };
        let word =
            if question.is_none() { self.said.as_ref().or(view.notice.as_ref()) } else { self.said.as_ref() };
        question.into_iter().chain(word.cloned()).collect()
    }

    /// Takes a key that was pressed on a screen of `columns` by `rows`.
    pub(super) fn key(&mut self, key: KeyEvent, (columns, rows): (u16, u16), desk: &mut impl Desk) -> Step {
        self.said = None;
        match std::mem::replace(&mut self.mode, Mode::Scoring) {
            Mode::Reading(Reading::End(lines), _) if keys::interrupts(key) => Step::Closes(lines),
            _ if keys::interrupts(key) => self.press(Press::Leave, desk),
            Mode::Scoring => self.score(key, desk),
            Mode::Typing(entry) => self.typed(entry, key, desk),
            Mode::Ending if keys::asked(key) == Some(Asked::End) => self.press(Press::EndSet, desk),
            Mode::Ending => {
                self.said = Some(GOES_ON.to_owned());
                Step::Stays
            }
            Mode::Reading(reading, part) => {
                let last = part + 1 >= wrap::parts(reading.lines(columns).len(), rows);
                match reading {
                    Reading::End(lines) if last => return Step::Closes(lines),
                    Reading::Help if last => {}
                    reading => self.mode = Mode::Reading(reading, part + 1),
                }
                Step::Stays
            }
        }
    }

    /// Takes text that was pasted: it can be typed, but never scores.
    pub(super) fn paste(&mut self, text: &str) {
        if let Mode::Typing(entry) = &mut self.mode {
            text.chars().for_each(|sign| entry.add(sign));
        }
    }

    fn score(&mut self, key: KeyEvent, desk: &mut impl Desk) -> Step {
        match keys::asked(key) {
            Some(Asked::Press(Press::Swap)) if desk.view().others.is_empty() => {
                self.said = Some(ALONE.to_owned());
            }
            Some(Asked::Press(press)) => return self.press(press, desk),
            Some(Asked::Type(entry)) => self.mode = Mode::Typing(entry),
            Some(Asked::End) => self.mode = Mode::Ending,
            Some(Asked::Help) => self.mode = Mode::Reading(Reading::Help, 0),
            None => {}
        }
        Step::Stays
    }

    fn typed(&mut self, mut entry: Entry, key: KeyEvent, desk: &mut impl Desk) -> Step {
        match keys::plain(key) {
            Some(KeyCode::Esc) => return Step::Stays,
            Some(KeyCode::Enter) => match entry.read() {
                Ok(press) => return self.press(press, desk),
                Err(problem) => self.said = Some(problem.to_string()),
            },
            Some(KeyCode::Backspace) => entry.erase(),
            Some(KeyCode::Char(sign)) => entry.add(sign),
            _ => {}
        }
        self.mode = Mode::Typing(entry);
        Step::Stays
    }

    fn press(&mut self, press: Press, desk: &mut impl Desk) -> Step {
        match desk.press(press) {
            Flow::Ended(lines) if press == Press::Leave => Step::Closes(lines),
            Flow::Goes if press == Press::Leave => Step::Closes(vec![LEFT.to_owned()]),
            Flow::Ended(lines) => {
                self.mode = Mode::Reading(Reading::End(lines), 0);
                Step::Stays
            }
            Flow::Goes => Step::Stays,
        }
    }
}
