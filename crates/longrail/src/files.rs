//! Files and standard streams.

use std::fs;
use std::io::{IsTerminal, Read, Write};
use std::path::{Path, PathBuf};

use longrail_physics::json::Refusal;
use serde::de::DeserializeOwned;

use crate::exit::Failure;

/// The longest input that is read, in bytes; the contract's longest shot is a few kilobytes.
const LONGEST: u64 = 1 << 20;

/// The text of `file`, or of standard input if it is absent or "-". `what` is what it should hold, such as "a shot".
pub(crate) fn read(file: Option<&Path>, what: &str) -> Result<String, Failure> {
    let (name, bytes) = match file {
        Some(path) if path != Path::new("-") => {
            let name = path.display().to_string();
            let file = fs::File::open(path).map_err(|error| Failure::File(format!("{name}: {error}")))?;
            (name, take(file))
        }
        _ => {
            let stdin = std::io::stdin();
            if stdin.is_terminal() {
                // Said on standard error so that a redirected output stays clean; nothing depends on it.
                let _ = writeln!(std::io::stderr(), "Waiting for {what} as JSON; end with Ctrl-D.");
            }
            ("standard input".to_owned(), take(stdin.lock()))
        }
    };
    let bytes = bytes.map_err(|error| Failure::File(format!("{name}: {error}")))?;
    if bytes.len() as u64 > LONGEST {
        return Err(Failure::File(format!("{name}: longer than a megabyte, so it cannot be {what}")));
    }
    let wrong = |why: &str| Failure::from(Refusal::Form(format!("{name} {why}")));
    let text = String::from_utf8(bytes)
        .map_err(|_| wrong(&format!("is not text in UTF-8, so it cannot be {what}")))?;
    if text.trim().is_empty() {
        return Err(wrong(&format!("is empty: give {what}, or name the file that holds it")));
    }
    Ok(text)
}

fn take(from: impl Read) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(LONGEST + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The rows of a CSV file with a header, each with its line, at most so many; fields at the end of a row may be left out.
pub(crate) fn rows<T: DeserializeOwned>(
    file: &Path,
    most: usize,
) -> Result<impl Iterator<Item = Result<(usize, T), Failure>>, Failure> {
    let name = file.display().to_string();
    let mut reader = csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .flexible(true)
        .from_path(file)
        .map_err(|error| Failure::File(format!("{name}: {error}")))?;
    let header = reader.headers().map_err(|error| Failure::Input(format!("{name}: {error}")))?;
    if header.is_empty() {
        return Err(Failure::Input(format!(
            "{name} is empty; it should begin with the names of its columns"
        )));
    }
    let rows = reader.into_deserialize().take(most);
    Ok((2..).zip(rows).map(move |(line, row)| match row {
        Ok(row) => Ok((line, row)),
        Err(error) => Err(Failure::Input(format!("{name}: {error}"))),
    }))
}

/// Writes beside the target and renames, so that a full disk does not destroy an older picture.
pub(crate) fn save(file: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let mut beside = file.as_os_str().to_owned();
    beside.push(".part");
    let beside = PathBuf::from(beside);
    fs::write(&beside, bytes).and_then(|()| fs::rename(&beside, file)).map_err(|error| {
        // Nothing to do if the rest cannot be removed either.
        let _ = fs::remove_file(&beside);
        Failure::File(format!("{}: {error}", file.display()))
    })
}
