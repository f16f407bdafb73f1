//! Three lines at the end of a set: what you did, what it settled, what is next.

use longrail_stats::promotion::{Advice, Rules, Sheet, Verdict};
use longrail_stats::{Count, Interval, Level, rate};

use crate::ladder::Move;

/// A set that has ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Set<'a> {
    /// The drill's title.
    pub title: &'a str,
    /// The table's name.
    pub table: &'a str,
    /// The rung, from 1; a fraction lies between two rungs.
    pub rung: f64,
    /// Where a pass leads ([`crate::ladder::next_step`]); none on the last rung.
    pub farther: Option<f64>,
    /// Where a step back leads; none on the first rung.
    pub nearer: Option<f64>,
    /// What was made.
    pub count: Count,
}

/// What is said at the end of a set.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lines {
    /// What you did.
    pub did: String,
    /// What it settled, with what that rests on.
    pub settled: String,
    /// What is next.
    pub next: String,
}

/// The rung at which the stroke's odds are even, before the set and now. It is modelled, and moves where a sheet does not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moved {
    /// Before.
    pub before: f64,
    /// Now.
    pub now: f64,
}

/// After a set of proving. `moved` is said where nothing was decided.
pub fn after_proof(set: &Set<'_>, sheet: &Sheet, rules: &Rules, moved: Option<Moved>) -> Lines {
    let advice = sheet.advice(rules);
    let basis = basis(&advice, rules);
    let settled = match (advice.verdict, moved) {
        (Verdict::Undecided | Verdict::Stay, Some(Moved { before, now })) => {
            format!(
                "{basis} Your stroke, as modelled, is even at rung {now:.1}; before this set it was {before:.1}."
            )
        }
        _ => basis,
    };
    let next = match advice.verdict {
        Verdict::Promote(_) => match set.farther {
            Some(rung) => format!("Next: a new sheet, at rung {rung}."),
            None => "Next: another ladder; this was its last rung.".to_owned(),
        },
        Verdict::StepBack(_) => match set.nearer {
            Some(rung) => format!("Rest a little, then step back to rung {rung} or stay here: you choose."),
            None => "Rest a little, then stay, or take an easier ladder: you choose.".to_owned(),
        },
        Verdict::Stay => {
            "Next: a new sheet at this rung when you like, or work at your work rung.".to_owned()
        }
        Verdict::Undecided => {
            let left = format!("{} are left on this sheet", many(advice.attempts_left, "attempt"));
            match advice.makes_to_promote {
                _ if advice.waits_for_second_visit => {
                    format!("Next: go on another day, since a proof needs two visits; {left}.")
                }
                Some(1) => format!("Next: go on; the next make would pass, and {left}."),
                Some(makes) => format!("Next: go on; {makes} makes in a row would pass, and {left}."),
                None => format!("Next: it cannot pass on this sheet any more; {left} for the count alone."),
            }
        }
    };
    Lines { did: format!("{}; the sheet stands at {}.", did(set), of(advice.count)), settled, next }
}

/// After a set of work. `chance` and `range` (80 %) are what the stroke now predicts at this rung.
pub fn after_work(set: &Set<'_>, chance: f64, range: Interval, to: Move) -> Lines {
    let here = format!(
        "Your stroke, as modelled, makes {} there now (80 % range {} to {})",
        percent(chance),
        percent(range.low),
        percent(range.high)
    );
    let next = match to {
        Move::Stay => format!("Next: stay at rung {}; that is the right difficulty to work at.", set.rung),
        Move::MovedAlready => {
            format!("Next: stay at rung {}; the work rung moves once a session at most.", set.rung)
        }
        Move::Out { to } => format!("Next: rung {to}; this one has become easy."),
        Move::Back { to } => format!("Next: rung {to}; this one is too hard to work at for now."),
        Move::AtTheEnd => "Next: stay, or take another ladder; this one has no rung on that side.".to_owned(),
    };
    Lines {
        did: format!("{}.", did(set)),
        settled: format!("{here}. Work is not a proof and promotes nobody."),
        next,
    }
}

/// What a sheet settles, in words, with the numbers it rests on.
pub fn basis(advice: &Advice, rules: &Rules) -> String {
    let sheets = |alpha: f64| format!("at most 1 sheet in {:.0}", 1.0 / alpha);
    match advice.verdict {
        Verdict::Promote(at) => format!(
            "Passed, at {} of {} on this sheet: where the chance never exceeds {}, {} gets there. That count was stopped by \
             a rule, so it flatters and is not your level.",
            at.made,
            at.tried,
            percent(rules.target()),
            sheets(rules.promote().alpha().value())
        ),
        Verdict::StepBack(at) => {
            let why = rules.step_back().map_or_else(String::new, |boundary| {
                format!(
                    ": where the chance is {} or more, {} falls so low",
                    percent(boundary.evidence().line()),
                    sheets(boundary.alpha().value())
                )
            });
            format!("Too hard for now, at {} of {} on this sheet{why}.", at.made, at.tried)
        }
        Verdict::Stay => {
            format!("Not decided by a full sheet, {}. {}", of(advice.count), alone(advice.count))
        }
        Verdict::Undecided if advice.count.tried() == 0 => {
            "Not decided: there is no attempt on this sheet yet.".to_owned()
        }
        Verdict::Undecided => {
            let tried = advice.count.tried();
            let pass = match rules.promote().makes(tried) {
                Some(makes) => format!("{makes} would pass"),
                None => "no count passes yet".to_owned(),
            };
            let back = match rules.step_back().map(|boundary| boundary.makes(tried)) {
                Some(Some(makes)) => format!(", {makes} or fewer would step back"),
                Some(None) => ", none steps back yet".to_owned(),
                None => String::new(),
            };
            format!("Not decided: {}; of {tried}, {pass}{back}. {}", of(advice.count), alone(advice.count))
        }
    }
}

/// What a count that no rule stopped says of the chance.
fn alone(count: Count) -> String {
    let range = rate::jeffreys(count, Level::P80);
    format!(
        "From this sheet alone the chance is {} to {} (80 % range).",
        percent(range.low),
        percent(range.high)
    )
}

fn did(set: &Set<'_>) -> String {
    format!("Made {} at rung {} of \"{}\" on {}", of(set.count), set.rung, set.title, set.table)
}

fn of(count: Count) -> String {
    format!("{} of {}", count.made(), count.tried())
}

fn many(count: u32, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}
