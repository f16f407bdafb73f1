//! `cargo xtask soak odds`: odds and hits against the textbook's methods, at full size.

use crate::shell;
use anyhow::Result;

/// Compares odds with a million plain shots on 50 layouts, and solved hits with brute force on 30.
#[derive(clap::Args)]
pub(crate) struct Args {}

pub(crate) fn main(_: &Args) -> Result<()> {
    let root = shell::root()?;
    let mut command = shell::cargo(&root);
    command.args(["test", "--release", "--package", "longrail-stroke", "--tests", "--", "--ignored"]);
    shell::run(&mut command)
}
