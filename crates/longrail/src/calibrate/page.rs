//! Files that are written whole or not at all, and pages of which one part is replaced.

use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use crate::exit::Failure;
use crate::files;

const BEGINS: &str = "<!-- calibration begins -->";
const ENDS: &str = "<!-- calibration ends -->";

/// A page that is there must have marks: without them it is never overwritten.
pub(super) fn check(path: &Path) -> Result<(), Failure> {
    read(path).map(|_| ())
}

/// Writes `part` into the page between its marks, or a new page.
pub(super) fn write(path: &Path, part: &str) -> Result<(), Failure> {
    let page = match read(path)? {
        Some((before, after)) => format!("{before}{BEGINS}\n\n{part}\n{ENDS}{after}"),
        None => format!("# Calibration\n\n{BEGINS}\n\n{part}\n{ENDS}\n"),
    };
    files::save(path, page.as_bytes())
}

/// What stands before and after the marks; nothing if there is no such file.
fn read(path: &Path) -> Result<Option<(String, String)>, Failure> {
    match fs::read_to_string(path) {
        Ok(page) => around_marks(&page).map(Some).ok_or_else(|| {
            failure(path, &format!("it exists and has no {BEGINS} … {ENDS}; name another file"))
        }),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(None),
        Err(error) => Err(failure(path, &error.to_string())),
    }
}

fn around_marks(page: &str) -> Option<(String, String)> {
    let (before, rest) = page.split_once(BEGINS)?;
    let (_, after) = rest.split_once(ENDS)?;
    Some((before.to_owned(), after.to_owned()))
}

fn failure(path: &Path, what: &str) -> Failure {
    Failure::File(format!("{}: {what}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::around_marks;

    #[test]
    fn what_stands_around_the_marks_is_found() {
        let page = "a\n<!-- calibration begins -->\nold\n<!-- calibration ends -->\nb\n";
        assert_eq!(around_marks(page), Some(("a\n".to_owned(), "\nb\n".to_owned())));
        assert_eq!(around_marks("<!-- calibration ends --><!-- calibration begins -->"), None);
    }
}
