//! `cargo xtask soak`: checks that take hours.
//!
//! To add one: a file here with `Args` and `main`, a variant of [`Which`], an arm in [`main`].

mod calibrate;
mod drills;
mod fuzz;
mod kills;
mod odds;
mod properties;

use anyhow::Result;

/// Long checks. Each prints what it did, and fails if it found something.
#[derive(clap::Args)]
pub(crate) struct Args {
    #[command(subcommand)]
    which: Which,
}

#[derive(clap::Subcommand)]
enum Which {
    /// Simulate players of known truth and hold the statistics against what was published and promised
    Calibrate(calibrate::Args),
    /// Hold every shipped drill against the engine on all its table sizes
    Drills(drills::Args),
    /// Feed the engine with arbitrary and with extreme shots
    Fuzz(fuzz::Args),
    /// Kill writers of the record at random moments
    Kills(kills::Args),
    /// Hold odds against a million plain shots, and hits against brute force
    Odds(odds::Args),
    /// Try the property tests on fresh cases
    Properties(properties::Args),
}

pub(crate) fn main(args: &Args) -> Result<()> {
    match &args.which {
        Which::Calibrate(args) => calibrate::main(args),
        Which::Drills(args) => drills::main(args),
        Which::Fuzz(args) => fuzz::main(args),
        Which::Kills(args) => kills::main(args),
        Which::Odds(args) => odds::main(args),
        Which::Properties(args) => properties::main(args),
    }
}
