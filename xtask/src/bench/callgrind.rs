//! Instruction counts: the one figure that a busy machine does not blur.
//!
//! `longrail-bench callgrind` lists names, one a line; `longrail-bench callgrind NAME` calls its
//! `#[inline(never)] fn measured_shot` exactly once, after warming up by other means. Callgrind
//! counts only inside that function.

use super::table::{self, Figure};
use crate::shell;
use anyhow::{Context, Result, bail};
use std::path::Path;
use std::process::Command;

/// The function by its symbol, whichever way the compiler mangles it.
const TOGGLE: &str = "--toggle-collect=*measured_shot*";

/// Counts for every name; nothing if valgrind is missing and cannot be installed.
pub(super) fn figures(root: &Path, program: &Path) -> Result<Option<Vec<Figure>>> {
    if !shell::has("valgrind") && !shell::apt_install(&["valgrind"]) {
        return Ok(None);
    }
    let names = shell::output(Command::new(program).arg("callgrind"))?;
    let mut figures = Vec::new();
    for name in names.lines().map(str::trim).filter(|name| !name.is_empty()) {
        figures.push(Figure {
            name: format!("{name}, instructions"),
            value: count(root, program, name)?,
            unit: "instr.".to_owned(),
            target: None,
            note: "callgrind".to_owned(),
        });
    }
    Ok(Some(figures))
}

fn count(root: &Path, program: &Path, name: &str) -> Result<f64> {
    let file = shell::target_dir(root).join(format!("callgrind.{}", table::slug(name)));
    let mut valgrind = Command::new("valgrind");
    valgrind.args(["--tool=callgrind", TOGGLE]).arg(format!("--callgrind-out-file={}", file.display()));
    let out =
        valgrind.arg(program).args(["callgrind", name]).output().context("valgrind could not be started")?;
    let text = String::from_utf8_lossy(&out.stderr);
    if !out.status.success() {
        bail!("valgrind failed on {name}:\n{text}");
    }
    collected(&text)
        .with_context(|| format!("callgrind counted nothing for {name}: is `measured_shot` inlined?"))
}

/// The number after `Collected :` in valgrind's closing words; zero means the function was not met.
fn collected(text: &str) -> Option<f64> {
    let line = text.lines().find(|line| line.contains("Collected :"))?;
    let count: f64 = line.rsplit(':').next()?.trim().parse().ok()?;
    (count > 0.0).then_some(count)
}

#[cfg(test)]
mod tests {
    use super::collected;

    #[test]
    fn the_count_is_read_from_valgrinds_closing_words() {
        assert_eq!(collected("==7== Events    : Ir\n==7== Collected : 123456\n"), Some(123_456.0));
    }

    #[test]
    fn a_function_never_met_is_no_figure() {
        assert_eq!(collected("==7== Collected : 0\n"), None);
    }
}
