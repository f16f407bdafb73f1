//! `cargo xtask test`: every check, as named stages.
//!
//! To add a stage: a variant of [`Stage`] (its doc comment is its help) and an arm in [`Stage::run`].

use crate::{browser, scipy, shell, store, tidy, wasm, web};
use anyhow::{Result, bail};
use clap::ValueEnum;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

/// Runs every check, prints the time of each and stops at the first that fails.
#[derive(clap::Args)]
pub(crate) struct Args {
    /// Run the remaining stages after one has failed
    #[arg(long)]
    keep_going: bool,
    /// Run this stage only
    #[arg(long, value_name = "STAGE")]
    only: Option<Stage>,
}

/// In the order in which they run: the quick ones first.
#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Stage {
    /// Formatting
    Fmt,
    /// Invariants that the compiler cannot check
    Tidy,
    /// Lints, all targets, warnings are errors
    Clippy,
    /// Documentation, warnings are errors
    Doc,
    /// Tests of all packages
    Test,
    /// The statistics against scipy and statsmodels, 500 random cases of each function
    Scipy,
    /// The record on SQLite and on PostgreSQL, and 200 kills of a writer
    Store,
    /// The engine for the browser and for node; the record's core compiles for it, too
    Wasm,
    /// The app for browsers: that its first load is not too large, and that it is served and exported
    Web,
    /// The app in a browser: scoring, proofs, offline, kills, access, pictures of every screen
    Browser,
    /// The same shots under node: same digest, same text
    Node,
    /// The fuzz targets compile, without lints' complaints
    Fuzz,
}

/// How a stage ended.
enum Outcome {
    Passed,
    Skipped(String),
    Failed(String),
}

impl Stage {
    fn run(self, root: &Path) -> Result<Outcome> {
        match self {
            Self::Fmt => {
                shell::run(shell::cargo(root).args(["fmt", "--all", "--check"]))?;
                shell::run(shell::cargo(root).args([
                    "fmt",
                    "--check",
                    "--manifest-path",
                    "fuzz/Cargo.toml",
                ]))?;
            }
            Self::Tidy => tidy::check(root)?,
            Self::Clippy => {
                let mut clippy = shell::cargo(root);
                clippy.args(["clippy", "--quiet", "--workspace", "--all-targets", "--", "-D", "warnings"]);
                shell::run(&mut clippy)?;
            }
            Self::Doc => {
                let mut doc = shell::cargo(root);
                doc.args(["doc", "--quiet", "--workspace", "--no-deps", "--document-private-items"]);
                shell::run(doc.env("RUSTDOCFLAGS", "-D warnings"))?;
            }
            Self::Test => shell::run(shell::cargo(root).args(["test", "--quiet", "--workspace"]))?,
            Self::Scipy => scipy::check(root)?,
            Self::Store => store::check(root)?,
            Self::Wasm => {
                wasm::build(root)?;
                wasm::check(root)?;
            }
            Self::Web => web::check(root)?,
            Self::Browser => {
                if let Some(why) = browser::missing() {
                    return Ok(Outcome::Skipped(why));
                }
                // Quick when nothing has changed; without it, an old build could be judged.
                web::build(root)?;
                browser::check(root)?;
            }
            Self::Node => return node(root),
            Self::Fuzz => return fuzz(root),
        }
        Ok(Outcome::Passed)
    }

    fn name(self) -> String {
        self.to_possible_value().map(|value| value.get_name().to_owned()).unwrap_or_default()
    }
}

pub(crate) fn main(args: &Args) -> Result<()> {
    let root = shell::root()?;
    let stages = match args.only {
        Some(stage) => vec![stage],
        None => Stage::value_variants().to_vec(),
    };
    let mut table = Vec::new();
    for stage in stages {
        println!("── {}", stage.name());
        let start = Instant::now();
        let outcome = stage.run(&root).unwrap_or_else(|error| Outcome::Failed(format!("{error:#}")));
        let time = start.elapsed();
        match &outcome {
            Outcome::Passed => println!("   passed in {}", shell::seconds(time)),
            Outcome::Skipped(why) => println!("   skipped: {why}"),
            Outcome::Failed(why) => println!("   FAILED in {}: {why}", shell::seconds(time)),
        }
        let stop = matches!(outcome, Outcome::Failed(_)) && !args.keep_going;
        table.push((stage, time, outcome));
        if stop {
            break;
        }
    }
    close(&table)
}

/// Prints the closing table; an error names the stages that failed.
fn close(table: &[(Stage, Duration, Outcome)]) -> Result<()> {
    println!();
    for (stage, time, outcome) in table {
        let result = match outcome {
            Outcome::Passed => "passed".to_owned(),
            Outcome::Skipped(why) => format!("skipped: {why}"),
            Outcome::Failed(_) => "FAILED".to_owned(),
        };
        println!("{:<8}{:>9}  {result}", stage.name(), shell::seconds(*time));
    }
    let total = table.iter().map(|(_, time, _)| *time).sum();
    println!("{:<8}{:>9}", "all", shell::seconds(total));
    let failed = table.iter().filter(|(_, _, outcome)| matches!(outcome, Outcome::Failed(_)));
    let failed: Vec<_> = failed.map(|(stage, ..)| stage.name()).collect();
    if failed.is_empty() {
        return Ok(());
    }
    let first = &failed[0];
    bail!("failed: {}. Alone: `cargo xtask test --only {first}`", failed.join(", "))
}

/// Plays the corpus of shots under node and compares with the native program.
fn node(root: &Path) -> Result<Outcome> {
    if !shell::has("node") {
        return Ok(Outcome::Skipped("node is not installed (18 or newer)".to_owned()));
    }
    // Quick when nothing has changed; without it, `--only node` could judge an old build.
    wasm::build(root)?;
    shell::run(shell::cargo(root).args(["build", "--quiet", "--package", "longrail"]))?;
    let longrail =
        shell::target_dir(root).join("debug").join(format!("longrail{}", std::env::consts::EXE_SUFFIX));
    let mut node = Command::new("node");
    node.current_dir(root).args(["--test", "tests/wasm/engine.mjs"]).env("LONGRAIL_BIN", longrail);
    shell::run(&mut node)?;
    Ok(Outcome::Passed)
}

/// Checks the fuzz targets with the stable compiler; only running them needs nightly.
fn fuzz(root: &Path) -> Result<Outcome> {
    // The fuzzing library is C++; its build script compiles it.
    if !["c++", "g++", "clang++"].iter().any(shell::has) && !shell::apt_install(&["g++"]) {
        return Ok(Outcome::Skipped("no C++ compiler for the fuzzing library".to_owned()));
    }
    let mut clippy = shell::cargo(root);
    clippy.args(["clippy", "--quiet", "--manifest-path", "fuzz/Cargo.toml", "--all-targets"]);
    clippy.args(["--", "-D", "warnings"]).env("CARGO_TARGET_DIR", shell::target_dir(root).join("fuzz"));
    shell::run(&mut clippy)?;
    Ok(Outcome::Passed)
}
