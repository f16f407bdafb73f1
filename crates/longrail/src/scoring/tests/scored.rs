//! Which key does what, and what does nothing.

use longrail_practice::event::{CueEnd, Outcome};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};

use super::super::terminal::refused;
use super::{Desk, Flow, Press, Scripted, Stream, View, drive, full, letters, played, press, shown};

const SIZE: (u16, u16) = (40, 20);

/// The presses that reach the desk.
fn presses(events: Vec<Event>) -> Vec<Press> {
    let mut desk = Scripted::default();
    let _ = played(&mut desk, events, SIZE);
    desk.presses
}

#[test]
fn every_key_does_what_the_help_says() {
    let table = [
        (KeyCode::Enter, Press::Attempt(Outcome::Made)),
        (KeyCode::Char(' '), Press::Attempt(Outcome::Made)),
        (KeyCode::PageUp, Press::Attempt(Outcome::Made)),
        (KeyCode::Left, Press::Attempt(Outcome::MissedLeft)),
        (KeyCode::Right, Press::Attempt(Outcome::MissedRight)),
        (KeyCode::Down, Press::Attempt(Outcome::MissedNotSeen)),
        (KeyCode::Char('m'), Press::Attempt(Outcome::Missed)),
        (KeyCode::Char('M'), Press::Attempt(Outcome::Missed)),
        (KeyCode::PageDown, Press::Attempt(Outcome::Missed)),
        (KeyCode::Backspace, Press::Undo),
        (KeyCode::Char('u'), Press::Undo),
        (KeyCode::Char('s'), Press::CueEnd(CueEnd::Short)),
        (KeyCode::Char('l'), Press::CueEnd(CueEnd::Long)),
        (KeyCode::Char('o'), Press::CueEnd(CueEnd::Off)),
        (KeyCode::Char('q'), Press::Leave),
        (KeyCode::Esc, Press::Leave),
    ];
    for (code, expected) in table {
        assert_eq!(presses(vec![press(code)]), [expected], "{code:?}");
    }
}

#[test]
fn keys_as_terminals_change_them_are_understood() {
    let with = |letter, modifiers| vec![Event::Key(KeyEvent::new(KeyCode::Char(letter), modifiers))];
    assert_eq!(presses(with('j', KeyModifiers::CONTROL)), [Press::Attempt(Outcome::Made)]);
    assert_eq!(presses(with('h', KeyModifiers::CONTROL)), [Press::Undo]);
    assert_eq!(presses(with('c', KeyModifiers::CONTROL)), [Press::Leave]);
    assert_eq!(presses(with('M', KeyModifiers::SHIFT)), [Press::Attempt(Outcome::Missed)]);
}

#[test]
fn other_keys_do_nothing() {
    let mut events = letters("acdfghijknprtvxyz0123456789/.-");
    events.extend([KeyCode::Up, KeyCode::Home, KeyCode::F(1), KeyCode::BackTab, KeyCode::Null].map(press));
    for modifiers in [KeyModifiers::CONTROL, KeyModifiers::ALT] {
        events.push(Event::Key(KeyEvent::new(KeyCode::Char('m'), modifiers)));
        events.push(Event::Key(KeyEvent::new(KeyCode::Left, modifiers)));
    }
    events.extend([Event::Resize(80, 24), Event::FocusGained, Event::Paste("m\nmm".to_owned())]);
    assert_eq!(presses(events), []);
}

#[test]
fn a_key_that_is_held_or_let_go_counts_once() {
    let kind = |kind| Event::Key(KeyEvent::new_with_kind(KeyCode::Enter, KeyModifiers::NONE, kind));
    let events = [KeyEventKind::Press, KeyEventKind::Repeat, KeyEventKind::Repeat, KeyEventKind::Release]
        .map(kind)
        .to_vec();
    assert_eq!(presses(events), [Press::Attempt(Outcome::Made)]);
}

#[test]
fn presses_that_arrive_in_one_burst_all_count() {
    let burst = [KeyCode::Enter, KeyCode::Enter, KeyCode::Left, KeyCode::Enter].map(press).to_vec();
    assert_eq!(presses(burst).len(), 4);
}

#[test]
fn the_set_ends_only_when_asked_twice() {
    let mut desk = Scripted { end: vec!["24 of 37 made.".to_owned()], ..Scripted::default() };
    let (outcome, text) = played(&mut desk, letters("ee"), SIZE);
    assert_eq!(desk.presses, [Press::EndSet]);
    assert!(outcome.is_err() && text.contains("24 of 37 made.") && text.contains("Any key closes"), "{text}");

    let mut desk = Scripted { end: vec!["24 of 37 made.".to_owned()], ..Scripted::default() };
    let (outcome, _) = played(&mut desk, letters("EE "), SIZE);
    assert_eq!(outcome.unwrap(), ["24 of 37 made."]);
    assert_eq!(desk.presses, [Press::EndSet], "the key that closes is no attempt");
}

#[test]
fn a_desk_may_end_the_set_at_an_attempt_and_its_lines_are_read_in_parts() {
    struct Full;
    impl Desk for Full {
        fn view(&mut self) -> View {
            full()
        }
        fn press(&mut self, _: Press) -> Flow {
            Flow::Ended((1..=15).map(|line| format!("line {line}.")).collect())
        }
    }
    let mut terminal = Terminal::new(TestBackend::new(40, 12)).unwrap();
    let events = [KeyCode::Enter, KeyCode::Char('m')].map(press);
    drive(&mut terminal, &mut Stream(events.into()), &mut Full).unwrap_err();
    let text = shown(&terminal);
    assert!(text.contains("line 12.") && text.contains("line 15.") && !text.contains("line 11."), "{text}");
    let events = [KeyCode::Enter, KeyCode::Char('m'), KeyCode::Char('m')].map(press);
    assert_eq!(drive(&mut terminal, &mut Stream(events.into()), &mut Full).unwrap().len(), 15);
}

#[test]
fn the_word_of_the_screen_goes_before_that_of_the_desk_until_the_next_key() {
    let notice = "took back: missed left";
    let after = |keys| played(&mut Scripted { view: full(), ..Scripted::default() }, letters(keys), SIZE).1;
    assert!(after("").contains(notice));
    assert!(!after("ex").contains(notice));
    assert!(after("exm").contains(notice));
}

#[test]
fn another_key_goes_on_and_says_that_it_was_no_attempt() {
    for code in [KeyCode::Enter, KeyCode::Esc, KeyCode::Char('q'), KeyCode::Left] {
        let mut desk = Scripted::default();
        let (_, text) = played(&mut desk, vec![press(KeyCode::Char('e')), press(code)], SIZE);
        assert_eq!(desk.presses, [], "{code:?}");
        assert!(text.contains("That key counted"), "{text}");
    }
    let events = vec![press(KeyCode::Char('e')), press(KeyCode::Esc), press(KeyCode::Char('e'))];
    assert_eq!(presses(events), [], "the question is asked anew");
}

#[test]
fn who_leaves_is_told_that_the_set_stays_open() {
    let (outcome, _) = played(&mut Scripted::default(), letters("mq"), SIZE);
    assert_eq!(outcome.unwrap(), ["The set stays open: the same command goes on with it."]);
}

#[test]
fn an_interrupt_leaves_from_everywhere() {
    let interrupt = Event::Key(KeyEvent::new(KeyCode::Char('c'), KeyModifiers::CONTROL));
    for before in ["", "b3", "w", "e", "?"] {
        let mut events = letters(before);
        events.push(interrupt.clone());
        assert_eq!(presses(events), [Press::Leave], "after {before:?}");
    }
}

#[test]
fn keys_on_the_help_page_score_nothing() {
    assert_eq!(presses(letters("?m")), []);
    assert_eq!(presses(letters("?qm")), [Press::Attempt(Outcome::Missed)]);
}

#[test]
fn the_next_learner_is_asked_for_only_where_there_is_one() {
    let mut desk = Scripted { view: full(), ..Scripted::default() };
    let _ = played(&mut desk, vec![press(KeyCode::Tab)], SIZE);
    assert_eq!(desk.presses, [Press::Swap]);
    let mut alone = Scripted::default();
    let (_, text) = played(&mut alone, vec![press(KeyCode::Tab)], SIZE);
    assert_eq!(alone.presses, []);
    assert!(text.contains("Nobody else is at this table."), "{text}");
}

#[test]
fn an_input_that_fails_is_told_with_what_became_of_the_set() {
    let (outcome, _) = played(&mut Scripted::default(), vec![], SIZE);
    let told = outcome.unwrap_err().to_string();
    assert!(told.contains("the script is over") && told.contains("the set stays open"), "{told}");
}

#[test]
fn without_a_terminal_the_other_way_is_named() {
    assert!(refused(true, true).is_ok());
    let told = |input, output| refused(input, output).unwrap_err().to_string();
    assert_eq!(
        told(true, false),
        "standard output is no terminal: enter a count, as in `longrail score 36/50`"
    );
    assert!(told(false, true).starts_with("standard input is no terminal"));
    assert!(told(false, false).starts_with("standard output is no terminal"));
}
