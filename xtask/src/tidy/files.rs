//! The text files of the repository, read once for all rules.

use anyhow::{Context, Result};
use std::fs;
use std::path::Path;

/// One file.
pub(super) struct File {
    /// Relative to the root, with `/`.
    pub(super) path: String,
    pub(super) text: String,
}

impl File {
    /// What follows the last dot of the path.
    pub(super) fn extension(path: &str) -> &str {
        path.rsplit_once('.').map_or("", |(_, extension)| extension)
    }
}

/// What holds what was built or fetched, not what was written.
const SKIPPED: [&str; 7] = [".git", "target", "dist", "node_modules", "corpus", "artifacts", "seeds"];

/// Larger files are data, not text that somebody wrote.
const LIMIT: u64 = 4 << 20;

/// All files that are UTF-8, in order of their paths.
pub(super) fn read(root: &Path) -> Result<Vec<File>> {
    let mut files = Vec::new();
    walk(root, "", &mut files)?;
    files.sort_by(|a, b| a.path.cmp(&b.path));
    Ok(files)
}

fn walk(folder: &Path, prefix: &str, files: &mut Vec<File>) -> Result<()> {
    for entry in fs::read_dir(folder).with_context(|| format!("{} cannot be read", folder.display()))? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let path = if prefix.is_empty() { name.clone() } else { format!("{prefix}/{name}") };
        // Of any kind: where there are several working trees, `.git` is a file.
        if SKIPPED.contains(&name.as_str()) {
            continue;
        }
        let kind = entry.file_type()?;
        if kind.is_dir() {
            walk(&entry.path(), &path, files)?;
        } else if kind.is_file()
            && entry.metadata()?.len() <= LIMIT
            && let Ok(text) = fs::read_to_string(entry.path())
        {
            files.push(File { path, text });
        }
    }
    Ok(())
}
