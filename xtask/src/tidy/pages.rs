//! Rules on particular files: the README begins with the job, reference values carry their source.

use super::Finding;
use super::files::File;

/// The two commands that a newcomer needs, in this order.
const COMMANDS: [&str; 2] = ["cargo xtask run", "cargo xtask test"];

/// The rule for this file, if there is one.
pub(super) fn check(path: &str, text: &str) -> Vec<Finding> {
    if path == "README.md" {
        return readme(path, text).into_iter().collect();
    }
    if path.starts_with("tests/reference/") && File::extension(path) == "csv" {
        return reference(path, text);
    }
    Vec::new()
}

/// Title, then a paragraph, then the commands; nothing before them.
fn readme(path: &str, text: &str) -> Option<Finding> {
    let lines: Vec<&str> = text.lines().collect();
    let first = lines.iter().position(|line| !line.trim().is_empty() && !line.starts_with("# "));
    let prose = first.is_some_and(|at| lines[at].starts_with(|c: char| c.is_alphabetic()));
    if !prose {
        let message = "must begin with a paragraph that says the job, directly under the title";
        return Some(Finding::new(path, first.map_or(0, |at| at + 1), message));
    }
    let mut from = first.unwrap_or(0);
    for command in COMMANDS {
        let Some(offset) = lines[from..].iter().position(|line| line.contains(command)) else {
            return Some(Finding::new(path, 0, format!("must name `{command}` behind the first paragraph")));
        };
        let heading = lines[from..from + offset].iter().position(|line| line.starts_with("## "));
        if let Some(between) = heading {
            let message = format!("`{command}` must be named before the first section");
            return Some(Finding::new(path, from + between + 1, message));
        }
        from += offset;
    }
    None
}

/// Every row has a source.
fn reference(path: &str, text: &str) -> Vec<Finding> {
    // A leading comment block is allowed.
    let mut rows =
        text.lines().enumerate().filter(|(_, line)| !line.starts_with('#') && !line.trim().is_empty());
    let header = rows.next().map(|(_, line)| fields(line)).unwrap_or_default();
    let Some(column) = header.iter().position(|name| name == "source") else {
        return vec![Finding::new(path, 1, "no column `source`: say where each value comes from")];
    };
    rows.filter(|(_, line)| fields(line).get(column).is_none_or(|source| source.trim().is_empty()))
        .map(|(index, _)| Finding::new(path, index + 1, "the value has no source"))
        .collect()
}

/// The fields of a CSV line; quotes may hold commas.
fn fields(line: &str) -> Vec<String> {
    let mut fields = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            _ => {
                if let Some(last) = fields.last_mut() {
                    last.push(c);
                }
            }
        }
    }
    fields
}

#[cfg(test)]
mod tests {
    use super::check;

    fn count(path: &str, text: &str) -> usize {
        check(path, text).len()
    }

    #[test]
    fn the_readme_says_the_job_and_then_the_commands() {
        let good = "# L\n\nIt does a job.\n\n```\ncargo xtask run\ncargo xtask test\n```\n\n## More\n";
        assert_eq!(count("README.md", good), 0);
        assert_eq!(count("README.md", "# L\n\n## What\n\nIt does.\n"), 1);
        assert_eq!(count("README.md", "# L\n\nIt does.\n\n## A\n\ncargo xtask run\ncargo xtask test\n"), 1);
        assert_eq!(count("README.md", "# L\n\nIt does.\n\ncargo xtask run\n"), 1);
    }

    #[test]
    fn each_reference_value_has_a_source() {
        let path = "tests/reference/a.csv";
        assert_eq!(count(path, "id,value,source\n1,2,\"a book, p. 3\"\n"), 0);
        assert_eq!(count(path, "id,value\n1,2\n"), 1);
        let found = check(path, "id,value,source\n1,2,\n");
        assert_eq!((found.len(), found[0].line), (1, 2));
    }
}
