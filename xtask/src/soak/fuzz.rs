//! `cargo xtask soak fuzz`: runs the targets of `fuzz/` one after the other.

use crate::shell;
use anyhow::{Context, Result, bail};
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

/// Runs every fuzz target for its share of the minutes, from the seeds in fuzz/seeds and what
/// earlier runs found (fuzz/corpus).
#[derive(clap::Args)]
pub(crate) struct Args {
    /// Minutes, divided evenly between the targets
    #[arg(long, default_value_t = 60.0)]
    minutes: f64,
    /// Run this target only
    #[arg(long)]
    target: Option<String>,
}

pub(crate) fn main(args: &Args) -> Result<()> {
    if !(args.minutes > 0.0 && args.minutes.is_finite()) {
        bail!("--minutes must be a positive number, not {}", args.minutes);
    }
    let root = shell::root()?;
    prepare()?;
    let mut targets = targets(&root)?;
    if let Some(only) = &args.target {
        targets.retain(|target| target == only);
    }
    if targets.is_empty() {
        bail!("no such target in fuzz/fuzz_targets");
    }
    #[allow(clippy::cast_precision_loss)] // A handful of targets.
    let share = (args.minutes * 60.0 / targets.len() as f64).ceil().max(1.0);
    let mut failed = Vec::new();
    for target in &targets {
        println!("── {target}, {share} s");
        match fuzz(&root, target, share) {
            Ok(runs) => println!("   {runs} executions, nothing found"),
            Err(error) => {
                println!("   FAILED: {error:#}");
                failed.push(target.as_str());
            }
        }
    }
    if failed.is_empty() {
        return Ok(());
    }
    bail!("faults found by {}: the inputs are in fuzz/artifacts", failed.join(", "))
}

/// The driver and the compiler it needs.
fn prepare() -> Result<()> {
    if !shell::quiet(Command::new("rustup").args(["run", "nightly", "rustc", "--version"])) {
        bail!("fuzzing needs the nightly compiler: run `rustup toolchain install nightly`");
    }
    if !shell::quiet(Command::new("cargo").args(["fuzz", "--version"])) {
        println!("installing cargo-fuzz …");
        shell::run(Command::new("cargo").args(["install", "cargo-fuzz", "--locked", "--quiet"]))?;
    }
    Ok(())
}

/// The targets are the files in `fuzz/fuzz_targets`.
fn targets(root: &Path) -> Result<Vec<String>> {
    let folder = root.join("fuzz/fuzz_targets");
    let mut names = Vec::new();
    for entry in std::fs::read_dir(&folder).with_context(|| format!("{} cannot be read", folder.display()))? {
        let path = entry?.path();
        if path.extension().is_some_and(|extension| extension == "rs")
            && let Some(stem) = path.file_stem().and_then(|stem| stem.to_str())
        {
            names.push(stem.to_owned());
        }
    }
    names.sort();
    Ok(names)
}

/// Runs one target; returns the number of executions.
fn fuzz(root: &Path, target: &str, seconds: f64) -> Result<String> {
    let corpus = root.join("fuzz/corpus").join(target);
    std::fs::create_dir_all(&corpus).with_context(|| format!("{} cannot be made", corpus.display()))?;
    let mut command = Command::new("rustup");
    // The project has no `unsafe`, so a memory sanitizer would only slow it down.
    command.current_dir(root).args(["run", "nightly", "cargo", "fuzz", "run", "--sanitizer", "none", target]);
    // The first folder is where new inputs go; the seeds are only read.
    command.arg(&corpus).arg(root.join("fuzz/seeds").join(target));
    command.args(["--", &format!("-max_total_time={seconds}"), "-timeout=20", "-print_final_stats=1"]);
    command.env("CARGO_TARGET_DIR", shell::target_dir(root).join("fuzz-nightly"));
    let mut child = command.stderr(Stdio::piped()).spawn().context("rustup could not be started")?;
    let mut runs = None;
    if let Some(stderr) = child.stderr.take() {
        for line in BufReader::new(stderr).lines() {
            let line = line?;
            if let Some(count) = line.strip_prefix("stat::number_of_executed_units:") {
                runs = Some(count.trim().to_owned());
            }
            if worth_showing(&line) {
                eprintln!("   {line}");
            }
        }
    }
    let status = child.wait()?;
    if !status.success() {
        bail!("{target} ended with {status}");
    }
    runs.with_context(|| format!("{target} reported no executions"))
}

/// What matters is the compiler's and the fault's text, not the driver's news of every new input.
fn worth_showing(line: &str) -> bool {
    let news = ["#", "\"", "stat::", "INFO:"].iter().any(|start| line.starts_with(start));
    !news && !line.contains("# Uses:")
}
