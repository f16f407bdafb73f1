//! The app in a browser: `tests/browser` under node, with Debian's chromium.
//!
//! To add a file of tests: write `tests/browser/NAME.mjs`; every `.mjs` there is run.

use crate::shell;
use anyhow::{Context, Result, ensure};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

/// Where the tests are.
const TESTS: &str = "tests/browser";
/// The browser, by the name that Debian gives its program and its package.
const CHROMIUM: &str = "chromium";
/// Node 20 is the oldest that the tests' packages take.
const NODE: u32 = 20;
/// Milliseconds after which a file of tests has hung: many times what the longest takes.
const LIMIT_MS: u32 = 300_000;
/// The file of the kills, which a soak runs more often.
const KILLS: &str = "kill.mjs";

/// Why the tests cannot run here, where they cannot.
pub(crate) fn missing() -> Option<String> {
    let version = shell::output(Command::new("node").arg("--version")).unwrap_or_default();
    let major = version.trim().trim_start_matches('v').split('.').next().unwrap_or_default();
    match major.parse::<u32>().ok() {
        Some(major) if major >= NODE => None,
        Some(_) => Some(format!("node {} is too old ({NODE} or newer)", version.trim())),
        None => Some(format!("node is not installed ({NODE} or newer)")),
    }
}

/// Runs every file of tests, one after the other. The app must be built.
pub(crate) fn check(root: &Path) -> Result<()> {
    let longrail = prepare(root)?;
    let mut files = Vec::new();
    for entry in fs::read_dir(root.join(TESTS)).with_context(|| format!("{TESTS} cannot be read"))? {
        let name = entry?.file_name();
        if Path::new(&name).extension().is_some_and(|extension| extension == "mjs") {
            files.push(name.to_string_lossy().into_owned());
        }
    }
    files.sort();
    ensure!(!files.is_empty(), "{TESTS} holds no tests");
    let mut failed = Vec::new();
    for name in files {
        let start = Instant::now();
        let limit = format!("--test-timeout={LIMIT_MS}");
        let passed = shell::run(&mut tests(root, &longrail, &name, &[&limit])).is_ok();
        println!("   {name}: {}", shell::seconds(start.elapsed()));
        if !passed {
            failed.push(name);
        }
    }
    ensure!(
        failed.is_empty(),
        "failed in a browser: {}. One file alone: `LONGRAIL_BIN={} node --test {TESTS}/{}`",
        failed.join(", "),
        longrail.strip_prefix(root).unwrap_or(&longrail).display(),
        failed[0]
    );
    Ok(())
}

/// Kills pages and browsers in the middle of taps, so many times.
pub(crate) fn kills(root: &Path, times: u32) -> Result<()> {
    let longrail = prepare(root)?;
    let mut tests = tests(root, &longrail, KILLS, &[]);
    shell::run(tests.env("LONGRAIL_KILLS", times.to_string()))
}

/// Fetches what is needed and builds the program; returns where it is.
fn prepare(root: &Path) -> Result<PathBuf> {
    ensure!(
        shell::has(CHROMIUM) || shell::apt_install(&[CHROMIUM]),
        "{CHROMIUM} is not installed, and could not be installed from here (on Debian, as root: apt-get install {CHROMIUM})"
    );
    packages(&root.join(TESTS))?;
    shell::run(shell::cargo(root).args(["build", "--quiet", "--package", "longrail"]))?;
    let name = format!("longrail{}", std::env::consts::EXE_SUFFIX);
    Ok(shell::target_dir(root).join("debug").join(name))
}

/// The packages that the lock names, fetched anew when it has changed since.
fn packages(folder: &Path) -> Result<()> {
    let lock = folder.join("package-lock.json");
    // npm writes this file last.
    let fetched = folder.join("node_modules/.package-lock.json");
    let time = |path: &Path| fs::metadata(path).and_then(|data| data.modified());
    let wanted = time(&lock).with_context(|| format!("{} is not there", lock.display()))?;
    if time(&fetched).is_ok_and(|fetched| fetched >= wanted) {
        return Ok(());
    }
    shell::run(Command::new("npm").current_dir(folder).args(["ci", "--silent"]))
}

fn tests(root: &Path, longrail: &Path, name: &str, switches: &[&str]) -> Command {
    let mut node = Command::new("node");
    node.current_dir(root).args(["--test", "--test-reporter=spec"]).args(switches);
    node.arg(format!("{TESTS}/{name}"));
    node.env("LONGRAIL_BIN", longrail);
    node
}
