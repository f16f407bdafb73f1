//! `cargo xtask soak calibrate`: the whole calibration, judged.

use crate::shell;
use anyhow::{Context, Result, bail};
use serde_json::Value;

/// Runs `longrail calibrate` in full and fails if a figure leaves what was published, exact or promised.
#[derive(clap::Args)]
pub(crate) struct Args {
    /// Seed of all random numbers; another one is another sample
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Scale of the number of runs
    #[arg(long, default_value_t = 1.0)]
    runs: f64,
    /// Also rewrite the table of docs/calibration.md
    #[arg(long)]
    docs: bool,
}

pub(crate) fn main(args: &Args) -> Result<()> {
    let root = shell::root()?;
    let mut longrail = shell::cargo(&root);
    longrail.args(["run", "--quiet", "--release", "--package", "longrail", "--", "calibrate", "--json"]);
    longrail.args(["--seed", &args.seed.to_string(), "--runs", &args.runs.to_string()]);
    if args.docs {
        longrail.arg("--out").arg(root.join("docs/calibration.md"));
    }
    // The bar is drawn on standard error, which is the terminal's.
    let text = shell::output(&mut longrail)?;
    let report: Value = serde_json::from_str(&text).context("`longrail calibrate --json` wrote no JSON")?;
    let lines = judge(&report)?;
    if lines.is_empty() {
        println!("every figure agrees with what stands beside it");
        return Ok(());
    }
    for line in &lines {
        println!("{line}");
    }
    bail!("{} figures do not agree with what stands beside them", lines.len())
}

/// One line for each figure that does not agree.
fn judge(report: &Value) -> Result<Vec<String>> {
    if report["partial"] != false {
        bail!("the calibration was stopped before its end");
    }
    let figures = report["figures"].as_array().context("the report has no figures")?;
    println!("{} figures, {} runs", figures.len(), report["runs_done"]);
    let line = |figure: &Value| {
        let beside = if figure["reference"].is_null() { &figure["promised"] } else { &figure["reference"] };
        format!("{}: {} ± {}, beside {beside}", figure["name"], figure["value"], figure["error"])
    };
    Ok(figures.iter().filter(|figure| figure["agrees"] == false).map(line).collect())
}

#[cfg(test)]
mod tests {
    use super::judge;
    use serde_json::json;

    #[test]
    fn only_figures_that_disagree_are_listed_and_a_partial_report_is_refused() {
        let figure = |agrees| json!({"name": "a", "value": 0.5, "error": 0.1, "agrees": agrees});
        let figures = json!([figure(Some(true)), figure(Some(false)), figure(None)]);
        let report = json!({"partial": false, "runs_done": 3, "figures": figures});
        assert_eq!(judge(&report).unwrap().len(), 1);
        assert!(judge(&json!({"partial": true, "figures": []})).is_err());
    }
}
