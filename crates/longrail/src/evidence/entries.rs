//! The entries of a sheet, as people type them: visits of shots or of counts.

use longrail_stats::Count;

use super::typed;
use crate::exit::Failure;

/// One look at the rule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Entry {
    /// One shot: made or not.
    Shot(bool),
    /// Several, entered at once.
    Batch(Count),
}

/// "1101,0111": a visit is what stands between commas; spaces are for the eye. Visits without a shot do not count.
pub(crate) fn shots(text: &str) -> Result<Vec<Vec<Entry>>, Failure> {
    let mut visits = Vec::new();
    for part in text.split(',') {
        let mut visit = Vec::new();
        for sign in part.chars().filter(|sign| !sign.is_whitespace()) {
            visit.push(match sign {
                '1' | '+' => Entry::Shot(true),
                '0' | '-' => Entry::Shot(false),
                _ => {
                    let sign = sign.escape_debug();
                    return Err(Failure::Input(format!(
                        "\"{sign}\" is no shot: 1 or + is made, 0 or - is missed, and a comma ends a visit"
                    )));
                }
            });
        }
        visits.push(visit);
    }
    some(visits, "the sequence holds no shot: write 1 for made and 0 for missed, such as 1101")
}

/// "8/10," "6/8" "12/20": a visit is what stands between commas.
pub(super) fn batches(texts: &[String]) -> Result<Vec<Vec<Entry>>, Failure> {
    let mut visits = Vec::new();
    // Joined, so that a comma ends a visit wherever the shell has cut.
    for part in texts.join(" ").split(',') {
        let mut visit = Vec::new();
        for text in part.split_whitespace() {
            visit.push(Entry::Batch(typed::count(text)?));
        }
        visits.push(visit);
    }
    some(visits, "nothing to judge: give counts such as 34/50, or shots such as --shots 1101")
}

fn some(mut visits: Vec<Vec<Entry>>, otherwise: &str) -> Result<Vec<Vec<Entry>>, Failure> {
    visits.retain(|visit| !visit.is_empty());
    if visits.is_empty() { Err(Failure::Input(otherwise.to_owned())) } else { Ok(visits) }
}
