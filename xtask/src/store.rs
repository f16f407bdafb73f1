//! The store on both engines, and writers that are killed.
//!
//! Never skipped: where PostgreSQL's programs cannot be had, the stage fails and says what to do.

use crate::shell;
use anyhow::{Result, bail};
use std::path::{Path, PathBuf};
use std::process::Command;

/// Kills of a writer in the stage.
const KILLS: u32 = 200;

/// Runs every test of the store, those of PostgreSQL too.
pub(crate) fn check(root: &Path) -> Result<()> {
    let programs = postgres()?;
    let mut test = tests(root, KILLS);
    test.env("LONGRAIL_PG_BIN", programs).args(["--", "--include-ignored"]);
    shell::run(&mut test)
}

/// Kills a writer so many times, and cuts the power in proportion.
pub(crate) fn kills(root: &Path, times: u32) -> Result<()> {
    let mut test = tests(root, times);
    shell::run(test.args(["--test", "kills", "--test", "power", "--", "--nocapture"]))
}

fn tests(root: &Path, kills: u32) -> Command {
    let mut test = shell::cargo(root);
    test.args(["test", "--quiet", "--package", "longrail-store"]);
    test.env("LONGRAIL_KILLS", kills.to_string());
    test
}

/// The folder with PostgreSQL's programs; installed if it is not there.
fn postgres() -> Result<PathBuf> {
    let found = find().or_else(|| if shell::apt_install(&["postgresql"]) { find() } else { None });
    let Some(found) = found else {
        bail!(
            "PostgreSQL's programs `initdb` and `pg_ctl` were not found, and could not be installed from here: install \
             its server (on Debian, as root: apt-get install postgresql), or name the folder of its programs in \
             LONGRAIL_PG_BIN, and run the stage again"
        )
    };
    Ok(found)
}

/// Where the person says, on the search path, or where Debian puts each version.
fn find() -> Option<PathBuf> {
    let told = std::env::var_os("LONGRAIL_PG_BIN").map(PathBuf::from);
    let path = std::env::var_os("PATH").unwrap_or_default();
    let debian = std::fs::read_dir("/usr/lib/postgresql").into_iter().flatten().flatten();
    let mut debian: Vec<PathBuf> = debian.map(|version| version.path().join("bin")).collect();
    debian.sort();
    let mut folders = told.into_iter().chain(std::env::split_paths(&path)).chain(debian.into_iter().rev());
    // Both from one folder: a server starts its parts from beside itself.
    folders.find(|folder| ["initdb", "pg_ctl"].iter().all(|program| shell::has(folder.join(program))))
}
