//! `cargo xtask soak drills`: every drill that comes with the program, on all its table sizes.

use crate::shell;
use anyhow::Result;

/// Hold every rung of every drill against the engine, on each size for which it is meant.
#[derive(clap::Args)]
pub(crate) struct Args {}

pub(crate) fn main(_: &Args) -> Result<()> {
    let root = shell::root()?;
    let mut command = shell::cargo(&root);
    command.args(["test", "--package", "longrail-practice", "--test", "drills", "--", "--ignored"]);
    shell::run(&mut command)
}
