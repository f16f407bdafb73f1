//! The file of checks, and the comparison with one of its rows.

use serde::Deserialize;

const FILE: &str = include_str!("../../../../tests/reference/physics_checks.csv");

/// A value from outside, with what it is and whence.
#[derive(Debug, Deserialize)]
pub(crate) struct Row {
    pub(crate) id: String,
    case: String,
    inputs: String,
    expected: f64,
    unit: String,
    tol_abs: f64,
    formula: String,
    source: String,
}

/// Every row of the file.
pub(crate) fn all() -> Vec<Row> {
    csv::Reader::from_reader(FILE.as_bytes()).into_deserialize().collect::<Result<_, _>>().unwrap()
}

/// Compares what was measured with the rows `ids`, and tells every row that disagrees.
pub(crate) fn compare<const N: usize>(ids: [&str; N], measured: [f64; N]) {
    let rows = all();
    let mut wrong = Vec::new();
    for (id, got) in ids.into_iter().zip(measured) {
        let row = rows.iter().find(|row| row.id == id).unwrap_or_else(|| panic!("no row {id} in the file"));
        let Row { case, inputs, expected, unit, tol_abs, formula, source, .. } = row;
        println!("{id}: {case}: expected {expected} {unit}, got {got} (tolerance {tol_abs})");
        // What is not a number does not agree.
        let agrees = (got - expected).abs() <= *tol_abs;
        if !agrees {
            wrong.push(format!(
                "{id}: {case} ({inputs}): expected {expected} {unit}, got {got}, tolerance {tol_abs}; \
                 section and formula {formula}; source: {source}"
            ));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}
