//! Reads the shipped drills, so that browsers need not load what reads files that people write.

use std::error::Error;
use std::path::Path;
use std::{env, fs};

use longrail_practice::drill::{Drill, SHIPPED};

fn main() -> Result<(), Box<dyn Error>> {
    // Whoever changes a drill changes the package that holds them, and with it this program.
    println!("cargo:rerun-if-changed=build.rs");
    let drills = SHIPPED.iter().map(|(file, text)| Drill::read(file, text)).collect::<Result<Vec<_>, _>>()?;
    let folder = env::var_os("OUT_DIR").ok_or("cargo names no folder")?;
    fs::write(Path::new(&folder).join("drills.json"), serde_json::to_string(&drills)?)?;
    Ok(())
}
