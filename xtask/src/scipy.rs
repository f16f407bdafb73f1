//! The statistics against scipy and statsmodels, in a virtual environment under the target folder.
//!
//! Never skipped: where Python or the libraries cannot be had, the stage fails and says what to do.

use crate::shell;
use anyhow::{Context, Result, bail};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

const FOLDER: &str = "crates/stats/tests/reference_python";
/// Random cases of each function.
const CASES: &str = "500";

/// Computes the cases with our code and holds each against the libraries.
pub(crate) fn check(root: &Path) -> Result<()> {
    let python = environment(root)?;
    let mut grid = shell::cargo(root);
    grid.args(["run", "--quiet", "--package", "longrail-stats", "--example", "grid", "--", CASES]);
    // Built first, so that its messages do not come between those of the comparison.
    shell::run(shell::cargo(root).args([
        "build",
        "--quiet",
        "--package",
        "longrail-stats",
        "--example",
        "grid",
    ]))?;
    let mut cases = grid
        .stdout(Stdio::piped())
        .spawn()
        .with_context(|| format!("`{}` could not be started", shell::line(&grid)))?;
    let pipe = cases.stdout.take().context("the cases have no output to read")?;
    let mut compare = Command::new(&python);
    compare.current_dir(root).arg(format!("{FOLDER}/compare.py")).arg(CASES).stdin(pipe);
    let compared = shell::run(&mut compare);
    // Its reader is done or gone by now, so it ends.
    let status = cases.wait().context("the computation of the cases was lost")?;
    compared?;
    if !status.success() {
        bail!("`{}` failed ({status})", shell::line(&grid));
    }
    Ok(())
}

/// The interpreter of an environment that has what `requirements.txt` asks for; made if it is not there.
fn environment(root: &Path) -> Result<PathBuf> {
    let requirements = root.join(FOLDER).join("requirements.txt");
    let wanted = fs::read_to_string(&requirements)
        .with_context(|| format!("{FOLDER}/requirements.txt cannot be read"))?;
    let folder = shell::target_dir(root).join("scipy");
    let python = folder.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    // Written last, so that an interrupted installation is begun again.
    let stamp = folder.join("installed.txt");
    if fs::read_to_string(&stamp).is_ok_and(|installed| installed == wanted) && shell::has(&python) {
        return Ok(python);
    }
    println!("making a Python environment in {} …", folder.display());
    make(&folder)?;
    let mut pip = Command::new(&python);
    pip.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--requirement"]);
    shell::run(pip.arg(&requirements)).with_context(|| {
        format!(
            "the Python libraries could not be installed: the first run needs a network and a Python for which \
             they are published ({})",
            wanted.split_whitespace().collect::<Vec<_>>().join(", ")
        )
    })?;
    fs::write(&stamp, wanted).with_context(|| format!("{} cannot be written", stamp.display()))?;
    Ok(python)
}

fn make(folder: &Path) -> Result<()> {
    let made = || {
        let mut venv = Command::new("python3");
        venv.args(["-m", "venv", "--clear"]).arg(folder);
        shell::quiet(&mut venv)
    };
    if made() || (shell::apt_install(&["python3", "python3-venv"]) && made()) {
        return Ok(());
    }
    bail!(
        "`python3 -m venv` does not work, and could not be installed from here: install Python 3 with its module \
         venv (on Debian, as root: apt-get install python3-venv) and run the stage again"
    )
}
