//! The screen in a pseudo-terminal, made by `script` of util-linux around this very test program.

use std::io::{Read, Write};
use std::process::{Command, Stdio};

use super::super::run;
use super::{Desk, Flow, Press, Scripted, View, full};

/// Set for the program inside the pseudo-terminal: what its desk does.
const INSIDE: &str = "LONGRAIL_SCORING_TEST";

/// Fails in the middle of a press.
struct Faulty;

impl Desk for Faulty {
    fn view(&mut self) -> View {
        full()
    }

    fn press(&mut self, _: Press) -> Flow {
        panic!("a fault of the desk")
    }
}

#[test]
#[ignore = "runs inside the pseudo-terminal of the tests below"]
fn inside() {
    match std::env::var(INSIDE).as_deref() {
        Ok("scores") => {
            let mut desk = Scripted { view: full(), ..Scripted::default() };
            let lines = run(&mut desk).unwrap();
            println!("presses: {:?}", desk.presses);
            println!("lines: {lines:?}");
        }
        Ok("fails") => {
            let _ = run(&mut Faulty);
        }
        _ => {}
    }
}

/// All that a terminal of 40x20 gets to see when `keys` are pressed. A minute is the longest it may take.
fn terminal(desk: &str, keys: &str) -> String {
    let program = std::env::current_exe().unwrap();
    let test = "scoring::tests::real::inside";
    let command = format!(
        "stty rows 20 cols 40; before=$(stty -g); {INSIDE}={desk} '{}' {test} --exact --ignored --nocapture; \
         test \"$(stty -g)\" = \"$before\" && echo modes as before",
        program.display()
    );
    let mut script = Command::new("timeout")
        .args(["60", "script", "--quiet", "--command", &command, "/dev/null"])
        .env("TERM", "xterm")
        .env("SHELL", "/bin/sh")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the test needs `script` of util-linux");
    let (mut input, mut output) = (script.stdin.take().unwrap(), script.stdout.take().unwrap());
    let mut seen = Vec::new();
    let mut part = [0; 4096];
    let mut pressed = false;
    loop {
        let read = output.read(&mut part).unwrap();
        if read == 0 {
            break;
        }
        seen.extend_from_slice(&part[..read]);
        // Earlier keys would go to the terminal's own line editing.
        if !pressed && String::from_utf8_lossy(&seen).contains(TAKEN) {
            input.write_all(keys.as_bytes()).unwrap();
            pressed = true;
        }
    }
    script.wait().unwrap();
    String::from_utf8_lossy(&seen).into_owned()
}

const TAKEN: &str = "\u{1b}[?1049h";
const GIVEN_BACK: &str = "\u{1b}[?1049l";
const CURSOR_SHOWN: &str = "\u{1b}[?25h";

#[test]
fn keys_of_a_real_terminal_score_and_it_is_given_back() {
    let seen = terminal("scores", "\r\u{1b}[D\u{1b}[5~\u{1b}[6~\u{7f}b3/4\rq");
    let expected = "presses: [Attempt(Made), Attempt(MissedLeft), Attempt(Made), Attempt(Missed), Undo, \
                    Batch { made: 3, tried: 4 }, Leave]";
    assert!(seen.contains(expected), "{seen}");
    let after = seen.rsplit(TAKEN).next().unwrap();
    let (drawn, rest) = after.split_once(GIVEN_BACK).expect("the other screen is left");
    assert!(drawn.contains("(● ‹○) ● ○"), "{seen}");
    assert!(rest.contains(CURSOR_SHOWN) && rest.contains("modes as before"), "{seen}");
}

#[test]
fn a_panic_gives_the_terminal_back_before_it_is_told() {
    let seen = terminal("fails", "\r");
    let rest = seen.split_once(GIVEN_BACK).expect("the other screen is left").1;
    // The release build ends with the panic, so all must be done before it is told.
    let before = rest.split_once("a fault of the desk").expect("the panic is told").0;
    assert!(before.contains(CURSOR_SHOWN), "{seen}");
    assert!(rest.contains("modes as before"), "{seen}");
}
