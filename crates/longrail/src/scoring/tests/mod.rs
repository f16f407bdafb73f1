//! The screen without a terminal: keys go in, cells come out.

mod drawn;
#[cfg(target_os = "linux")]
mod real;
mod scored;
mod typed;

use std::collections::VecDeque;
use std::io;
use std::time::Duration;

use longrail_practice::event::Outcome;
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::crossterm::event::{Event, KeyCode, KeyEvent};

use super::terminal::{Keys, drive};
use super::{Desk, Flow, Mark, Press, View};
use crate::exit::Failure;

/// Writes down every press; counts as a desk would.
#[derive(Default)]
struct Scripted {
    view: View,
    presses: Vec<Press>,
    /// What follows from the end of the set.
    end: Vec<String>,
}

impl Desk for Scripted {
    fn view(&mut self) -> View {
        self.view.clone()
    }

    fn press(&mut self, press: Press) -> Flow {
        self.presses.push(press);
        match press {
            Press::Attempt(outcome) => {
                self.view.made += u32::from(outcome.made());
                self.view.tried += 1;
                self.view.recent.push(Mark { outcome, warm_up: false });
                Flow::Goes
            }
            Press::EndSet => Flow::Ended(self.end.clone()),
            _ => Flow::Goes,
        }
    }
}

/// Events one after the other; then the input fails.
struct Stream(VecDeque<Event>);

impl Keys for Stream {
    fn next(&mut self, _: Duration) -> io::Result<Option<Event>> {
        self.0.pop_front().map(Some).ok_or_else(|| io::Error::other("the script is over"))
    }
}

fn press(code: KeyCode) -> Event {
    Event::Key(KeyEvent::from(code))
}

/// A key a letter.
fn letters(text: &str) -> Vec<Event> {
    text.chars().map(|letter| press(KeyCode::Char(letter))).collect()
}

/// What the screen returns, and what it shows last.
fn played(
    desk: &mut Scripted,
    events: Vec<Event>,
    (columns, rows): (u16, u16),
) -> (Result<Vec<String>, Failure>, String) {
    let mut terminal = Terminal::new(TestBackend::new(columns, rows)).unwrap();
    let outcome = drive(&mut terminal, &mut Stream(events.into()), desk);
    (outcome, shown(&terminal))
}

/// The cells as lines of text.
fn shown(terminal: &Terminal<TestBackend>) -> String {
    let buffer = terminal.backend().buffer();
    let width = usize::from(buffer.area.width);
    let lines = buffer
        .content
        .chunks(width.max(1))
        .map(|row| row.iter().map(ratatui::buffer::Cell::symbol).collect::<String>());
    lines.map(|line| line.trim_end().to_owned() + "\n").collect()
}

/// A set in the middle of a proof, with everything there is to show.
fn full() -> View {
    let marks = [
        (Outcome::Made, true),
        (Outcome::MissedLeft, true),
        (Outcome::Made, false),
        (Outcome::Missed, false),
        (Outcome::MissedRight, false),
        (Outcome::MissedNotSeen, false),
        (Outcome::Made, false),
    ];
    View {
        learner: "Ada".to_owned(),
        others: vec!["Ben".to_owned(), "Cleo".to_owned()],
        heading: "Straight draw · rung 3 of 9 · proof".to_owned(),
        table: "Table 4, 9 ft".to_owned(),
        goal: "Pot the 1, cue ball back over the line.".to_owned(),
        setup: vec!["1: 1 foot, 1 left".to_owned(), "cue ball: 3¼ foot, ¾ right".to_owned()],
        made: 24,
        tried: 37,
        sheet: Some((34, 62)),
        recent: marks.map(|(outcome, warm_up)| Mark { outcome, warm_up }).to_vec(),
        stands: "Not decided: the sheet lies between both bounds.".to_owned(),
        next: "4 makes in a row would pass.".to_owned(),
        warm_up_left: 3,
        minutes: 12,
        minutes_free: 40,
        caution: Some("A break is due.".to_owned()),
        notice: Some("took back: missed left".to_owned()),
    }
}
