//! What is shown on which size, and what is left out.

use std::io;
use std::time::Duration;

use ratatui::Terminal;
use ratatui::backend::TestBackend;
use ratatui::crossterm::event::{Event, KeyCode};
use ratatui::style::Color;

use super::super::big::figures;
use super::{Desk, Flow, Keys, Press, Scripted, Stream, View, drive, full, letters, played, press, shown};

/// The screen of [`full`] after `events`.
fn screen(size: (u16, u16), events: Vec<Event>) -> String {
    let mut desk = Scripted { view: full(), ..Scripted::default() };
    played(&mut desk, events, size).1
}

const EVERYTHING: [&str; 14] = [
    "Ada shoots, then Ben, Cleo",
    "12 of 40 min",
    "Straight draw · rung 3 of 9 · proof",
    "Table 4, 9 ft",
    "Pot the 1, cue ball back over the line.",
    "1: 1 foot, 1 left",
    "cue ball: 3¼ foot, ¾ right",
    "this set · sheet 34/62 · warm-up 3 left",
    "(● ‹○) ● ○ ○› ○? ●",
    "Not decided: the sheet lies",
    "4 makes in a row would pass.",
    "╌╌ A break is due.",
    "took back: missed left",
    "? keys",
];

#[test]
fn a_telephone_held_upright_shows_everything_and_figures_five_rows_tall() {
    let text = screen((40, 20), vec![]);
    for words in EVERYTHING {
        assert!(text.contains(words), "{words} is missing:\n{text}");
    }
    let tally = figures("24/37", 40, 9);
    assert_eq!(tally.len(), 5);
    for line in tally {
        assert!(text.contains(line.trim()), "{line} is missing:\n{text}");
    }
}

#[test]
fn an_ordinary_terminal_and_a_wide_one_show_everything_with_larger_figures() {
    for (size, rows) in [((80, 24), 10), ((200, 60), 25)] {
        let text = screen(size, vec![]);
        for words in EVERYTHING {
            assert!(text.contains(words), "{words} is missing at {size:?}:\n{text}");
        }
        let filled = text.lines().filter(|line| line.contains(['█', '▀', '▄'])).count();
        assert_eq!(filled, rows, "{text}");
    }
}

#[test]
fn beside_a_keyboard_on_the_screen_the_layout_goes_and_the_count_stays() {
    let text = screen((40, 12), vec![]);
    for words in [
        "Ada shoots",
        "this set",
        "(● ‹○) ● ○ ○› ○? ●",
        "4 makes in a row would pass.",
        "A break is due.",
        "took back: missed left",
        "←→↓ missed  Enter made  u undo  ? keys",
    ] {
        assert!(text.contains(words), "{words} is missing:\n{text}");
    }
    for words in ["Straight draw", "Pot the 1", "1 foot", "Table 4", "Not decided"] {
        assert!(!text.contains(words), "{words} is shown:\n{text}");
    }
    assert_eq!(text.lines().filter(|line| line.contains(['█', '▀', '▄'])).count(), 5);
}

#[test]
fn on_every_size_the_tally_and_the_keys_stay_and_nothing_fails() {
    for columns in 0..=90 {
        for rows in 0..=26 {
            let text = screen((columns, rows), vec![]);
            if rows < 2 || columns < 6 {
                continue;
            }
            let figures = text.contains("24/37") || text.contains(['█', '▀', '▄']);
            assert!(figures, "no tally at {columns}x{rows}:\n{text}");
            let last = text.lines().last().unwrap();
            assert!(last.contains("? keys"), "no keys at {columns}x{rows}:\n{text}");
        }
    }
}

#[test]
fn what_must_be_read_now_is_shown_even_where_little_fits() {
    let text = screen((40, 6), letters("b36"));
    assert!(text.contains("Made of tried, as 36/50: 36_"), "{text}");
    assert!(text.contains("Enter takes it"), "{text}");
    let text = screen((30, 6), letters("e"));
    assert!(text.contains("End the set? e again,"), "{text}");
}

#[test]
fn no_cell_has_a_colour() {
    for keys in ["", "b1/0", "e", "?"] {
        let mut terminal = Terminal::new(TestBackend::new(80, 24)).unwrap();
        let mut desk = Scripted { view: full(), ..Scripted::default() };
        drive(&mut terminal, &mut Stream(letters(keys).into()), &mut desk).unwrap_err();
        let cells = &terminal.backend().buffer().content;
        assert!(cells.iter().all(|cell| (cell.fg, cell.bg) == (Color::Reset, Color::Reset)));
    }
}

#[test]
fn a_learner_who_is_alone_is_named_without_an_order_and_a_block_without_a_limit_has_no_second_figure() {
    let mut view = full();
    view.others.clear();
    view.minutes_free = 0;
    let text = played(&mut Scripted { view, ..Scripted::default() }, vec![], (40, 20)).1;
    assert!(text.lines().next().unwrap().starts_with("Ada  ") && text.contains("  12 min\n"), "{text}");
}

#[test]
fn long_names_are_cut_and_the_clock_stays() {
    let mut view = full();
    view.learner = "Philippa-Alexandrina of the long corridor".to_owned();
    let text = played(&mut Scripted { view, ..Scripted::default() }, vec![], (40, 20)).1;
    let first = text.lines().next().unwrap();
    assert_eq!(first, "Philippa-Alexandrina of th… 12 of 40 min", "{text}");
}

#[test]
fn of_many_attempts_the_last_are_shown() {
    let mut desk = Scripted::default();
    let mut events = vec![press(KeyCode::Left); 40];
    events.extend(vec![press(KeyCode::Enter); 10]);
    let (_, text) = played(&mut desk, events, (40, 20));
    // Ten makes and nine spaces take 19 columns; seven misses of three columns with their space fill the rest.
    assert!(text.contains("‹○ ‹○ ‹○ ‹○ ‹○ ‹○ ‹○ ● ● ● ● ● ● ● ● ● ●"), "{text}");
    assert!(!text.contains(&"‹○ ".repeat(8)), "{text}");
}

#[test]
fn a_set_of_hundreds_and_a_batch_of_thousands_fit_a_narrow_screen() {
    assert_eq!(figures("100/100", 40, 9).len(), 3);
    assert_eq!(figures("99/100", 40, 9).len(), 5);
    assert_eq!(figures("10000/10000", 40, 9), ["10000/10000"]);
}

#[test]
fn no_two_figures_look_alike() {
    // A row of cells holds two squares a column.
    let squares = |digit: u32, rows| -> Vec<(bool, bool)> {
        let cells = figures(&digit.to_string(), 10, rows).concat();
        cells.chars().map(|cell| (matches!(cell, '█' | '▀'), matches!(cell, '█' | '▄'))).collect()
    };
    for (rows, least) in [(5, 3), (3, 1)] {
        for one in 0..10 {
            for other in 0..one {
                let pairs = squares(one, rows).into_iter().zip(squares(other, rows));
                let apart: u32 = pairs.map(|(a, b)| u32::from(a.0 != b.0) + u32::from(a.1 != b.1)).sum();
                assert!(apart >= least, "{one} and {other} differ by {apart} in {rows} rows");
            }
        }
    }
}

#[test]
fn a_resize_is_drawn() {
    // The backend of tests has one size for a drive; two drives stand for the two sizes of one screen.
    let mut terminal = Terminal::new(TestBackend::new(80, 24)).unwrap();
    let mut desk = Scripted { view: full(), ..Scripted::default() };
    drive(&mut terminal, &mut Stream([Event::Resize(40, 12)].into()), &mut desk).unwrap_err();
    terminal.backend_mut().resize(40, 12);
    drive(&mut terminal, &mut Stream([].into()), &mut desk).unwrap_err();
    assert_eq!(shown(&terminal), screen((40, 12), vec![]));
}

#[test]
fn the_minutes_move_while_nothing_is_pressed() {
    struct Clock(u32);
    impl Desk for Clock {
        fn view(&mut self) -> View {
            self.0 += 1;
            View { minutes: self.0, ..full() }
        }
        fn press(&mut self, _: Press) -> Flow {
            Flow::Goes
        }
    }
    struct Silence(u32);
    impl Keys for Silence {
        fn next(&mut self, wait: Duration) -> io::Result<Option<Event>> {
            assert!(wait <= Duration::from_secs(15));
            self.0 += 1;
            if self.0 < 3 { Ok(None) } else { Err(io::Error::other("enough")) }
        }
    }
    let mut terminal = Terminal::new(TestBackend::new(40, 20)).unwrap();
    drive(&mut terminal, &mut Silence(0), &mut Clock(0)).unwrap_err();
    assert!(shown(&terminal).contains(" 3 of 40 min"));
}

#[test]
fn the_help_fits_a_telephone_and_is_read_in_parts_where_it_does_not() {
    let text = screen((40, 20), letters("?"));
    for words in ["Enter, space   made", "?              this page", "( ) warm-up", "Any key goes back"] {
        assert!(text.contains(words), "{words} is missing:\n{text}");
    }
    let first = screen((40, 12), letters("?"));
    assert!(first.contains("Any key goes on reading") && !first.contains("( ) warm-up"), "{first}");
    let second = screen((40, 12), letters("? "));
    assert!(second.contains("Any key goes back") && second.contains("( ) warm-up"), "{second}");
    let back = screen((40, 12), letters("?  "));
    assert!(back.contains("Ada shoots"), "{back}");
}
