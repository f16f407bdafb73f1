//! What one key asks for while attempts are scored.

use longrail_practice::event::{CueEnd, Outcome};
use ratatui::crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

use super::entry::Entry;
use super::view::Press;

/// What a key asks for.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Asked {
    /// Something for the desk.
    Press(Press),
    /// To type something.
    Type(Entry),
    /// To end the set.
    End,
    /// To read about the keys.
    Help,
}

/// The keys and the marks, as the help page says them. No line is wider than 40 columns.
pub(super) const HELP: [&str; 18] = [
    "Enter, space   made",
    "←              missed, passed left",
    "→              missed, passed right",
    "↓              missed, side not seen",
    "m              missed, nobody asked",
    "PgUp, PgDn     made, missed",
    "Backspace, u   take back the last",
    "s, l, o        cue ball short, long, off",
    "b              enter a count, as 36/50",
    "w              warm-up, 1 to 10 attempts",
    "Tab            next learner",
    "e              end the set",
    "q, Esc         leave; the set stays open",
    "?              this page",
    "",
    "● made         ○ missed",
    "‹○ left        ○› right",
    "○? not seen    ( ) warm-up",
];

/// Does this key leave at once, whatever is on the screen?
pub(super) fn interrupts(key: KeyEvent) -> bool {
    key.code == KeyCode::Char('c') && key.modifiers.contains(KeyModifiers::CONTROL)
}

/// The key with what terminals make of it undone: a telephone's keyboard begins with a capital, and some terminals send
/// Ctrl-J for Enter and Ctrl-H for Backspace. `None` for other keys held with Control, Alt and the like.
pub(super) fn plain(key: KeyEvent) -> Option<KeyCode> {
    match (key.code, key.modifiers.difference(KeyModifiers::SHIFT)) {
        (KeyCode::Char('j'), KeyModifiers::CONTROL) => Some(KeyCode::Enter),
        (KeyCode::Char('h'), KeyModifiers::CONTROL) => Some(KeyCode::Backspace),
        (KeyCode::Char(letter), KeyModifiers::NONE) => Some(KeyCode::Char(letter.to_ascii_lowercase())),
        (code, KeyModifiers::NONE) => Some(code),
        _ => None,
    }
}

/// What `key` asks for; `None` if nothing.
pub(super) fn asked(key: KeyEvent) -> Option<Asked> {
    if interrupts(key) {
        return Some(Asked::Press(Press::Leave));
    }
    let press = match plain(key)? {
        KeyCode::Enter | KeyCode::Char(' ') | KeyCode::PageUp => Press::Attempt(Outcome::Made),
        KeyCode::Left => Press::Attempt(Outcome::MissedLeft),
        KeyCode::Right => Press::Attempt(Outcome::MissedRight),
        KeyCode::Down => Press::Attempt(Outcome::MissedNotSeen),
        KeyCode::Char('m') | KeyCode::PageDown => Press::Attempt(Outcome::Missed),
        KeyCode::Backspace | KeyCode::Char('u') => Press::Undo,
        KeyCode::Char('s') => Press::CueEnd(CueEnd::Short),
        KeyCode::Char('l') => Press::CueEnd(CueEnd::Long),
        KeyCode::Char('o') => Press::CueEnd(CueEnd::Off),
        KeyCode::Tab => Press::Swap,
        KeyCode::Char('q') | KeyCode::Esc => Press::Leave,
        KeyCode::Char('b') => return Some(Asked::Type(Entry::batch())),
        KeyCode::Char('w') => return Some(Asked::Type(Entry::warm_up())),
        KeyCode::Char('e') => return Some(Asked::End),
        KeyCode::Char('?') => return Some(Asked::Help),
        _ => return None,
    };
    Some(Asked::Press(press))
}
