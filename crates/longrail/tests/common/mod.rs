//! The built command, and files of a test's own.
#![allow(dead_code, clippy::unwrap_used, clippy::panic)] // each test file uses its own part

use std::io::{ErrorKind, Write};
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

/// Runs the built command with `input` on its standard input.
pub(crate) fn longrail(arguments: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_longrail"))
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A command that refuses its arguments may be gone before it has read.
    match child.stdin.take().unwrap().write_all(input.as_bytes()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => panic!("{error}"),
        _ => {}
    }
    child.wait_with_output().unwrap()
}

/// The JSON that the command answers; it must succeed.
pub(crate) fn answer(arguments: &[&str], input: &str) -> serde_json::Value {
    let out = longrail(arguments, input);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap()
}

/// Refused with one line, this code, and nothing on standard output.
pub(crate) fn refused(arguments: &[&str], input: &str, code: i32, says: &str) {
    let out = longrail(arguments, input);
    let message = String::from_utf8(out.stderr).unwrap();
    assert_eq!(out.status.code(), Some(code), "{message}");
    assert!(out.stdout.is_empty());
    assert!(message.contains(says) && message.trim_end().lines().count() == 1, "{message}");
}

/// A file name of this test alone, in the build's own folder for such.
pub(crate) fn scratch(name: &str) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_file(&path);
    path
}
