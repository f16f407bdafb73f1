//! `cargo xtask soak properties`: the property tests on fresh cases.

use crate::shell;
use anyhow::{Result, bail};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

/// Runs the property tests with a new seed each round, until the minutes are over or one fails. The seed of each
/// round is printed; `PROPTEST_RNG_SEED=… PROPTEST_CASES=…` before `cargo test` repeats it.
#[derive(clap::Args)]
pub(crate) struct Args {
    /// Minutes after which no new round begins
    #[arg(long, default_value_t = 30)]
    minutes: u64,
    /// Cases a property is tried on in each round
    #[arg(long, default_value_t = 2000)]
    cases: u32,
}

/// The packages with property tests, and the tests that hold them.
const TESTS: [(&str, &[&str]); 4] = [
    ("longrail-math", &["--lib", "--tests"]),
    ("longrail-physics", &["--test", "properties", "--test", "cushion_impulse"]),
    ("longrail-practice", &["--lib", "--tests"]),
    ("longrail-stats", &["--tests"]),
];

pub(crate) fn main(args: &Args) -> Result<()> {
    let root = shell::root()?;
    let started = Instant::now();
    // Any number will do that differs from run to run.
    let first = SystemTime::now().duration_since(UNIX_EPOCH).map_or(1, |since| since.as_secs());
    let mut rounds = 0;
    while rounds == 0 || started.elapsed() < Duration::from_secs(60 * args.minutes) {
        let seed = first + rounds;
        println!("── round {}, seed {seed}, {} cases", rounds + 1, args.cases);
        for (package, tests) in TESTS {
            let mut command = shell::cargo(&root);
            command.args(["test", "--quiet", "--package", package]).args(tests);
            command.env("PROPTEST_RNG_SEED", seed.to_string()).env("PROPTEST_CASES", args.cases.to_string());
            if shell::run(&mut command).is_err() {
                bail!("seed {seed} found a fault in {package}; the case is in its proptest-regressions file");
            }
        }
        rounds += 1;
    }
    println!("{rounds} rounds in {}, nothing found", shell::seconds(started.elapsed()));
    Ok(())
}
