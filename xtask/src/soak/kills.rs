//! `cargo xtask soak kills`: writers of the record, killed at random moments.

use crate::{browser, shell, store, web};
use anyhow::Result;

/// Kills a program that appends events, many times, and looks each time whether all that it acknowledged is there; likewise
/// after power cuts, and with pages and browsers in the middle of taps.
#[derive(clap::Args)]
pub(crate) struct Args {
    /// How often
    #[arg(long, default_value_t = 1000)]
    times: u32,
    /// How often a page or a browser
    #[arg(long, default_value_t = 100)]
    browser: u32,
}

pub(crate) fn main(args: &Args) -> Result<()> {
    let root = shell::root()?;
    store::kills(&root, args.times)?;
    if let Some(why) = browser::missing() {
        println!("no kills in a browser: {why}");
        return Ok(());
    }
    web::build(&root)?;
    browser::kills(&root, args.browser)
}
