//! What `longrail infer` says.

use longrail_math::fx;
use longrail_stroke::infer::{Inferred, Parameter};
use serde_json::{Value, json};

use super::infer::{Arguments, Table};
use super::posed::Posed;
use super::say;
use crate::exit::Failure;
use crate::page::Page;

pub(super) fn say(
    arguments: &Arguments,
    posed: &Posed,
    tables: &[Table],
    sessions: usize,
    inferred: &Inferred,
) -> Result<(), Failure> {
    let attempts = tables.iter().fold(0_u32, |sum, table| sum.saturating_add(table.attempts()));
    let name = if inferred.effective_only { "effective spread of aim" } else { "spread of aim" };
    let reading = if inferred.ln_spread.shown {
        let [low, high] = [inferred.ln_spread.low, inferred.ln_spread.high].map(fx::exp);
        format!("After {attempts} attempts the {name} is {low:.2} to {high:.2} degrees.")
    } else {
        format!("{attempts} attempts say too little about the {name} to show it.")
    };
    let mut page = Page::new(&reading, 14);
    parameters(&mut page, inferred);
    for table in tables {
        page.gap();
        rungs(&mut page, table);
    }
    notes(&mut page, tables, sessions);
    let elsewhere: Vec<Value> = tables.iter().filter_map(elsewhere).collect();
    let own = tables.first().map(rung_objects);
    let object = json!({
        "reading": reading, "attempts": attempts, "sessions": sessions, "inferred": inferred, "rungs": own,
        "elsewhere": elsewhere, "posed": say::posed_object(posed),
    });
    page.print(arguments.source.json, &object)
}

fn parameters(page: &mut Page, inferred: &Inferred) {
    let Inferred { ln_spread, bias_deg, ln_speed_spread, effective_only, .. } = inferred;
    if ln_spread.shown {
        let [low, mean, high] = [ln_spread.low, ln_spread.mean, ln_spread.high].map(fx::exp);
        let label = if *effective_only { "effective" } else { "spread" };
        page.row(label, &format!("{mean:.2}° (80 %: {low:.2} to {high:.2})"));
    }
    if *effective_only {
        page.row("bias", "not to be told apart from the spread: no side of a miss is on record");
    } else if bias_deg.shown {
        let Parameter { mean, low, high, .. } = bias_deg;
        page.row("bias", &format!("{mean:+.2}° (80 %: {low:+.2} to {high:+.2}), + is left"));
    } else {
        page.row("bias", "too little is known to show it");
    }
    if ln_speed_spread.shown {
        let [low, mean, high] =
            [ln_speed_spread.low, ln_speed_spread.mean, ln_speed_spread.high].map(|ln| 100.0 * fx::exp(ln));
        page.row("speed", &format!("spread {mean:.0} % (80 %: {low:.0} to {high:.0})"));
    } else {
        page.row("speed", "too little is known to show its spread");
    }
}

fn rungs(page: &mut Page, table: &Table) {
    let place = match (&table.family, &table.size) {
        (Some(family), Some(size)) => Some(format!("{family} on {size}")),
        (Some(family), None) => Some(family.clone()),
        (None, size) => size.as_ref().map(|size| format!("on {size}")),
    };
    if let Some(place) = place {
        let rests =
            if table.attempts() > 0 { "attempts there included" } else { "a prediction, not a measurement" };
        page.line(&format!("{place}: {rests}"));
    }
    page.line("rung  made of tried   chance now (80 %)");
    for (number, (tally, chance)) in (1..).zip(table.tallies.iter().zip(&table.chances)) {
        let tried = tally.tried();
        let seen = if tried == 0 { "–".to_owned() } else { format!("{} of {tried}", tally.counts[0]) };
        let chance = match chance {
            Some(Parameter { mean, low, high, .. }) => {
                format!("{:>5.1} % ({:.0} to {:.0})", 100.0 * mean, 100.0 * low, 100.0 * high)
            }
            None => "no hit makes it".to_owned(),
        };
        page.line(&format!("{number:>4}  {seen:>13}   {chance}"));
    }
}

fn notes(page: &mut Page, tables: &[Table], sessions: usize) {
    page.note(
        "The chances suppose the hit that is best for the file's stroke and its spread of the tip. Speed's prior, 10 % with \
         0.5 on its logarithm, is an assumption.",
    );
    if sessions > 1 {
        page.note(&format!(
            "Of {sessions} sessions: before each the spread may have drifted, by 0.04 and 0.012 for the root of each day on \
             its logarithm (study of progression, 4.1). The chances are those of the last day."
        ));
    }
    if tables.iter().any(|table| table.family.is_some()) {
        page.note(
            "In another family of shots the spread may be off by 0.28 on its logarithm, an assumption. Attempts of it tell by \
             how much.",
        );
    }
    if tables.iter().any(|table| table.size.is_some()) {
        page.note(
            "On another table the spread may be off by 0.10 on its logarithm (study of progression, 3.4; the real figure is \
             not known). Attempts there tell by how much.",
        );
    }
}

/// Another table, or another family of shots.
fn elsewhere(table: &Table) -> Option<Value> {
    let Table { size, family, .. } = table;
    let attempts = table.attempts();
    (size.is_some() || family.is_some()).then(|| {
        json!({
            "size": size, "family": family, "attempts": attempts, "measured": attempts > 0, "rungs": rung_objects(table),
        })
    })
}

fn rung_objects(table: &Table) -> Vec<Value> {
    let rungs = table.tallies.iter().zip(&table.chances);
    rungs.map(|(tally, chance)| json!({"counts": tally.counts, "chance": chance})).collect()
}
