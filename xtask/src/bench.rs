//! `cargo xtask bench`: measures, and rewrites the table of `docs/performance.md`.
//!
//! Protocol. A measuring program writes one JSON object a line to standard output:
//!
//! ```json
//! {"name": "break shot", "value": 812.0, "unit": "µs", "target": 1000.0, "note": "16 balls"}
//! ```
//!
//! `target` is the largest value that meets the goal, or null; `note` may be left out. Lines that
//! do not begin with `{` are shown and not read. Three sources: the package `longrail-bench`,
//! `tests/wasm/bench.mjs` under node, and instruction counts under callgrind.

mod callgrind;
mod machine;
mod table;

use crate::{shell, wasm};
use anyhow::{Context, Result};
use std::path::{Path, PathBuf};
use std::process::Command;
use table::Figure;

const PAGE: &str = "docs/performance.md";

/// Runs the benchmark package, the engine under node and callgrind, and rewrites the table between
/// the markers of docs/performance.md. Figures are reported against their targets, never judged.
#[derive(clap::Args)]
pub(crate) struct Args {
    /// Print the table and leave the page as it is
    #[arg(long)]
    dry_run: bool,
}

pub(crate) fn main(args: &Args) -> Result<()> {
    let root = shell::root()?;
    let mut figures = Vec::new();
    let mut skipped = Vec::new();
    match build(&root)? {
        Some(program) => {
            println!("measuring natively …");
            figures.extend(table::parse(&shell::output(Command::new(&program).current_dir(&root))?)?);
            println!("counting instructions …");
            match callgrind::figures(&root, &program)? {
                Some(more) => figures.extend(more),
                None => skipped.push("instruction counts: valgrind is not installed"),
            }
        }
        None => skipped.push("native figures: crates/bench does not exist yet"),
    }
    if shell::has("node") {
        println!("measuring under node …");
        figures.extend(node(&root)?);
    } else {
        skipped.push("node figures: node is not installed");
    }
    figures.extend(ratios(&figures));
    let text = table::markdown(&figures, &machine::describe(), &skipped);
    println!("\n{text}");
    if args.dry_run {
        return Ok(());
    }
    let page = root.join(PAGE);
    let old = std::fs::read_to_string(&page).with_context(|| format!("{PAGE} cannot be read"))?;
    std::fs::write(&page, table::replace(&old, &text)?)
        .with_context(|| format!("{PAGE} cannot be written"))?;
    println!("{PAGE} is up to date");
    Ok(())
}

/// How many times as long as natively a shot takes under node, for each that was timed both ways.
fn ratios(figures: &[Figure]) -> Vec<Figure> {
    let times = |name: String| figures.iter().find(|figure| figure.name == name).map(|figure| figure.value);
    let shots = figures.iter().filter_map(|figure| figure.name.strip_prefix("wasm: "));
    shots
        .filter_map(|shot| {
            let ratio = times(format!("wasm: {shot}"))? / times(format!("native: {shot}"))?;
            Some(Figure {
                name: format!("browser engine against native: {shot}"),
                value: ratio,
                unit: "times".to_owned(),
                target: Some(1.3),
                note: "timed one after the other".to_owned(),
            })
        })
        .collect()
}

/// Builds the benchmark package; nothing if there is none.
fn build(root: &Path) -> Result<Option<PathBuf>> {
    if !root.join("crates/bench/Cargo.toml").is_file() {
        return Ok(None);
    }
    shell::run(shell::cargo(root).args([
        "build",
        "--release",
        "--package",
        "longrail-bench",
        "--features",
        "rigid-body",
    ]))?;
    let file = format!("longrail-bench{}", std::env::consts::EXE_SUFFIX);
    Ok(Some(shell::target_dir(root).join("release").join(file)))
}

/// The engine for node, and the size of the one for the browser.
fn node(root: &Path) -> Result<Vec<Figure>> {
    let built = wasm::build(root)?;
    let text = shell::output(Command::new("node").current_dir(root).arg("tests/wasm/bench.mjs"))?;
    let mut figures = table::parse(&text)?;
    for (name, bytes) in [("engine module", built.raw), ("engine module, brotli", built.brotli)] {
        #[allow(clippy::cast_precision_loss)] // Sizes far below 2^52.
        let value = bytes as f64 / 1024.0;
        figures.push(Figure {
            name: name.to_owned(),
            value,
            unit: "KiB".to_owned(),
            target: None,
            note: String::new(),
        });
    }
    Ok(figures)
}
