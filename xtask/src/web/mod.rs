//! `cargo xtask web`: the app for browsers, as the files that a server or a static host hands out.
//!
//! `bundle.rs` names the files and fills the pages, `icon.rs` draws, `place.rs` writes what has changed.

mod bundle;
mod icon;
mod place;

use crate::{shell, wasm};
use anyhow::{Context, Result};
use bundle::Parts;
use siphasher::sip128::{Hasher128, SipHasher13};
use std::fs;
use std::hash::Hasher;
use std::path::Path;
use std::time::Instant;
use wasm::{Compiler, Flavour};

/// What runs in the page, and what runs beside it.
const SCREENS: &str = "longrail-app";
const WORKERS: &str = "longrail-app-worker";
/// The files that are written by hand.
const STATIC: &str = "crates/app/static";
/// Everything a first visit loads, compressed: what is aimed at, and what `cargo xtask test` does not let pass.
const TARGET_BYTES: usize = 400_000;
const LIMIT_BYTES: usize = 800_000;

/// Builds the app for browsers into dist/app: screens and workers as WebAssembly, pages, icons, and all of it compressed.
#[derive(clap::Args)]
pub(crate) struct Args {}

pub(crate) fn main(_: &Args) -> Result<()> {
    build(&shell::root()?).map(|_| ())
}

/// Builds, prints the sizes, and returns the bytes of a first visit.
pub(crate) fn build(root: &Path) -> Result<usize> {
    let start = Instant::now();
    let compiler = wasm::find_compiler()?;
    let screens = module(root, &compiler, SCREENS)?;
    let workers = module(root, &compiler, WORKERS)?;
    let files = bundle::assemble(Parts { folder: &root.join(STATIC), screens, workers })?;
    let placed = place::place(&root.join("dist/app"), &files)?;
    println!("{:>9}{:>9}  the app for browsers", "bytes", "brotli");
    for file in &placed {
        println!("{:>9}{:>9}  {}", file.bytes, file.sent, file.name);
    }
    let total = placed.iter().map(|file| file.sent).sum();
    println!(
        "{:>18}  first load in all; at most {TARGET_BYTES} is aimed at. In dist/app ({})",
        total,
        shell::seconds(start.elapsed())
    );
    Ok(total)
}

/// Builds, refuses what would be too long a wait on a poor connection, and serves and exports it.
pub(crate) fn check(root: &Path) -> Result<()> {
    let total = build(root)?;
    anyhow::ensure!(
        total <= LIMIT_BYTES,
        "the app's first load is {total} bytes, and must not pass {LIMIT_BYTES}"
    );
    // Without the app these tests hold what is said in its place.
    shell::run(shell::cargo(root).args(["test", "--quiet", "--package", "longrail", "--test", "serve"]))
}

/// A module, and the JavaScript around it.
pub(crate) struct Module {
    js: Vec<u8>,
    wasm: Vec<u8>,
}

/// Compiles a package and binds it; what was bound before is taken if it was the same.
fn module(root: &Path, compiler: &Compiler, package: &str) -> Result<Module> {
    let compiled = wasm::compile(root, compiler, package)?;
    let bound = wasm::target_dir(root).join("bound").join(package);
    let stamp = bound.join("stamp");
    let now = hash(&[&read(&compiled)?]);
    if fs::read_to_string(&stamp).ok() != Some(now.clone()) {
        // Nothing of an earlier module may stay, such as files that only it needed.
        if bound.exists() {
            fs::remove_dir_all(&bound).with_context(|| format!("{} cannot be removed", bound.display()))?;
        }
        wasm::bind(&compiled, &bound, "module", Flavour::App)?;
        anyhow::ensure!(
            !bound.join("snippets").exists(),
            "{package} brings JavaScript files of its own, which the bundle has no place for: {}",
            bound.join("snippets").display()
        );
        write(&stamp, now.as_bytes())?;
    }
    Ok(Module { js: read(&bound.join("module.js"))?, wasm: read(&bound.join("module_bg.wasm"))? })
}

/// Sixteen digits that differ where the content does.
fn hash(pieces: &[&[u8]]) -> String {
    let mut hasher = SipHasher13::new();
    for piece in pieces {
        // With their lengths, so that a byte cannot move from one piece to the next unseen.
        hasher.write(&(piece.len() as u64).to_le_bytes());
        hasher.write(piece);
    }
    format!("{:016x}", hasher.finish128().h1)
}

fn read(file: &Path) -> Result<Vec<u8>> {
    fs::read(file).with_context(|| format!("{} cannot be read", file.display()))
}

fn write(file: &Path, bytes: &[u8]) -> Result<()> {
    fs::write(file, bytes).with_context(|| format!("{} cannot be written", file.display()))
}
