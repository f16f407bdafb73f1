//! Makes sure that there is something to embed: a fresh clone has no app yet, and compiles all the same.

use std::path::Path;
use std::{fs, io};

/// What is served until there is an app.
const PAGE: &str = "<!doctype html>\n<html lang=\"en\"><meta charset=\"utf-8\"><title>Longrail</title>\n\
    <h1>Longrail</h1>\n<p>This program was built without the app. Run <code>cargo xtask web</code>, then build it again; \
    <code>cargo xtask run</code> does both.</p>\n";

fn main() -> io::Result<()> {
    // Names in it change with each build of the app; the folder as a whole is watched.
    println!("cargo::rerun-if-changed=../../dist/app");
    println!("cargo::rerun-if-changed=build.rs");
    let folder = Path::new("../../dist/app");
    let page = folder.join("index.html");
    if !page.exists() {
        fs::create_dir_all(folder)?;
        fs::write(page, PAGE)?;
    }
    Ok(())
}
