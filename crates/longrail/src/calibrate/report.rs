//! Figures as text, Markdown and JSON.

use std::fmt::Write;

use longrail_calibration::{Agreement, Figure, Kind};
use serde_json::{Value, json};

use super::Outcome;

/// For people at a terminal.
pub(super) fn text(outcome: &Outcome) -> String {
    let mut text = format!("{}\n", title(outcome));
    let width = outcome.figures.iter().map(|figure| figure.name.chars().count()).max().unwrap_or(0);
    each_section(&outcome.figures, |section, figures| {
        let _ = writeln!(text, "\n{section}");
        for figure in figures {
            let [runs, value, beside, agrees] = cells(figure);
            let _ = writeln!(text, "  {:width$}  {runs:>7}  {value:<18}  {beside}  {agrees}", figure.name);
        }
    });
    let _ = writeln!(text, "\n{}", verdict(outcome));
    text
}

/// For a page.
pub(super) fn markdown(outcome: &Outcome) -> String {
    let mut text = format!("{} Date: {}.\n\n{}\n", title(outcome), today(), verdict(outcome));
    each_section(&outcome.figures, |section, figures| {
        let _ = writeln!(text, "\n### {section}\n");
        let _ = writeln!(text, "| figure | runs | value | beside it | agrees |\n|---|---|---|---|---|");
        for figure in figures {
            let [runs, value, beside, agrees] = cells(figure);
            let _ = writeln!(text, "| {} | {runs} | {value} | {beside} | {agrees} |", figure.name);
        }
    });
    text
}

/// For programs. No clock in it: the same seed and scale give the same bytes.
pub(super) fn json(outcome: &Outcome) -> String {
    let figures: Vec<Value> = outcome
        .figures
        .iter()
        .map(|figure| {
            json!({
                "section": figure.section,
                "name": figure.name,
                "kind": match figure.kind {
                    Kind::Share => "share",
                    Kind::Attempts => "attempts",
                    Kind::Quantity => "quantity",
                },
                "runs": figure.estimate.runs,
                "value": figure.estimate.value,
                "error": figure.estimate.error,
                "reference": figure.reference.map(|r| json!({
                    "source": r.source, "value": r.value, "error": r.error, "rounding": r.rounding,
                })),
                "promised": figure.promised.map(|(low, high)| [low, high]),
                "agrees": match figure.agrees {
                    Agreement::Yes => Some(true),
                    Agreement::No => Some(false),
                    Agreement::Nothing => None,
                },
            })
        })
        .collect();
    let all = json!({
        "calibration": 1,
        "seed": outcome.seed,
        "scale": outcome.scale,
        "partial": outcome.partial(),
        "runs_done": outcome.runs_done,
        "runs_planned": outcome.runs_planned,
        "figures": figures,
    });
    format!("{all:#}\n")
}

fn title(outcome: &Outcome) -> String {
    let Outcome { seed, scale, runs_done, runs_planned, took, threads, .. } = outcome;
    let state = if outcome.partial() {
        format!("PARTIAL, stopped after {runs_done} of {runs_planned} runs")
    } else {
        format!("{runs_done} runs")
    };
    format!(
        "Calibration of longrail {}: {state}; seed {seed}, scale {scale}, {:.0} s on {threads} thread{}.",
        env!("CARGO_PKG_VERSION"),
        took.as_secs_f64(),
        if *threads == 1 { "" } else { "s" }
    )
}

fn verdict(outcome: &Outcome) -> String {
    let count = |agreement| outcome.figures.iter().filter(|figure| figure.agrees == agreement).count();
    let (yes, no) = (count(Agreement::Yes), count(Agreement::No));
    format!(
        "{} figures: {yes} agree with the published, exact or promised value beside them, {no} do not, {} stand alone. \
         \"Agrees\" means within four standard errors of both simulations and the rounding of what was published.",
        outcome.figures.len(),
        count(Agreement::Nothing)
    )
}

/// Runs of figures under one heading; figures of a heading that come apart are brought together.
fn each_section(figures: &[Figure], mut each: impl FnMut(&str, &[&Figure])) {
    let mut seen: Vec<&str> = Vec::new();
    for figure in figures {
        if !seen.contains(&figure.section) {
            seen.push(figure.section);
            let same: Vec<&Figure> = figures.iter().filter(|other| other.section == figure.section).collect();
            each(figure.section, &same);
        }
    }
}

/// Runs, value with error, what stands beside it, and whether it agrees.
fn cells(figure: &Figure) -> [String; 4] {
    let estimate = figure.estimate;
    let number = |x: f64| match figure.kind {
        Kind::Share => format!("{x:.4}"),
        Kind::Attempts => format!("{x:.0}"),
        Kind::Quantity => format!("{x:.3}"),
    };
    let error = if estimate.error.is_finite() {
        match figure.kind {
            Kind::Attempts => format!(" ± {:.1}", estimate.error),
            _ => format!(" ± {}", number(estimate.error)),
        }
    } else {
        String::new()
    };
    let value = match (estimate.value, estimate.runs) {
        (_, 0) => "no run".to_owned(),
        (Some(value), _) => format!("{}{error}", number(value)),
        (None, _) => "beyond the horizon".to_owned(),
    };
    let published = figure.reference.map(|r| {
        let digits = if r.rounding > 0.4 { 0 } else { decimals(r.rounding) };
        format!("{:.digits$} ({})", r.value, r.source)
    });
    let promised = figure.promised.map(|(low, high)| format!("wanted: {low} to {high}"));
    let agrees = match figure.agrees {
        Agreement::Yes => "yes",
        Agreement::No => "NO",
        Agreement::Nothing => "",
    };
    [estimate.runs.to_string(), value, published.or(promised).unwrap_or_default(), agrees.to_owned()]
}

/// How many decimals a value was published with, from half a unit of its last one.
fn decimals(half_unit: f64) -> usize {
    let mut digits = 0;
    let mut unit = 2.0 * half_unit;
    while unit < 0.9 && digits < 12 {
        unit *= 10.0;
        digits += 1;
    }
    digits
}

/// Today by universal time, as year-month-day.
fn today() -> String {
    jiff::Timestamp::now().strftime("%Y-%m-%d").to_string()
}

#[cfg(test)]
mod tests {
    use super::decimals;

    #[test]
    fn a_published_value_is_shown_with_its_own_decimals() {
        assert_eq!([decimals(0.000_05), decimals(0.0005), decimals(0.05)], [4, 3, 1]);
    }
}
