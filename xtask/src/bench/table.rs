//! Figures: from JSON lines to a Markdown table.

use anyhow::{Context, Result, bail};
use std::fmt::Write as _;

const BEGIN: &str = "<!-- measured: begin (written by `cargo xtask bench`) -->";
const END: &str = "<!-- measured: end -->";

/// One measured figure.
#[derive(Debug, PartialEq)]
pub(super) struct Figure {
    pub(super) name: String,
    pub(super) value: f64,
    pub(super) unit: String,
    /// The largest value that meets the goal.
    pub(super) target: Option<f64>,
    pub(super) note: String,
}

/// Reads the JSON lines of a measuring program; other lines are shown.
pub(super) fn parse(text: &str) -> Result<Vec<Figure>> {
    let mut figures = Vec::new();
    for line in text.lines() {
        if line.trim_start().starts_with('{') {
            figures.push(figure(line).with_context(|| format!("not a figure: {line}"))?);
        } else if !line.trim().is_empty() {
            println!("   {line}");
        }
    }
    Ok(figures)
}

fn figure(line: &str) -> Result<Figure> {
    let json: serde_json::Value = serde_json::from_str(line)?;
    let text = |field: &str| json.get(field).and_then(serde_json::Value::as_str).map(str::to_owned);
    Ok(Figure {
        name: text("name").context("`name` is missing")?,
        value: json.get("value").and_then(serde_json::Value::as_f64).context("`value` is not a number")?,
        unit: text("unit").context("`unit` is missing")?,
        target: json.get("target").and_then(serde_json::Value::as_f64),
        note: text("note").unwrap_or_default(),
    })
}

/// The machine, the table, and what was left out.
pub(super) fn markdown(figures: &[Figure], machine: &str, skipped: &[&str]) -> String {
    let mut text = format!(
        "Measured on: {machine}.\n\n| what | measured | target | met? | note |\n|---|---:|---:|---|---|\n"
    );
    for Figure { name, value, unit, target, note } in figures {
        let measured = format!("{} {unit}", number(*value));
        let goal = target.map_or_else(|| "–".to_owned(), |target| format!("{} {unit}", number(target)));
        let met = match target {
            Some(target) if value <= target => "yes",
            Some(_) => "no",
            None => "–",
        };
        // Writing to a String cannot fail.
        let _ = writeln!(text, "| {} | {measured} | {goal} | {met} | {} |", cell(name), cell(note));
    }
    for left_out in skipped {
        let _ = write!(text, "\nNot measured: {left_out}.\n");
    }
    text
}

/// Puts the table between the markers of the page.
pub(super) fn replace(page: &str, table: &str) -> Result<String> {
    let (Some(begin), Some(end)) = (page.find(BEGIN), page.find(END)) else {
        bail!("the page lacks its markers: `{BEGIN}` and `{END}`");
    };
    if end < begin {
        bail!("the page's markers are in the wrong order");
    }
    Ok(format!("{}{BEGIN}\n{table}{}", &page[..begin], &page[end..]))
}

/// Three figures that matter, thousands apart.
fn number(value: f64) -> String {
    let size = value.abs();
    let decimals = if size >= 100.0 || value == 0.0 {
        0
    } else if size >= 10.0 {
        1
    } else if size >= 1.0 {
        2
    } else {
        3
    };
    let text = format!("{value:.decimals$}");
    let (whole, rest) = text.split_at(text.find('.').unwrap_or(text.len()));
    let mut grouped = String::new();
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) && digit.is_ascii_digit() && !grouped.ends_with('-') {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    grouped + rest
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

/// A name fit for a file.
pub(super) fn slug(name: &str) -> String {
    name.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect()
}

#[cfg(test)]
mod tests {
    use super::{BEGIN, END, Figure, markdown, number, parse, replace};

    fn one() -> Figure {
        Figure {
            name: "shot".into(),
            value: 812.0,
            unit: "ns".into(),
            target: Some(800.0),
            note: String::new(),
        }
    }

    #[test]
    fn a_line_becomes_a_figure() {
        let read = parse("{\"name\":\"shot\",\"value\":812.0,\"unit\":\"ns\",\"target\":800.0}\n").unwrap();
        assert_eq!(read, [one()]);
    }

    #[test]
    fn a_line_without_a_value_is_refused_by_name() {
        let error = parse("{\"name\":\"shot\",\"unit\":\"ns\"}").unwrap_err();
        assert!(format!("{error:#}").contains("`value`"));
    }

    #[test]
    fn a_missed_target_is_said() {
        assert!(markdown(&[one()], "m", &[]).contains("| shot | 812 ns | 800 ns | no |  |"));
    }

    #[test]
    fn numbers_keep_three_figures() {
        assert_eq!(number(1_234_567.8), "1,234,568");
        assert_eq!(number(12.34), "12.3");
        assert_eq!(number(0.1234), "0.123");
        assert_eq!(number(-1234.0), "-1,234");
        assert_eq!(number(-123_456.0), "-123,456");
    }

    #[test]
    fn the_rest_of_the_page_stays() {
        let page = format!("before\n{BEGIN}\nold\n{END}\nafter\n");
        assert_eq!(replace(&page, "new\n").unwrap(), format!("before\n{BEGIN}\nnew\n{END}\nafter\n"));
    }
}
