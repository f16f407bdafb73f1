//! `longrail proof`: where a sheet stands, and what follows.

use longrail_stats::promotion::{
    Advice, NewSheet, Rules, SHEET, Sheet, Since, Strictness, Verdict, Weighed, crossing_chances,
};
use serde_json::{Value, json};

use super::entries::{self, Entry};
use super::typed;
use super::words::{chosen, number, of, percent, run as run_of};
use crate::exit::Failure;
use crate::page::Page;

/// What a reader of `--help` should know before trusting a promotion.
const PROMISE: &str = "\
A sheet is up to 100 attempts at one thing; look as often as you like. A player who
is not above the target passes at most 1 sheet in 10 (--strict: 1 in 20), as long as
the chance of a make does not rise above the target for a while: form that comes and
goes by the day about doubles that, which --strict makes up for.";

/// Arguments of `longrail proof`.
#[derive(clap::Args)]
#[command(after_help = PROMISE)]
#[allow(clippy::struct_excessive_bools)] // each is a switch of its own
pub(crate) struct Arguments {
    /// Entries of the sheet, made of tried: each is one look at the rule. A comma ends a visit: "8/10, 6/8 12/20".
    #[arg(value_name = "MADE/TRIED", conflicts_with = "shots")]
    entries: Vec<String>,
    /// The sheet shot by shot, a look after each: 1 or + made, 0 or - missed; a comma ends a visit ("1101,0111").
    #[arg(long, value_name = "SHOTS", allow_hyphen_values = true)]
    shots: Option<String>,
    /// Rate to be shown, such as 0.6 or 60%; from 0.01 to 0.99.
    #[arg(long, default_value = "0.5", allow_negative_numbers = true)]
    target: String,
    /// The stricter rule: half as many false promotions, at the price of more attempts.
    #[arg(long)]
    strict: bool,
    /// First attempts of each visit to leave out, at most 10; declared before the first shot.
    #[arg(long, value_name = "N", default_value_t = 0)]
    warm_up: u32,
    /// Promote in the second visit of a sheet at the earliest (this condition was not studied).
    #[arg(long)]
    two_visits: bool,
    /// Days since the last attempt on this sheet.
    #[arg(long, value_name = "DAYS", default_value_t = 0.0, allow_negative_numbers = true)]
    days: f64,
    /// The table or the equipment is of another class than before.
    #[arg(long)]
    changed: bool,
    /// The advice to step back was followed.
    #[arg(long)]
    stepped_back: bool,
    /// Write JSON instead of text.
    #[arg(long)]
    json: bool,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let visits = match &arguments.shots {
        Some(shots) => entries::shots(shots)?,
        None => entries::batches(&arguments.entries)?,
    };
    let target = typed::share("target", &arguments.target)?;
    if !(arguments.days.is_finite() && arguments.days >= 0.0) {
        return Err(Failure::Input(format!("days is {}; it must be 0 or more", arguments.days)));
    }
    let strictness = if arguments.strict { Strictness::Strict } else { Strictness::Usual };
    let rules = Rules::new(target, strictness)?.with_two_visits(arguments.two_visits);
    let sheet = played(&rules, &visits, arguments.warm_up)?;
    let since = Since {
        days: arguments.days,
        conditions_changed: arguments.changed,
        step_back_taken: arguments.stepped_back,
    };
    let state = State {
        advice: sheet.advice(&rules),
        new_sheet: sheet.needs_new(since),
        false_promotion: crossing_chances(Some(rules.promote()), None, target, SHEET)?.promoted_by(SHEET),
        rules,
    };
    let reading = state.reading();
    state.page(&reading).print(arguments.json, &state.object(&reading))
}

/// The sheet after everything was entered.
fn played(rules: &Rules, visits: &[Vec<Entry>], warm_up: u32) -> Result<Sheet, Failure> {
    let mut sheet = Sheet::default();
    for (visit, entries) in (1..).zip(visits) {
        if warm_up > 0 {
            sheet.declare_warm_up(visit, warm_up)?;
        }
        for &entry in entries {
            match entry {
                Entry::Shot(made) => sheet.attempt(rules, visit, made)?,
                Entry::Batch(count) => sheet.enter(rules, visit, count)?,
            }
        }
    }
    Ok(sheet)
}

/// Everything that is said.
struct State {
    rules: Rules,
    advice: Advice,
    new_sheet: Option<NewSheet>,
    /// Chance that a whole sheet promotes a player whose rate is the target itself.
    false_promotion: f64,
}

impl State {
    fn reading(&self) -> String {
        let advice = &self.advice;
        let (count, target) = (of(advice.count), chosen(advice.target));
        match advice.verdict {
            Verdict::Promote(at) => format!(
                "Promote: at {} of {} this sheet passed the target of {target}, and later misses do not undo it.",
                at.made, at.tried
            ),
            Verdict::StepBack(at) => format!(
                "A step back is offered, since {} of {} is low for a target of {target}; to stay, after a rest, is as \
                 good an answer.",
                at.made, at.tried
            ),
            Verdict::Stay => format!(
                "Stay: {count} ended the sheet without a decision, which is usual near the target of {target}."
            ),
            Verdict::Undecided if advice.count.tried() == 0 => {
                format!("Undecided: nothing counted yet, warm-up left out, for a target of {target}.")
            }
            Verdict::Undecided if advice.waits_for_second_visit => format!(
                "Undecided at {count} for a target of {target}: a promotion waits for the second visit."
            ),
            Verdict::Undecided => format!("Undecided at {count} for a target of {target}, {}.", self.open()),
        }
    }

    /// What an open sheet waits for.
    fn open(&self) -> String {
        if let Some(why) = self.new_sheet {
            return format!("and the next attempt belongs on a new sheet: {}", reason(why));
        }
        let (makes, misses) = (self.advice.makes_to_promote, self.advice.misses_to_step_back);
        let promote = makes.map(|makes| format!("{} would promote", makes_in_a_row(makes)));
        let back = misses
            .filter(|&misses| makes.is_none_or(|makes| misses <= makes))
            .map(|misses| format!("{} would bring the offer of a step back", misses_in_a_row(misses)));
        let ways: Vec<String> = promote.into_iter().chain(back).collect();
        if ways.is_empty() {
            "and too few attempts are left on this sheet to decide".to_owned()
        } else {
            format!("which is normal: {}", ways.join(", "))
        }
    }

    fn page(&self, reading: &str) -> Page {
        let advice = &self.advice;
        let mut page = Page::new(reading, 20);
        let mut sheet = vec![format!("{} made in {}", of(advice.count), number(advice.visits, "visit"))];
        if advice.left_out > 0 {
            sheet.push(format!("{} left out", number(advice.left_out, "warm-up attempt")));
        }
        sheet.push(format!("{} to go", number(advice.attempts_left, "attempt")));
        page.row("sheet", &sheet.join(", "));
        page.row("rule", &self.rule());
        self.weigh(&mut page);
        // A second condition can only make promotions rarer.
        let bound = if self.rules.two_visits() { "at most " } else { "" };
        page.row(
            "false promotion",
            &format!(
                "{bound}{} of whole sheets at a true rate of {}; the rule allows {}",
                percent(self.false_promotion),
                chosen(advice.target),
                chosen(self.rules.promote().alpha().value())
            ),
        );
        page.row("next attempt", &self.next());
        if matches!(advice.verdict, Verdict::Promote(_)) {
            page.note(
                "The rate at the moment of promotion flatters: it is not the player's level. `longrail rate` with \
                 --stopped shows the range that holds.",
            );
        }
        if self.rules.two_visits() {
            page.note(Rules::TWO_VISITS_NOTE);
        }
        page
    }

    fn rule(&self) -> String {
        let name = match self.rules.strictness() {
            Strictness::Usual => "usual",
            Strictness::Strict => "strict",
        };
        let back = match self.rules.step_back() {
            Some(boundary) => format!(
                "step back from {}, alpha {:.2}",
                chosen(boundary.evidence().line()),
                boundary.alpha().value()
            ),
            None => "the target leaves no room for a step back".to_owned(),
        };
        format!(
            "{name}: promote above {}, alpha {:.2}; {back}",
            chosen(self.rules.target()),
            self.rules.promote().alpha().value()
        )
    }

    fn weigh(&self, page: &mut Page) {
        let advice = &self.advice;
        let evidence =
            |weighed: Weighed| format!("log evidence {:.3} of {:.3}", weighed.ln_e, weighed.ln_threshold);
        let tried = advice.count.tried();
        let mut up = vec![evidence(advice.promote)];
        up.extend(
            self.rules.promote().makes(tried).map(|needed| format!("at {tried} it takes {needed} or more")),
        );
        let when = if advice.waits_for_second_visit { ", in a second visit" } else { "" };
        up.extend(advice.makes_to_promote.map(|makes| format!("{} would do{when}", makes_in_a_row(makes))));
        page.row("promotion", &up.join("; "));
        let Some((weighed, boundary)) = advice.step_back.zip(self.rules.step_back()) else { return };
        let mut down = vec![evidence(weighed)];
        down.extend(boundary.makes(tried).map(|most| format!("at {tried} it takes {most} or fewer")));
        down.extend(advice.misses_to_step_back.map(|misses| format!("{} would do", misses_in_a_row(misses))));
        page.row("step back", &down.join("; "));
    }

    fn next(&self) -> String {
        match self.new_sheet {
            None => "on this sheet".to_owned(),
            Some(why) => format!("on a new sheet: {}", reason(why)),
        }
    }

    fn object(&self, reading: &str) -> Value {
        let advice = &self.advice;
        let (verdict, at) = match advice.verdict {
            Verdict::Promote(at) => ("promote", Some(at)),
            Verdict::StepBack(at) => ("step_back", Some(at)),
            Verdict::Stay => ("stay", None),
            Verdict::Undecided => ("undecided", None),
        };
        let tried = advice.count.tried();
        let up = self.rules.promote();
        let back = self.rules.step_back().zip(advice.step_back).map(|(boundary, weighed)| {
            json!({
                "line": boundary.evidence().line(), "alpha": boundary.alpha().value(),
                "log_evidence": weighed.ln_e, "log_threshold": weighed.ln_threshold,
                "makes_at_most": boundary.makes(tried), "misses_in_a_row": advice.misses_to_step_back,
            })
        });
        json!({
            "reading": reading, "advice": verdict,
            "target": advice.target,
            "strict": self.rules.strictness() == Strictness::Strict,
            "two_visits": self.rules.two_visits(),
            "two_visits_note": self.rules.two_visits().then_some(Rules::TWO_VISITS_NOTE),
            "made": advice.count.made(), "missed": advice.count.missed(), "tried": tried,
            "warm_up_left_out": advice.left_out, "visits": advice.visits, "attempts_left": advice.attempts_left,
            "waits_for_second_visit": advice.waits_for_second_visit,
            "crossed_at": at.map(|at| json!({"made": at.made, "tried": at.tried})),
            "promotion": {
                "alpha": up.alpha().value(),
                "log_evidence": advice.promote.ln_e, "log_threshold": advice.promote.ln_threshold,
                "makes_at_least": up.makes(tried), "makes_in_a_row": advice.makes_to_promote,
            },
            "step_back": back,
            "false_promotion_chance": self.false_promotion,
            "new_sheet": self.new_sheet.map(name),
            "new_sheet_reason": self.new_sheet.map(reason),
        })
    }
}

fn makes_in_a_row(makes: u32) -> String {
    run_of(makes, "make", "makes")
}

fn misses_in_a_row(misses: u32) -> String {
    run_of(misses, "miss", "misses")
}

fn name(why: NewSheet) -> &'static str {
    match why {
        NewSheet::Promoted => "promoted",
        NewSheet::SteppedBack => "stepped_back",
        NewSheet::Full => "full",
        NewSheet::ConditionsChanged => "conditions_changed",
        NewSheet::LayOff { .. } => "lay_off",
    }
}

fn reason(why: NewSheet) -> String {
    match why {
        NewSheet::Promoted => "this one promoted".to_owned(),
        NewSheet::SteppedBack => "the advice to step back was followed".to_owned(),
        NewSheet::Full => format!("this one reached {SHEET} attempts"),
        NewSheet::ConditionsChanged => "table or equipment are of another class".to_owned(),
        NewSheet::LayOff { days } => format!("nothing was tried for {days} days"),
    }
}
