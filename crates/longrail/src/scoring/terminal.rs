//! The terminal: taken over, read, and given back whatever happens.

use std::io::{self, IsTerminal, Stdout, stdin, stdout};
use std::panic;
use std::sync::Arc;
use std::time::Duration;

use ratatui::Terminal;
use ratatui::backend::{Backend, CrosstermBackend};
use ratatui::crossterm::cursor::Show;
use ratatui::crossterm::event::{self, DisableBracketedPaste, EnableBracketedPaste, Event, KeyEventKind};
use ratatui::crossterm::execute;
use ratatui::crossterm::terminal::{
    EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};

use super::draw;
use super::screen::{Screen, Step};
use super::view::Desk;
use crate::exit::Failure;

/// So often the screen is drawn while nothing is pressed, so that the minutes move.
const REDRAW: Duration = Duration::from_secs(15);

/// Where keys come from.
pub(super) trait Keys {
    /// The next event, or `None` if there was none for `wait`.
    fn next(&mut self, wait: Duration) -> io::Result<Option<Event>>;
}

/// Takes over the terminal and scores until the set is over or the screen is left; returns what is left to say.
///
/// # Errors
/// If standard input or output is no terminal, or if the terminal fails. Every press before that is with the desk.
pub(crate) fn run(desk: &mut impl Desk) -> Result<Vec<String>, Failure> {
    refused(stdin().is_terminal(), stdout().is_terminal())?;
    let mut held = Held::new().map_err(|error| failure(&error))?;
    drive(&mut held.terminal, &mut Pressed, desk)
}

/// A screen needs a terminal on both ends.
pub(super) fn refused(input: bool, output: bool) -> Result<(), Failure> {
    let end = match (input, output) {
        (true, true) => return Ok(()),
        (_, false) => "output",
        (false, true) => "input",
    };
    let problem = format!("standard {end} is no terminal: enter a count, as in `longrail score 36/50`");
    Err(Failure::File(problem))
}

/// Draws, waits for a key, and hands it on, until the screen closes.
pub(super) fn drive<B: Backend>(
    terminal: &mut Terminal<B>,
    keys: &mut impl Keys,
    desk: &mut impl Desk,
) -> Result<Vec<String>, Failure> {
    let mut screen = Screen::new();
    loop {
        let view = desk.view();
        let mut size = (0, 0);
        let drawn = terminal.draw(|frame| {
            let area = frame.area();
            size = (draw::column(area).width, area.height);
            draw::draw(frame.buffer_mut(), area, &view, &screen);
        });
        drawn.map_err(|error| failure(&error))?;
        match keys.next(REDRAW).map_err(|error| failure(&error))? {
            // Some terminals also tell of keys that are held or let go: those are no attempts. Presses close together
            // all count: a link that stutters hands on in a moment what was pressed over minutes.
            Some(Event::Key(key)) if key.kind == KeyEventKind::Press => {
                if let Step::Closes(lines) = screen.key(key, size, desk) {
                    return Ok(lines);
                }
            }
            Some(Event::Paste(text)) => screen.paste(&text),
            // A new size is drawn at the next turn, which is now.
            _ => {}
        }
    }
}

fn failure(error: &impl std::fmt::Display) -> Failure {
    Failure::File(format!("the terminal: {error}. What was scored is kept; the set stays open"))
}

/// The keys of the real terminal.
struct Pressed;

impl Keys for Pressed {
    fn next(&mut self, wait: Duration) -> io::Result<Option<Event>> {
        if event::poll(wait)? { event::read().map(Some) } else { Ok(None) }
    }
}

/// What is done about a panic.
type Hook = Box<dyn Fn(&panic::PanicHookInfo<'_>) + Sync + Send>;

/// A terminal that is taken over until this is dropped.
struct Held {
    terminal: Terminal<CrosstermBackend<Stdout>>,
    /// The hook that was there before.
    before: Arc<Hook>,
}

impl Held {
    fn new() -> io::Result<Self> {
        let before = Arc::new(panic::take_hook());
        let after = Arc::clone(&before);
        // The release build ends at a panic without dropping anything.
        panic::set_hook(Box::new(move |info| {
            give_back();
            after(info);
        }));
        match take_over() {
            Ok(terminal) => Ok(Self { terminal, before }),
            Err(error) => {
                give_back();
                put_back(before);
                Err(error)
            }
        }
    }
}

impl Drop for Held {
    fn drop(&mut self) {
        give_back();
        if !std::thread::panicking() {
            put_back(Arc::clone(&self.before));
        }
    }
}

fn put_back(hook: Arc<Hook>) {
    panic::set_hook(Box::new(move |info| hook(info)));
}

fn take_over() -> io::Result<Terminal<CrosstermBackend<Stdout>>> {
    enable_raw_mode()?;
    // A paste is told as one, so that its letters do not score.
    execute!(stdout(), EnterAlternateScreen, EnableBracketedPaste)?;
    Terminal::new(CrosstermBackend::new(stdout()))
}

/// The terminal as it was. Where even that fails there is nobody left to tell.
fn give_back() {
    let _ = execute!(stdout(), DisableBracketedPaste, LeaveAlternateScreen, Show);
    let _ = disable_raw_mode();
}
