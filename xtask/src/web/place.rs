//! The folder of finished files: only what changed is written and compressed, and nothing old stays.

use super::bundle::File;
use super::{read, write};
use crate::pack;
use anyhow::{Context, Result};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

/// What became of a file.
pub(super) struct Placed {
    pub(super) name: String,
    pub(super) bytes: usize,
    /// Bytes on the way to a browser that knows brotli.
    pub(super) sent: usize,
}

/// Makes the folder hold these files, with `.br` and `.gz` beside those that shrink.
pub(super) fn place(folder: &Path, files: &[File]) -> Result<Vec<Placed>> {
    fs::create_dir_all(folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    let mut placed = Vec::new();
    let mut names = BTreeSet::new();
    for file in files {
        let path = folder.join(&file.name);
        let same = fs::read(&path).is_ok_and(|there| there == file.bytes);
        let mut sent = file.bytes.len();
        if shrinks(&file.name) {
            let [br, gz] = ["br", "gz"].map(|ending| format!("{}.{ending}", file.name));
            if !(same && folder.join(&br).is_file() && folder.join(&gz).is_file()) {
                write(&folder.join(&br), &pack::brotli(&file.bytes)?)?;
                write(&folder.join(&gz), &pack::gzip(&file.bytes)?)?;
            }
            sent = read(&folder.join(&br))?.len();
            names.extend([br, gz]);
        }
        // Last, so that a build that was stopped is not taken for a whole one.
        if !same {
            write(&path, &file.bytes)?;
        }
        names.insert(file.name.clone());
        placed.push(Placed { name: file.name.clone(), bytes: file.bytes.len(), sent });
    }
    remove_others(folder, &names)?;
    Ok(placed)
}

/// Pictures and fonts are compressed in themselves.
fn shrinks(name: &str) -> bool {
    ![".png", ".woff2"].iter().any(|ending| name.ends_with(ending))
}

fn remove_others(folder: &Path, names: &BTreeSet<String>) -> Result<()> {
    for entry in fs::read_dir(folder).with_context(|| format!("{} cannot be read", folder.display()))? {
        let entry = entry?;
        if !names.contains(entry.file_name().to_string_lossy().as_ref()) && entry.file_type()?.is_file() {
            fs::remove_file(entry.path())
                .with_context(|| format!("{} cannot be removed", entry.path().display()))?;
        }
    }
    Ok(())
}
