//! Dependencies point one way.
//!
//! Read from `cargo metadata`, so the manifests are read by cargo itself.

use super::{CORES, Finding};
use crate::shell;
use anyhow::{Context, Result};
use serde_json::Value;
use std::path::Path;

/// Which packages of the project a package may depend on; `*` is all of them.
/// A new package needs a row here, and one in ARCHITECTURE.md.
const ROWS: &[(&str, &[&str])] = &[
    ("math", &[]),
    ("stats", &["math"]),
    ("physics", &["math"]),
    ("stroke", &["math", "stats", "physics"]),
    ("practice", &["math", "stats", "physics", "stroke"]),
    ("calibration", &["math", "stats", "physics", "stroke", "practice"]),
    ("scene", &["math", "stats", "physics", "stroke", "practice"]),
    ("paper", &["math", "stats", "physics", "stroke", "practice", "scene"]),
    ("store", &["practice"]),
    ("server", &["stats", "practice", "scene", "paper", "store"]),
    ("app-link", &[]),
    ("app-worker", &["math", "stats", "physics", "stroke", "practice", "scene", "app-link"]),
    ("engine-wasm", &["math", "stats", "physics", "stroke", "practice"]),
    ("app", &["app-link"]),
    ("bench", &["math", "stats", "physics", "stroke", "practice", "calibration", "scene", "store"]),
    ("longrail", &["*"]),
    ("xtask", &[]),
];

/// Packages of others that a core may use: no I/O, no clock, no randomness of their own.
const OUTSIDE: [&str; 11] = [
    "annotate-snippets",
    "json-patch",
    "rand_core",
    "rand_pcg",
    "serde",
    "serde_json",
    "serde_path_to_error",
    "siphasher",
    "sobol_burley",
    "thiserror",
    "toml",
];
/// Only `math` may use it.
const LIBM: &str = "libm";

/// Checks every package of the workspace.
pub(super) fn check(root: &Path) -> Result<Vec<Finding>> {
    let mut cargo = shell::cargo(root);
    let text = shell::output(cargo.args(["metadata", "--no-deps", "--format-version", "1"]))?;
    let metadata = serde_json::from_str(&text).context("`cargo metadata` wrote no JSON")?;
    Ok(judge(&metadata))
}

fn judge(metadata: &Value) -> Vec<Finding> {
    let mut findings = Vec::new();
    for package in list(metadata, "packages") {
        let name = short(text(package, "name"));
        let manifest =
            if name == "xtask" { "xtask/Cargo.toml".to_owned() } else { format!("crates/{name}/Cargo.toml") };
        let mut report = |message: String| findings.push(Finding::new(&manifest, 0, message));
        let Some((_, allowed)) = ROWS.iter().find(|(row, _)| *row == name) else {
            report(
                "a new package: give it a row in xtask/src/tidy/direction.rs and in ARCHITECTURE.md"
                    .to_owned(),
            );
            continue;
        };
        for dependency in list(package, "dependencies") {
            let full = text(dependency, "name");
            let test_only = text(dependency, "kind") == "dev";
            let ours = full.starts_with("longrail") || dependency.get("path").is_some_and(Value::is_string);
            if ours {
                let target = short(full);
                // A package may take itself, with more features on, for its own tests.
                let itself = test_only && target == name;
                if !itself && !allowed.contains(&"*") && !allowed.contains(&target) {
                    report(format!(
                        "`{name}` must not depend on `{target}` (allowed: {}): move the shared part down, \
                         or pass it in as an argument",
                        if allowed.is_empty() { "none".to_owned() } else { allowed.join(", ") }
                    ));
                }
            } else if CORES.contains(&name) && !test_only && !allowed_outside(name, full) {
                report(format!(
                    "`{full}` in a core: if it does no I/O and has no clock, global state or randomness of its own, \
                     add it to OUTSIDE in xtask/src/tidy/direction.rs"
                ));
            }
        }
    }
    findings
}

fn allowed_outside(core: &str, package: &str) -> bool {
    OUTSIDE.contains(&package) || (core == "math" && package == LIBM)
}

/// `longrail-physics` is `physics`; the binary `longrail` keeps its name.
fn short(name: &str) -> &str {
    name.strip_prefix("longrail-").unwrap_or(name)
}

fn list<'a>(value: &'a Value, field: &str) -> &'a [Value] {
    value.get(field).and_then(Value::as_array).map(Vec::as_slice).unwrap_or_default()
}

fn text<'a>(value: &'a Value, field: &str) -> &'a str {
    value.get(field).and_then(Value::as_str).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::judge;
    use serde_json::json;

    fn messages(package: &str, dependency: &str, kind: Option<&str>) -> Vec<String> {
        let metadata = json!({"packages": [
            {"name": package, "dependencies": [{"name": dependency, "kind": kind}]}
        ]});
        judge(&metadata).into_iter().map(|finding| finding.message).collect()
    }

    #[test]
    fn down_is_allowed_and_up_is_not() {
        assert_eq!(messages("longrail-physics", "longrail-math", None), [""; 0]);
        let found = messages("longrail-physics", "longrail-scene", None);
        assert!(found[0].contains("`physics` must not depend on `scene` (allowed: math)"), "{found:?}");
        assert_eq!(messages("longrail-physics", "longrail-scene", Some("dev")).len(), 1);
    }

    #[test]
    fn a_package_may_take_itself_for_its_tests_only() {
        assert_eq!(messages("longrail-physics", "longrail-physics", Some("dev")), [""; 0]);
        assert_eq!(messages("longrail-physics", "longrail-physics", None).len(), 1);
    }

    #[test]
    fn the_command_line_may_use_everything() {
        assert_eq!(messages("longrail", "longrail-scene", None), [""; 0]);
    }

    #[test]
    fn a_core_takes_only_known_packages() {
        assert!(messages("longrail-stats", "chrono", None)[0].contains("`chrono` in a core"));
        assert!(messages("longrail-stats", "libm", None)[0].contains("`libm` in a core"));
        assert_eq!(messages("longrail-math", "libm", None), [""; 0]);
        assert_eq!(messages("longrail-stats", "proptest", Some("dev")), [""; 0]);
    }

    #[test]
    fn an_unknown_package_needs_a_row() {
        let metadata = json!({"packages": [{"name": "longrail-attic", "dependencies": []}]});
        let found = judge(&metadata);
        assert_eq!(found[0].file, "crates/attic/Cargo.toml");
    }
}
