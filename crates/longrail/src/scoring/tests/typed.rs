//! Counts and warm-ups that are typed, with what goes wrong on the way.

use ratatui::crossterm::event::{Event, KeyCode};

use super::super::wrap::{clip, wrap};
use super::{Press, Scripted, letters, played, press};

/// What reaches the desk, and the screen after it. "<" is Backspace, "!" is Enter, "^" is Esc.
fn typed(keys: &str) -> (Vec<Press>, String) {
    let code = |sign| match sign {
        '<' => KeyCode::Backspace,
        '!' => KeyCode::Enter,
        '^' => KeyCode::Esc,
        letter => KeyCode::Char(letter),
    };
    let mut desk = Scripted::default();
    let (_, text) = played(&mut desk, keys.chars().map(|sign| press(code(sign))).collect(), (80, 24));
    (desk.presses, text)
}

#[test]
fn a_count_is_typed_in_either_form() {
    for keys in ["b36/50!", "b36 of 50!", "B36OF50!", "b 36 / 50 !", "b37<</5<<<36/5x0!"] {
        let (presses, text) = typed(keys);
        assert_eq!(presses, [Press::Batch { made: 36, tried: 50 }], "{keys}: {text}");
    }
}

#[test]
fn a_wrong_count_is_told_and_what_was_typed_stays() {
    let table = [
        ("b!", "nothing is typed yet"),
        ("b36!", "\"36\" is no count"),
        ("b51/50!", "51"),
        ("b0/0!", "has no attempts"),
        ("b1/10001!", "at most 10000"),
        ("b1/99999999999!", "is too many"),
        ("b1/2/3!", "is no count"),
    ];
    for (keys, told) in table {
        let (presses, text) = typed(keys);
        assert_eq!(presses, [], "{keys}");
        let kept = format!("Made of tried, as 36/50: {}_", keys.trim_matches(['b', '!']));
        assert!(text.contains(told) && text.contains(&kept), "{keys}: {text}");
    }
    let (presses, text) = typed("b51/50!<<<</50<<<49/50!");
    assert_eq!(presses, [], "{text}");
    assert_eq!(typed("b51/50!<<<<<49/50!").0, [Press::Batch { made: 49, tried: 50 }]);
}

#[test]
fn escape_leaves_the_entry_and_not_the_screen() {
    let (presses, text) = typed("b36^");
    assert_eq!(presses, []);
    assert!(!text.contains("Made of tried"), "{text}");
    assert_eq!(typed("b36^^").0, [Press::Leave]);
}

#[test]
fn while_typing_no_key_scores() {
    let (presses, text) = typed("b3u6q/m5e0s?w");
    assert_eq!(presses, []);
    assert!(text.contains(": 36/50_"), "{text}");
    let mut desk = Scripted::default();
    let arrows = [KeyCode::Left, KeyCode::PageUp, KeyCode::PageDown, KeyCode::Tab].map(press);
    let mut events = letters("b");
    events.extend(arrows);
    let _ = played(&mut desk, events, (40, 20));
    assert_eq!(desk.presses, []);
}

#[test]
fn erasing_an_empty_entry_takes_nothing_back() {
    assert_eq!(typed("b<<36/50!").0, [Press::Batch { made: 36, tried: 50 }]);
}

#[test]
fn a_warm_up_has_one_to_ten_attempts() {
    assert_eq!(typed("w5!").0, [Press::WarmUp(5)]);
    assert_eq!(typed("w10!").0, [Press::WarmUp(10)]);
    for keys in ["w!", "w0!", "w11!", "w99999999999!"] {
        let (presses, text) = typed(keys);
        assert_eq!(presses, [], "{keys}");
        assert!(text.contains("is no warm-up: 1 to 10 attempts"), "{keys}: {text}");
    }
    assert_eq!(typed("w/5of!").0, [Press::WarmUp(5)], "what is no digit is left out");
}

#[test]
fn a_paste_is_typed_and_does_not_score() {
    let mut events = letters("b");
    events.push(Event::Paste("36 of 50\n".to_owned()));
    events.push(press(KeyCode::Enter));
    let mut desk = Scripted::default();
    let _ = played(&mut desk, events, (40, 20));
    assert_eq!(desk.presses, [Press::Batch { made: 36, tried: 50 }]);
}

#[test]
fn lines_are_cut_between_words_and_long_words_where_they_must() {
    assert_eq!(wrap("one two three", 7), ["one two", "three"]);
    assert_eq!(wrap("abcdefghij kl", 4), ["abcd", "efgh", "ij", "kl"]);
    assert_eq!(wrap("m      missed", 20), ["m      missed"]);
    assert_eq!(wrap("", 5), [""]);
    // A sign of East Asia takes two columns.
    assert_eq!(wrap("日本語", 4), ["日本", "語"]);
    assert_eq!(
        (clip("abcdef", 4), clip("abc", 3), clip("abc", 0)),
        ("abc…".into(), "abc".into(), String::new())
    );
}
