//! Reading of reference files.
#![allow(dead_code, reason = "each test file uses a part")]
#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeMap;
use std::path::Path;

/// Rows of a file in `tests/reference/`, as columns by name.
pub(crate) fn rows(name: &str) -> Vec<BTreeMap<String, String>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference").join(name);
    let mut reader = csv::Reader::from_path(path).unwrap();
    reader.deserialize().map(|row| row.unwrap()).collect()
}

/// The part of `key=value;key=value` behind `key`.
pub(crate) fn text<'a>(inputs: &'a str, key: &str) -> &'a str {
    inputs
        .split(';')
        .find_map(|part| part.strip_prefix(key)?.trim_start_matches('>').strip_prefix('='))
        .unwrap_or_else(|| panic!("{inputs} has no {key}"))
}

/// The same as a number.
pub(crate) fn number(inputs: &str, key: &str) -> f64 {
    text(inputs, key).parse().unwrap()
}

/// The same as a whole number.
pub(crate) fn whole(inputs: &str, key: &str) -> u32 {
    text(inputs, key).parse().unwrap()
}
