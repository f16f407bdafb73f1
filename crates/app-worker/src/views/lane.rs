//! The evidence of a proof as a lane: makes less misses between the bound to pass and the bound to step back.

use longrail_app_link::{Bounds, Lane};
use longrail_practice::state::Sheet;
use longrail_stats::promotion::{Advice, Boundary, Rules, SHEET, Side, Verdict};

/// The bounds of every lane under these rules.
pub(crate) fn bounds(rules: &Rules) -> Bounds {
    let all = |boundary: &Boundary| -> Vec<f64> { (1..=SHEET).map(|tried| bound(boundary, tried)).collect() };
    Bounds { pass: all(rules.promote()), back: rules.step_back().map(all).unwrap_or_default() }
}

/// The lane of a sheet.
pub(crate) fn lane(sheet: Option<&Sheet>, rules: &Rules, advice: &Advice) -> Lane {
    let (mut walk, mut visits) = (Vec::new(), Vec::new());
    let (mut height, mut tried, mut visit) = (0.0, 0_u32, None);
    for entry in sheet.map(|sheet| sheet.entries.as_slice()).unwrap_or_default() {
        if entry.warm_up || entry.tried == 0 {
            continue;
        }
        if visit.is_some_and(|visit| visit != entry.visit) {
            visits.push(tried);
        }
        visit = Some(entry.visit);
        let (made, of) = (f64::from(entry.made), f64::from(entry.tried));
        for _ in 0..entry.tried {
            height += (2.0 * made - of) / of;
            walk.push(height);
        }
        tried += entry.tried;
    }
    let now = advice.count.tried();
    let at_now = rules.promote().makes(now).filter(|_| !matches!(advice.verdict, Verdict::Promote(_)));
    let at_now = at_now.map(|makes| format!("{makes} of {now}")).unwrap_or_default();
    let fifty = rules.promote().makes(50).map(|makes| format!("{makes} of 50")).unwrap_or_default();
    Lane { walk, visits, says: says(advice), at_now, at_fifty: fifty }
}

/// Makes less misses at which the evidence reaches a bound after so many attempts, in a straight line between two counts: the
/// bound as a curve, of which the table of counts is the whole numbers beyond. Before any count reaches it, it goes on in the
/// same line outside what can be.
fn bound(boundary: &Boundary, tried: u32) -> f64 {
    let (evidence, wanted) = (boundary.evidence(), boundary.alpha().ln_threshold());
    let ln_e = |made: u32| evidence.ln_e(made, tried - made);
    // The two counts between which it lies, or the last two towards it.
    let (within, beyond) = match evidence.side() {
        Side::Above => {
            let beyond = boundary.makes(tried).unwrap_or(tried).max(1);
            (beyond - 1, beyond)
        }
        Side::Below => {
            let beyond = boundary.makes(tried).unwrap_or(0).min(tried - 1);
            (beyond + 1, beyond)
        }
    };
    let share = (wanted - ln_e(within)) / (ln_e(beyond) - ln_e(within));
    let makes = f64::from(within) + share * (f64::from(beyond) - f64::from(within));
    2.0 * makes - f64::from(tried)
}

/// The nearest way to pass, one sentence.
fn says(advice: &Advice) -> String {
    match (advice.verdict, advice.makes_to_promote) {
        (Verdict::Promote(at), _) => format!("Passed at {} of {}.", at.made, at.tried),
        (_, Some(1)) => "The next make passes.".to_owned(),
        (_, Some(makes)) => format!("{makes} makes in a row pass."),
        (_, None) => "It cannot pass on this sheet any more.".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use longrail_stats::promotion::Strictness;

    #[test]
    fn the_counts_beyond_the_bound_are_those_of_the_published_table() {
        // tests/reference/promotion_table.csv: made of n to pass, and at most so many to step back, at a target of 0.5.
        let table = include_str!("../../../../tests/reference/promotion_table.csv");
        let rules = Rules::new(0.5, Strictness::Usual).unwrap();
        let advice = longrail_stats::promotion::Sheet::default().advice(&rules);
        let (lane, bounds) = (lane(None, &rules, &advice), bounds(&rules));
        let mut compared = 0;
        for row in table.lines().filter(|line| line.starts_with(|c: char| c.is_ascii_digit())) {
            let cells: Vec<&str> = row.split(',').collect();
            let Ok(n) = cells[0].parse::<usize>() else { continue };
            let of = f64::from(u32::try_from(n).unwrap());
            let makes = |heights: &[f64]| f64::midpoint(heights[n - 1], of);
            if let Ok(pass) = cells[1].parse::<f64>() {
                assert_eq!(makes(&bounds.pass).ceil(), pass, "{row}");
                compared += 1;
            }
            if let Ok(back) = cells[3].parse::<f64>() {
                assert_eq!(makes(&bounds.back).floor(), back, "{row}");
                compared += 1;
            }
        }
        assert!(compared > 150, "{compared}");
        assert_eq!(lane.at_fifty, "34 of 50");
    }
}
