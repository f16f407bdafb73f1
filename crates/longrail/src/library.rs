//! The drills there are: those that come with the program, and the player's own, which are kept beside the record.

use std::fs;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use longrail_practice::drill::{Drill, SHIPPED};

use crate::exit::Failure;
use crate::files;
use crate::record::Home;

/// The folder of the player's own drills, beside the record.
pub(crate) const DRILLS: &str = "drills";

/// The drills that come with the program; a file of theirs that cannot be read is our own fault, and is told like any other.
pub(crate) fn shipped() -> Result<Vec<Drill>, Failure> {
    SHIPPED.iter().map(|(file, text)| read(file, text)).collect()
}

/// The player's own, in the order of their ids.
pub(crate) fn own() -> Result<Vec<Drill>, Failure> {
    let folder = match Home::place() {
        Some(home) => home.join(DRILLS),
        None => return Ok(Vec::new()),
    };
    let told = |error: std::io::Error| Failure::File(format!("{}: {error}", folder.display()));
    let entries = match fs::read_dir(&folder) {
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries.map_err(told)?,
    };
    let mut paths: Vec<PathBuf> = Vec::new();
    for entry in entries {
        let path = entry.map_err(told)?.path();
        if is_file_of_drill(&path) {
            paths.push(path);
        }
    }
    paths.sort();
    paths.iter().map(|path| of_file(path)).collect()
}

fn is_file_of_drill(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending == "toml")
}

/// Reads the text of a drill file.
pub(crate) fn read(file: &str, text: &str) -> Result<Drill, Failure> {
    Drill::read(file, text).map_err(|error| Failure::Input(error.to_string()))
}

fn of_file(path: &Path) -> Result<Drill, Failure> {
    let text = files::read(Some(path), "a drill")?;
    let file = path.file_name().map_or_else(|| path.to_string_lossy(), |file| file.to_string_lossy());
    read(&file, &text)
}

/// The drill of this id, if there is one; no other file is read.
pub(crate) fn of_id(id: &str) -> Result<Option<Drill>, Failure> {
    let file = format!("{id}.toml");
    if let Some((file, text)) = SHIPPED.iter().find(|(name, _)| *name == file) {
        return read(file, text).map(Some);
    }
    // What is no id is no file either: it must not lead out of the folder.
    let is_id = id.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    let own = Home::place().map(|home| home.join(DRILLS).join(&file)).filter(|own| is_id && own.exists());
    own.map(|own| of_file(&own)).transpose()
}

/// The drill of this id, or in this file.
pub(crate) fn found(name: &str) -> Result<Drill, Failure> {
    if is_file_of_drill(Path::new(name)) {
        return of_file(Path::new(name));
    }
    of_id(name)?.ok_or_else(|| {
        Failure::Input(format!(
            "there is no drill {name:?}; `longrail drills` lists them, and a file of your own ends in .toml"
        ))
    })
}
