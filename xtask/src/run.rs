//! `cargo xtask run`: builds everything and opens the app.

use crate::{shell, web};
use anyhow::{Context, Result};
use std::process::Command;

/// Builds the app for browsers and the program with the app in it, serves it on this machine, and opens it in the browser;
/// Ctrl-C ends it.
#[derive(clap::Args)]
pub(crate) struct Args {
    /// Print the address and do not open it
    #[arg(long)]
    no_open: bool,
    /// The port; 0 takes a free one
    #[arg(long, value_name = "N")]
    port: Option<u16>,
}

pub(crate) fn main(args: &Args) -> Result<()> {
    let root = shell::root()?;
    println!("Building Longrail (the first time takes some minutes) …");
    web::build(&root)?;
    shell::run(shell::cargo(&root).args(["build", "--quiet", "--release", "--package", "longrail"]))?;
    let name = format!("longrail{}", std::env::consts::EXE_SUFFIX);
    let mut serve = Command::new(shell::target_dir(&root).join("release").join(name));
    serve.current_dir(&root).arg("serve");
    if !args.no_open {
        serve.arg("--open");
    }
    if let Some(port) = args.port {
        serve.args(["--port", &port.to_string()]);
    }
    // Ctrl-C reaches both; this one waits until the other has ended in its own way.
    ctrlc::set_handler(|| {}).context("Ctrl-C cannot be watched")?;
    println!();
    shell::run(&mut serve)
}
