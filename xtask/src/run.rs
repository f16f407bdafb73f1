//! `cargo xtask run`: builds everything and opens the tool.
//!
//! Until there is an app, "the tool" is the command line: a demonstration shot with its picture, and what the record on this
//! machine says is to be done today.

use crate::{shell, wasm};
use anyhow::{Context, Result};
use std::path::Path;
use std::process::Command;

const SHOT: &str = "examples/shots/demo.json";

/// Builds the engine for the browser and the command line, computes a demonstration shot, opens its picture, and opens the
/// record on this machine.
#[derive(clap::Args)]
pub(crate) struct Args {
    /// Print where the picture is and do not open it
    #[arg(long)]
    no_open: bool,
}

pub(crate) fn main(args: &Args) -> Result<()> {
    let root = shell::root()?;
    println!("Building Longrail (the first time takes some minutes) …");
    if let Err(error) = wasm::build(&root) {
        // The command line does not need the browser's engine; say what is missing and go on.
        println!("The engine for the browser was not built: {error:#}");
    }
    let picture = shell::target_dir(&root).join("demo-shot.svg");
    std::fs::create_dir_all(shell::target_dir(&root)).context("the target folder cannot be made")?;
    println!("Computing the shot in {SHOT} …\n");
    let mut longrail = shell::cargo(&root);
    longrail.args(["run", "--quiet", "--release", "--package", "longrail", "--", "shot", "--svg"]);
    shell::run(longrail.arg(&picture).arg(SHOT))?;
    let opened = !args.no_open && open(&picture);
    println!("\n{} {}", if opened { "Opened its picture," } else { "Its picture:" }, picture.display());
    println!(
        "Change the shot: copy {SHOT}, edit it, and run `cargo run --release -p longrail -- shot FILE`.\n"
    );
    let mut today = shell::cargo(&root);
    shell::run(today.args(["run", "--quiet", "--release", "--package", "longrail", "--", "today"]))?;
    println!("\nIts commands: `cargo run --release -p longrail -- COMMAND` (docs/record.md).");
    Ok(())
}

/// Opens a file with the desktop's own viewer. Says whether there is one.
fn open(file: &Path) -> bool {
    if cfg!(target_os = "macos") {
        return shell::quiet(Command::new("open").arg(file));
    }
    if cfg!(windows) {
        return shell::quiet(Command::new("cmd").args(["/C", "start", ""]).arg(file));
    }
    let display = ["DISPLAY", "WAYLAND_DISPLAY"].iter().any(|name| std::env::var_os(name).is_some());
    display && shell::quiet(Command::new("xdg-open").arg(file))
}
