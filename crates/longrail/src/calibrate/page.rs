//! Files that are written whole or not at all, and pages of which one part is replaced.

use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use crate::exit::Failure;

const BEGINS: &str = "<!-- calibration begins -->";
const ENDS: &str = "<!-- calibration ends -->";

/// Writes `part` into the page: between its marks if it has them. A page without marks is never overwritten.
pub(super) fn write(path: &Path, part: &str) -> Result<(), Failure> {
    match fs::read_to_string(path) {
        Ok(page) => match between_marks(&page, part) {
            Some(page) => replace(path, &page),
            None => Err(failure(path, &format!("it exists and has no {BEGINS} … {ENDS}; name another file"))),
        },
        Err(error) if error.kind() == ErrorKind::NotFound => {
            replace(path, &format!("# Calibration\n\n{BEGINS}\n\n{part}\n{ENDS}\n"))
        }
        Err(error) => Err(failure(path, &error.to_string())),
    }
}

fn between_marks(page: &str, part: &str) -> Option<String> {
    let (before, rest) = page.split_once(BEGINS)?;
    let (_, after) = rest.split_once(ENDS)?;
    Some(format!("{before}{BEGINS}\n\n{part}\n{ENDS}{after}"))
}

/// Through a file beside it, so that a crash leaves the old one whole.
pub(super) fn replace(path: &Path, text: &str) -> Result<(), Failure> {
    let mut beside = path.as_os_str().to_owned();
    beside.push(".new");
    fs::write(&beside, text)
        .and_then(|()| fs::rename(&beside, path))
        .map_err(|error| failure(path, &error.to_string()))
}

fn failure(path: &Path, what: &str) -> Failure {
    Failure::File(format!("{}: {what}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::between_marks;

    #[test]
    fn only_what_is_between_the_marks_is_replaced() {
        let page = "a\n<!-- calibration begins -->\nold\n<!-- calibration ends -->\nb\n";
        let new = between_marks(page, "new\n");
        assert_eq!(
            new.as_deref(),
            Some("a\n<!-- calibration begins -->\n\nnew\n\n<!-- calibration ends -->\nb\n")
        );
        assert_eq!(between_marks("no marks", "new"), None);
    }
}
