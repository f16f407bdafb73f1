//! The screen in a pseudo-terminal, made by `script` of util-linux around this very test program.

use std::io::Write;
use std::process::{Command, Stdio};
use std::time::Duration;

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

/// All that a terminal of 40x20 gets to see when `keys` are pressed one by one.
fn terminal(desk: &str, keys: &[&str]) -> String {
    let program = std::env::current_exe().unwrap();
    let test = "scoring::tests::real::inside";
    let command = format!(
        "stty rows 20 cols 40; before=$(stty -g); {INSIDE}={desk} '{}' {test} --exact --ignored --nocapture; \
         test \"$(stty -g)\" = \"$before\" && echo modes as before",
        program.display()
    );
    let mut script = Command::new("script")
        .args(["--quiet", "--command", &command, "/dev/null"])
        .env("TERM", "xterm")
        .env("SHELL", "/bin/sh")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the test needs `script` of util-linux");
    let mut input = script.stdin.take().unwrap();
    // The keys wait in the pseudo-terminal until they are read, but taking it over throws away what came before.
    std::thread::sleep(Duration::from_millis(1500));
    for key in keys {
        input.write_all(key.as_bytes()).unwrap();
        std::thread::sleep(Duration::from_millis(100));
    }
    let output = script.wait_with_output().unwrap();
    drop(input);
    String::from_utf8_lossy(&output.stdout).into_owned()
}

const TAKEN: &str = "\u{1b}[?1049h";
const GIVEN_BACK: &str = "\u{1b}[?1049l";
const CURSOR_SHOWN: &str = "\u{1b}[?25h";

#[test]
fn keys_of_a_real_terminal_score_and_it_is_given_back() {
    let seen = terminal("scores", &["\r", "\u{1b}[D", "\u{1b}[5~", "\u{1b}[6~", "\u{7f}", "b3/4\r", "q"]);
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
    let seen = terminal("fails", &["\r"]);
    let rest = seen.split_once(GIVEN_BACK).expect("the other screen is left").1;
    assert!(rest.contains(CURSOR_SHOWN) && rest.contains("a fault of the desk"), "{seen}");
    assert!(rest.contains("modes as before"), "{seen}");
}
