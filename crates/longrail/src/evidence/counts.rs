//! `longrail counts`: the table of counts that players carry.

use longrail_stats::promotion::{Row, SHEET, counts_table};
use serde_json::{Value, json};

use super::typed;
use super::words::chosen;
use crate::exit::Failure;
use crate::page::Page;

/// Arguments of `longrail counts`.
#[derive(clap::Args)]
pub(crate) struct Arguments {
    /// Rate to be shown, such as 0.6 or 60%; from 0.11 to 0.99.
    #[arg(long, default_value = "0.5", allow_negative_numbers = true)]
    target: String,
    /// Write comma-separated values; an empty field where no count decides.
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    /// Write JSON instead of text.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let target = typed::share("target", &arguments.target)?;
    let rows = counts_table(target)?;
    if arguments.csv {
        return crate::print(&csv(&rows));
    }
    let last = rows.last().and_then(|row| row.promote);
    let first = rows.iter().find_map(|row| Some((row.promote?, row.tried)));
    let reading = match (first, last) {
        (Some((made, tried)), Some(whole)) => format!(
            "Promote at these counts for a target of {}: the earliest is {made} of {tried}, and a whole sheet \
             takes {whole} of {SHEET}.",
            chosen(target)
        ),
        _ => {
            format!("With a target of {} a sheet of {SHEET} is too short to promote anybody.", chosen(target))
        }
    };
    let mut page = Page::new(&reading, 0);
    // Two halves side by side fit a screen of 80 columns.
    let half = rows.len().div_ceil(2);
    let head = "tried  promote strict  back strict";
    page.line(&format!("{head}      {head}"));
    for (left, right) in rows.iter().zip(rows.iter().skip(half)) {
        page.line(&format!("{}      {}", columns(left), columns(right)));
    }
    page.note(
        "Promote at this many makes or more, step back at this many or fewer; \"-\" where no count decides. \
         Look as often as you like: a player who is not above the target is promoted on at most 1 sheet in 10 \
         (strict 1 in 20), and one at the target less 10 points or better is sent back on at most 1 in 5 \
         (strict 1 in 10).",
    );
    let list: Vec<Value> = rows.iter().map(object).collect();
    page.print(arguments.json, &json!({"reading": reading, "target": target, "sheet": SHEET, "rows": list}))
}

fn columns(row: &Row) -> String {
    let cell = |value: Option<u32>| value.map_or_else(|| "-".to_owned(), |value| value.to_string());
    format!(
        "{:>5} {:>8} {:>6} {:>5} {:>6}",
        row.tried,
        cell(row.promote),
        cell(row.strict),
        cell(row.step_back),
        cell(row.step_back_strict)
    )
}

fn csv(rows: &[Row]) -> String {
    let mut text = "n,promote_at_least_alpha10,strict_at_least_alpha05,step_back_at_most_alpha20,\
                    step_back_at_most_alpha10\n"
        .to_owned();
    for row in rows {
        text.push_str(&row.tried.to_string());
        for value in [row.promote, row.strict, row.step_back, row.step_back_strict] {
            text.push(',');
            text.push_str(&value.map(|value| value.to_string()).unwrap_or_default());
        }
        text.push('\n');
    }
    text
}

fn object(row: &Row) -> Value {
    json!({
        "tried": row.tried,
        "promote_at_least": row.promote,
        "strict_at_least": row.strict,
        "step_back_at_most": row.step_back,
        "strict_step_back_at_most": row.step_back_strict,
    })
}
