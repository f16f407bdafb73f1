//! Rules on any text file: length, and no path of somebody's machine.

use super::Finding;
use super::files::File;

/// Past this a source file has two subjects.
const LONGEST: usize = 800;

/// Beginnings of paths that exist on one machine only. Written in halves, so that this file passes.
const MACHINE: [&str; 7] = [
    concat!("/ho", "me/"),
    concat!("/ro", "ot/"),
    concat!("/Us", "ers/"),
    concat!("/wo", "rk/"),
    concat!("/t", "mp/"),
    concat!("/priv", "ate/var/"),
    concat!("C:\\", "Users"),
];

/// All rules on one file.
pub(super) fn check(path: &str, text: &str) -> Vec<Finding> {
    let mut findings = Vec::new();
    let rust = File::extension(path) == "rs";
    let lines = text.lines().count();
    if rust && lines > LONGEST {
        let message = format!("{lines} lines: past {LONGEST} a file has two subjects, split it");
        findings.push(Finding::new(path, 0, message));
    }
    for (index, line) in text.lines().enumerate() {
        for start in MACHINE {
            if machine_path(line, start) {
                let message =
                    format!("a path of one machine (`{start}…`): use a path relative to the repository");
                findings.push(Finding::new(path, index + 1, message));
            }
        }
    }
    findings
}

/// Does the path begin here, rather than go on from a relative one or an address?
fn machine_path(line: &str, start: &str) -> bool {
    line.match_indices(start).any(|(at, _)| {
        let before = line[..at].chars().next_back();
        !before.is_some_and(|c| c.is_alphanumeric() || "._-~}$)".contains(c))
    })
}

#[cfg(test)]
mod tests {
    use super::check;

    #[test]
    fn a_home_folder_is_found_with_its_line() {
        let path = concat!("/ho", "me/someone/x");
        let found = check("docs/a.md", &format!("fine\nsee {path}\n"));
        assert_eq!((found.len(), found[0].line), (1, 2));
    }

    #[test]
    fn a_relative_path_or_an_address_passes() {
        let text = format!("src{} and https://example.org{}", concat!("/ho", "me/x"), concat!("/wo", "rk/x"));
        assert_eq!(check("docs/a.md", &text), []);
    }

    #[test]
    fn a_long_source_file_is_found_and_a_long_table_is_not() {
        assert_eq!(check("a.rs", &"x\n".repeat(801)).len(), 1);
        assert_eq!(check("a.rs", &"x\n".repeat(800)), []);
        assert_eq!(check("a.csv", &"x\n".repeat(801)), []);
    }
}
