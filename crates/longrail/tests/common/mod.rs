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

/// A file name of this test alone, in the build's own folder for such.
pub(crate) fn scratch(name: &str) -> PathBuf {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_file(&path);
    path
}
