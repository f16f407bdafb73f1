//! Purity of the cores, read from their source.
//!
//! Tests and examples are exempt from the rule on I/O only. A line that must break the rule on mathematics
//! (say, a test that compares with the standard library) carries `// tidy: std-math,` and the reason.

use super::files::File;
use super::mask::{Code, find_word, is_word};
use super::{CORES, Finding};

/// Parts of `std` that reach outside the program or into time.
const OUTSIDE: [&str; 7] = ["fs", "net", "io", "time", "thread", "process", "env"];
/// Macros that reach outside it, or that put a path of the building machine into the program.
const MACROS: [&str; 7] = ["println!", "eprintln!", "print!", "eprint!", "dbg!", "env!", "option_env!"];
/// State that outlives a call.
const GLOBALS: [&str; 7] =
    ["thread_local", "OnceLock", "LazyLock", "OnceCell", "LazyCell", "lazy_static", "once_cell"];
const HASHES: [&str; 2] = ["HashMap", "HashSet"];
/// Functions whose last bits differ between platforms, or that are unspecified.
const TRANSCENDENTAL: [&str; 29] = [
    "sin", "cos", "tan", "sin_cos", "asin", "acos", "atan", "atan2", "sinh", "cosh", "tanh", "asinh",
    "acosh", "atanh", "exp", "exp2", "exp_m1", "ln", "ln_1p", "log", "log2", "log10", "powf", "powi", "cbrt",
    "hypot", "mul_add", "ln_gamma", "gamma",
];
/// The one file that may name the library.
const DOOR: &str = "crates/math/src/fx.rs";
const ALLOWED: &str = "// tidy: std-math, ";

/// Is it Rust source of a core?
pub(super) fn is_core(path: &str) -> bool {
    File::extension(path) == "rs" && CORES.iter().any(|core| path.starts_with(&format!("crates/{core}/")))
}

/// All rules on one file of a core.
pub(super) fn check(path: &str, text: &str) -> Vec<Finding> {
    let code = Code::new(text);
    let folders = ["/tests/", "/benches/", "/examples/"];
    let whole_file_is_test = folders.iter().any(|part| path.contains(part)) || path.ends_with("/tests.rs");
    let mut findings = Vec::new();
    let originals: Vec<&str> = text.lines().collect();
    for (index, line) in code.lines.iter().enumerate() {
        let mut report = |message: String| findings.push(Finding::new(path, index + 1, message));
        if !(whole_file_is_test || code.test[index]) {
            outside(line, &mut report);
        }
        globals(line, &mut report);
        let original = originals.get(index).copied().unwrap_or_default();
        let excused = original.split_once(ALLOWED).is_some_and(|(_, reason)| !reason.trim().is_empty());
        if !excused {
            mathematics(path, line, &mut report);
        }
    }
    if !whole_file_is_test {
        findings.extend(grouped_imports(path, &code));
    }
    if path.ends_with("/src/lib.rs") {
        findings.extend(first_words(path, text));
    }
    findings
}

fn outside(line: &str, report: &mut impl FnMut(String)) {
    for part in OUTSIDE {
        if find_word(line, &format!("std::{part}")).is_some() {
            report(outside_message(part));
        }
    }
    for name in MACROS {
        let at =
            line.match_indices(name).find(|(at, _)| !line[..*at].chars().next_back().is_some_and(is_word));
        if at.is_some() {
            report(format!("`{name}` in a core: return the value and let the caller show it"));
        }
    }
}

fn outside_message(part: &str) -> String {
    format!(
        "`std::{part}` in a core: take the data as an argument, and do the I/O in `longrail`, `store` or `server`"
    )
}

/// `use std::{fmt, io}` hides the word that [`outside`] looks for.
fn grouped_imports(path: &str, code: &Code) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (index, line) in code.lines.iter().enumerate() {
        let Some(at) = line.find("std::{").filter(|_| !code.test[index]) else { continue };
        let rest = std::iter::once(&line[at + "std::{".len()..])
            .chain(code.lines[index + 1..].iter().map(String::as_str));
        let mut depth = 1;
        'import: for (offset, part) in rest.enumerate() {
            for (place, c) in part.char_indices() {
                match c {
                    '{' => depth += 1,
                    '}' => depth -= 1,
                    _ => {}
                }
                if depth == 0 {
                    break 'import;
                }
                let starts = depth == 1 && is_word(c) && !part[..place].ends_with(|c| is_word(c) || c == ':');
                if starts {
                    let word: String = part[place..].chars().take_while(|&c| is_word(c)).collect();
                    if OUTSIDE.contains(&word.as_str()) {
                        findings.push(Finding::new(path, index + offset + 1, outside_message(&word)));
                    }
                }
            }
        }
    }
    findings
}

fn globals(line: &str, report: &mut impl FnMut(String)) {
    if find_word(line, "unsafe").is_some() {
        report("`unsafe` in a core: there is none, find another way".to_owned());
    }
    if line.contains("static mut ") {
        report("`static mut` in a core: pass the state as an argument".to_owned());
    }
    for name in GLOBALS {
        if find_word(line, name).is_some() {
            report(format!("`{name}` in a core: pass the state as an argument; a constant is a `const`"));
        }
    }
    let atomic = find_word(line, "Mutex")
        .or_else(|| find_word(line, "RwLock"))
        .or_else(|| line.find("std::sync::atomic"));
    if atomic.is_some() {
        report("shared state in a core: pass it as an argument; threads belong to the caller".to_owned());
    }
    for name in HASHES {
        if find_word(line, name).is_some() {
            let tree = name.replace("Hash", "BTree");
            report(format!("`{name}` has no fixed order: use `{tree}` or a sorted `Vec`"));
        }
    }
}

fn mathematics(path: &str, line: &str, report: &mut impl FnMut(String)) {
    if path != DOOR && find_word(line, "libm").is_some() {
        report("`libm` is reached through `longrail_math::fx` only (in math itself, `crate::fx`)".to_owned());
    }
    for name in TRANSCENDENTAL {
        let method = line.contains(&format!(".{name}("));
        let path_call = find_word(line, &format!("f64::{name}")).is_some();
        if method || path_call {
            let instead = match name {
                "powi" => "write the product out".to_owned(),
                "mul_add" => "write `a * b + c`".to_owned(),
                "hypot" => "write `(x * x + y * y).sqrt()`".to_owned(),
                _ => format!("use `fx::{name}` of longrail-math"),
            };
            report(format!(
                "`{name}` of std gives other bits in the browser: {instead} (a method of your own: rename it)"
            ));
        }
    }
}

/// The first doc lines say what the crate knows and what it does not.
fn first_words(path: &str, text: &str) -> Option<Finding> {
    let doc = text.lines().take_while(|line| line.starts_with("//!") || line.trim().is_empty());
    let doc = doc.collect::<Vec<_>>().join(" ").to_lowercase();
    let doc = doc.replace("//!", "");
    let doc = doc.split_whitespace().collect::<Vec<_>>().join(" ");
    let knows = doc.contains("knows");
    let does_not = doc.contains("not know") || doc.contains("knows nothing") || doc.contains("knows no ");
    (!(knows && does_not)).then(|| {
        let message = "the first doc lines must say what the crate knows and what it does not know \
                       (\"Knows …. Does not know ….\")";
        Finding::new(path, 1, message)
    })
}

#[cfg(test)]
mod tests {
    use super::check;

    const FILE: &str = "crates/physics/src/motion.rs";

    fn messages(path: &str, text: &str) -> Vec<String> {
        check(path, text)
            .into_iter()
            .map(|finding| format!("{}: {}", finding.line, finding.message))
            .collect()
    }

    fn one(text: &str, part: &str) {
        let found = messages(FILE, text);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!(found[0].contains(part), "{found:?}");
    }

    #[test]
    fn plain_code_passes() {
        let text = "//! Uses std::fs in words only.\nuse std::fmt;\nlet s = \"std::fs\"; let y = x.sqrt();\n";
        assert_eq!(messages(FILE, text), [""; 0]);
    }

    #[test]
    fn input_and_output_are_found_with_their_line() {
        one("\nuse std::fs::File;\n", "2: `std::fs`");
        one("let t = std::time::Instant::now();", "`std::time`");
        one("println!(\"x\");", "`println!`");
    }

    #[test]
    fn a_grouped_import_does_not_hide_it() {
        one("use std::{fmt,\n    io::{self, Read}};", "2: `std::io`");
        assert_eq!(messages(FILE, "use std::{fmt::{self, io}, ops};"), [""; 0]);
    }

    #[test]
    fn tests_may_read_files_but_not_use_stds_sine() {
        let text = "#[cfg(test)]\nmod tests {\n use std::fs;\n fn f(x: f64) -> f64 { x.sin() }\n}\n";
        one(text, "4: `sin` of std");
        assert_eq!(messages("crates/physics/tests/world.rs", "use std::{fs, env};"), [""; 0]);
    }

    #[test]
    fn a_reason_excuses_std_mathematics_and_an_empty_one_does_not() {
        assert_eq!(messages(FILE, "let y = x.sin(); // tidy: std-math, the value to compare with"), [""; 0]);
        one("let y = x.sin(); // tidy: std-math, ", "`sin` of std");
    }

    #[test]
    fn mathematics_by_path_is_found_too() {
        one("let y = xs.map(f64::exp);", "`exp` of std");
        one("let y = x.powi(2);", "write the product out");
        one("let y = libm::sin(x);", "through `longrail_math::fx`");
        assert_eq!(messages("crates/math/src/fx.rs", "pub fn sin(x: f64) -> f64 { libm::sin(x) }"), [""; 0]);
    }

    #[test]
    fn longer_names_are_other_names() {
        assert_eq!(messages(FILE, "a.sine(); b.exponent(); c.cosine_of(); d.tangent();"), [""; 0]);
    }

    #[test]
    fn globals_hashes_and_unsafe_are_found() {
        one("static CELL: OnceLock<f64> = OnceLock::new();", "`OnceLock`");
        one("use std::collections::HashMap;", "`BTreeMap`");
        one("unsafe { f() }", "`unsafe`");
        one("static mut X: f64 = 0.0;", "`static mut`");
    }

    #[test]
    fn a_crate_must_say_what_it_does_not_know() {
        let path = "crates/physics/src/lib.rs";
        assert_eq!(
            messages(path, "//! Shots.\n//!\n//! Knows one shot. Does not\n//! know players.\n"),
            [""; 0]
        );
        assert_eq!(messages(path, "//! Shots.\n").len(), 1);
    }
}
