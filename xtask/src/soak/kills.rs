//! `cargo xtask soak kills`: writers of the record, killed at random moments.

use crate::{shell, store};
use anyhow::Result;

/// Kills a program that appends events, many times, and looks each time whether all that it acknowledged is there; likewise
/// after power cuts.
#[derive(clap::Args)]
pub(crate) struct Args {
    /// How often
    #[arg(long, default_value_t = 1000)]
    times: u32,
}

pub(crate) fn main(args: &Args) -> Result<()> {
    store::kills(&shell::root()?, args.times)
}
