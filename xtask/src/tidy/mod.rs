//! `cargo xtask tidy`: invariants that the compiler cannot check.
//!
//! Each rule has its file. To add one: a function from text to [`Finding`]s, with tests on small
//! samples beside it, called from [`check`].

mod cores;
mod direction;
mod files;
mod mask;
mod pages;
mod text;

use crate::shell;
use anyhow::{Result, bail};
use std::path::Path;

/// Checks purity of the cores, direction of dependencies, and the form of files. Each finding names
/// the file, the line, what is wrong and what to do instead.
#[derive(clap::Args)]
pub(crate) struct Args {}

/// One thing that is wrong.
#[derive(Debug, PartialEq)]
struct Finding {
    /// Relative to the root, with `/`.
    file: String,
    /// From 1; 0 where the whole file is meant.
    line: usize,
    /// What is wrong, and what to do instead.
    message: String,
}

impl Finding {
    fn new(file: &str, line: usize, message: impl Into<String>) -> Self {
        Self { file: file.to_owned(), line, message: message.into() }
    }
}

/// The crates that must stay pure: no I/O, clock, globals, `unsafe`; one mathematics library.
const CORES: [&str; 7] = ["math", "physics", "stats", "calibration", "stroke", "practice", "scene"];

pub(crate) fn main(_: &Args) -> Result<()> {
    check(&shell::root()?)
}

/// Runs every rule on the repository.
pub(crate) fn check(root: &Path) -> Result<()> {
    let files = files::read(root)?;
    let mut findings = Vec::new();
    for file in &files {
        findings.extend(text::check(&file.path, &file.text));
        if cores::is_core(&file.path) {
            findings.extend(cores::check(&file.path, &file.text));
        }
        findings.extend(pages::check(&file.path, &file.text));
    }
    findings.extend(direction::check(root)?);
    findings.sort_by(|a, b| (&a.file, a.line).cmp(&(&b.file, b.line)));
    for Finding { file, line, message } in &findings {
        if *line == 0 {
            println!("{file}: {message}");
        } else {
            println!("{file}:{line}: {message}");
        }
    }
    if findings.is_empty() {
        println!("tidy: {} files in order", files.len());
        return Ok(());
    }
    bail!("{} finding{}", findings.len(), if findings.len() == 1 { "" } else { "s" })
}
