//! Promotion and step back: how often, and after how many attempts. Study of progression, 1.2, 1.4 and 1.6.

use crate::players::{Form, Shooter};
use crate::scenario::{Fault, Record, Scenario};
use crate::{Figure, Reference, Tally};
use longrail_math::random::Stream;
use longrail_stats::StatsError;
use longrail_stats::promotion::{Rules, SHEET, Sheet, Strictness};

const FALSE_PROMOTION: &str = "Promotion: how often within a sheet of 100, and within four";
const ATTEMPTS: &str = "Promotion: median attempts, a new sheet each 100, at most 400";
const STEP_BACK: &str = "Step back: how often within a sheet of 100, and median attempts";
const BOTH: &str = "Both boundaries active, by attempt 100";

/// Attempts of a run: four sheets.
const HORIZON: i64 = 400;
/// Players of the study's simulations in 1.2.
const STUDY_PLAYERS: f64 = 20_000.0;
/// The fewest players a cell in 1.4.
const STUDY_CLUSTERED: f64 = 8_000.0;

/// The study does not say how long the sessions of 1.4 are. It counts warm-up per 25 attempts, and with 25 its figures are
/// reproduced; sessions of 50, as in its section 4, stand beside them alone.
const STUDIED_SESSION: u32 = 25;

/// Columns of the tally.
const PROMOTED_AT: usize = 0;
const STEPPED_BACK_AT: usize = 1;
/// On the first sheet: 0 undecided, 1 promoted first, 2 stepped back first.
const FIRST: usize = 2;
const RATE_AT_PROMOTION: usize = 3;
/// Not within the horizon.
const NEVER: i64 = i64::MAX;

/// A player of constant chance at one rung, at most four sheets of 100.
#[derive(Debug)]
pub struct Sheets {
    rules: Rules,
    chance: f64,
    form: Form,
}

impl Sheets {
    /// A player of this chance under a rule of target 0.5.
    ///
    /// # Errors
    /// Never for the strictnesses there are.
    pub fn new(strictness: Strictness, chance: f64, form: Form) -> Result<Self, StatsError> {
        Ok(Self { rules: Rules::new(0.5, strictness)?, chance, form })
    }

    fn alphas(&self) -> (&'static str, &'static str) {
        match self.rules.strictness() {
            Strictness::Usual => ("α .10", "α .20"),
            Strictness::Strict => ("α .05", "α .10"),
        }
    }

    /// The values of a published table in the column of this player's chance, in hundredths.
    fn published<T: Copy>(&self, usual: &[(u32, T)], strict: &[(u32, T)]) -> Option<T> {
        let table = match self.rules.strictness() {
            Strictness::Usual => usual,
            Strictness::Strict => strict,
        };
        let near = |percent: u32| (self.chance * 100.0 - f64::from(percent)).abs() < 1e-6;
        table.iter().find(|(percent, _)| near(*percent)).map(|(_, value)| *value)
    }

    fn even_form(&self, tally: &Tally) -> Vec<Figure> {
        let (up, down) = self.alphas();
        let p = self.chance;
        let promoted = tally.column(PROMOTED_AT);
        let back = tally.column(STEPPED_BACK_AT);
        let mut figures = Vec::new();
        let sheet = i64::from(SHEET);
        // Study 1.2, "Exact [DP] … per sheet of 100".
        let exact = self.published(
            &[(40, 0.0052), (45, 0.0185), (50, 0.0674)],
            &[(40, 0.0012), (45, 0.0058), (50, 0.0293)],
        );
        if let Some(exact) = exact {
            let name = format!("{up}, p = {p:.2}, within 100");
            figures.push(
                Figure::share(FALSE_PROMOTION, name, promoted.share_up_to(sheet)).beside(Reference::exact(
                    "study 1.2, exact",
                    exact,
                    4,
                )),
            );
        }
        // Study 1.2, rows "new sheet each 100", second number.
        let four = self
            .published(&[(40, 0.024), (45, 0.067), (50, 0.244)], &[(40, 0.006), (45, 0.022), (50, 0.111)]);
        if let Some(value) = four {
            let name = format!("{up}, p = {p:.2}, within 400 on four sheets");
            figures.push(
                Figure::share(FALSE_PROMOTION, name, promoted.share_up_to(HORIZON))
                    .beside(Reference::simulated("study 1.2", value, 3, STUDY_PLAYERS)),
            );
        }
        // The same rows; nothing stands there for α .05 at .55 ("over 400").
        let medians = self.published(
            &[(55, 270.0), (60, 91.0), (65, 41.0), (70, 26.0), (80, 13.0)],
            &[(55, f64::NAN), (60, 141.0), (65, 59.0), (70, 34.0), (80, 18.0)],
        );
        if let Some(value) = medians {
            let reference = Reference::median("study 1.2", value, STUDY_PLAYERS);
            let reference = value.is_finite().then_some(reference);
            figures.push(Figure::median(
                ATTEMPTS,
                format!("{up}, p = {p:.2}"),
                &promoted,
                HORIZON,
                reference,
            ));
        }
        // Study 1.6: "exact within 100", and the strict ones after "Stricter".
        let back_exact = self
            .published(&[(40, 0.138), (45, 0.047), (50, 0.016)], &[(40, 0.061), (45, 0.015), (50, 0.004)]);
        if let Some(exact) = back_exact {
            let name = format!("{down}, p = {p:.2}, within 100");
            figures.push(Figure::share(STEP_BACK, name, back.share_up_to(sheet)).beside(Reference::exact(
                "study 1.6, exact",
                exact,
                3,
            )));
        }
        let back_medians = self.published(
            &[(15, 11.0), (20, 18.0), (25, 24.0), (30, 53.0)],
            &[(15, 17.0), (20, 24.0), (25, 41.0), (30, 87.0)],
        );
        if let Some(value) = back_medians {
            // The study does not say how many players it simulated here; 20 000 as in 1.2.
            let reference = Reference::median("study 1.6", value, STUDY_PLAYERS);
            let name = format!("{down}, p = {p:.2}, median attempts");
            figures.push(Figure::median(STEP_BACK, name, &back, sheet, Some(reference)));
        }
        figures.extend(self.both(tally));
        figures.extend(self.flattery(tally));
        figures
    }

    /// Study 1.6, the table "Both bounds active, exact (DP)".
    fn both(&self, tally: &Tally) -> Vec<Figure> {
        let table = [
            (20, (0.000, 0.996)),
            (25, (0.000, 0.938)),
            (30, (0.000, 0.700)),
            (35, (0.002, 0.362)),
            (40, (0.005, 0.138)),
            (45, (0.019, 0.047)),
            (50, (0.067, 0.016)),
            (55, (0.222, 0.005)),
            (60, (0.531, 0.002)),
            (65, (0.844, 0.001)),
            (70, (0.978, 0.000)),
        ];
        let Some((promoted, back)) = self.published(&table, &[]) else { return Vec::new() };
        let first = tally.column(FIRST);
        [("promoted", first.share_of(1), promoted), ("stepped back", first.share_of(2), back)]
            .into_iter()
            .map(|(word, estimate, exact)| {
                Figure::share(BOTH, format!("p = {:.2}, {word}", self.chance), estimate)
                    .beside(Reference::exact("study 1.6, exact", exact, 3))
            })
            .collect()
    }

    /// The study's figures for this (1.5) are for one count without a new sheet: see `unreset.rs`.
    fn flattery(&self, tally: &Tally) -> Option<Figure> {
        if self.rules.strictness() != Strictness::Usual || self.chance < 0.5 {
            return None;
        }
        let estimate = tally.column(RATE_AT_PROMOTION).mean(crate::scenario::MILLION);
        let name = format!("p = {:.2}, a new sheet each 100, within 400", self.chance);
        Some(Figure::share(super::FLATTERY, name, estimate))
    }

    fn clustered(&self, tally: &Tally) -> Vec<Figure> {
        let (up, _) = self.alphas();
        let promoted = tally.column(PROMOTED_AT);
        let name = |end: &str| format!("{up}, p = {:.2}, {}, {end}", self.chance, self.form.text());
        // Study 1.4, columns "3-point sheet 100", and for α .05 the text below the table.
        let (within_100, within_400) = match (self.form, self.rules.strictness()) {
            (Form::Markov { .. }, Strictness::Usual) => (
                self.published(&[(45, 0.057), (50, 0.148)], &[]),
                self.published(&[(45, 0.219), (50, 0.478)], &[]),
            ),
            (Form::Session { attempts: STUDIED_SESSION, .. }, Strictness::Usual) => (
                self.published(&[(45, 0.072), (50, 0.160)], &[]),
                self.published(&[(45, 0.250), (50, 0.502)], &[]),
            ),
            (Form::Session { attempts: STUDIED_SESSION, .. }, Strictness::Strict) => {
                (self.published(&[], &[(50, 0.099)]), None)
            }
            _ => (None, None),
        };
        [("within 100", i64::from(SHEET), within_100), ("within 400 on four sheets", HORIZON, within_400)]
            .into_iter()
            .map(|(end, limit, published)| {
                let figure = Figure::share(FALSE_PROMOTION, name(end), promoted.share_up_to(limit));
                match published {
                    Some(value) => {
                        figure.beside(Reference::simulated("study 1.4", value, 3, STUDY_CLUSTERED))
                    }
                    None => figure,
                }
            })
            .collect()
    }
}

impl Scenario for Sheets {
    fn key(&self) -> String {
        format!("sheets/{:?}/{}/{:?}", self.rules.strictness(), self.chance, self.form)
    }

    fn runs(&self) -> u64 {
        200_000
    }

    fn cost_us(&self) -> u64 {
        6
    }

    fn run(&self, stream: &mut Stream, record: &mut Record<'_>) -> Result<(), Fault> {
        let mut shooter = Shooter::new(self.form);
        let (mut promoted, mut stepped_back, mut first) = (NEVER, NEVER, 0);
        let mut before = 0;
        'sheets: while before < HORIZON {
            let mut sheet = Sheet::default();
            while !sheet.ended() {
                let visit = shooter.session();
                sheet.attempt(&self.rules, visit, shooter.shoot(self.chance, stream))?;
                if let Some(at) = sheet.promoted()
                    && promoted == NEVER
                {
                    promoted = before + i64::from(at.tried);
                    record.quantity(RATE_AT_PROMOTION, f64::from(at.made) / f64::from(at.tried));
                }
                if let Some(at) = sheet.stepped_back()
                    && stepped_back == NEVER
                {
                    stepped_back = before + i64::from(at.tried);
                }
                if first == 0 && before == 0 {
                    first = i64::from(promoted != NEVER);
                    if first == 0 && stepped_back != NEVER {
                        first = 2;
                    }
                }
                // The first sheet is shot to its end, so that either boundary is seen alone.
                if before > 0 && promoted != NEVER {
                    break 'sheets;
                }
            }
            if promoted != NEVER {
                break;
            }
            before += i64::from(SHEET);
        }
        record.number(PROMOTED_AT, promoted);
        record.number(STEPPED_BACK_AT, stepped_back);
        record.number(FIRST, first);
        Ok(())
    }

    fn figures(&self, tally: &Tally) -> Vec<Figure> {
        if self.form == Form::Even { self.even_form(tally) } else { self.clustered(tally) }
    }
}

pub(super) fn list(all: &mut Vec<Box<dyn Scenario>>) -> Result<(), StatsError> {
    let mut add = |strictness, chance, form| -> Result<(), StatsError> {
        all.push(Box::new(Sheets::new(strictness, chance, form)?));
        Ok(())
    };
    for strictness in [Strictness::Usual, Strictness::Strict] {
        for percent in [15, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80] {
            add(strictness, f64::from(percent) / 100.0, Form::Even)?;
        }
        for form in [
            Form::Session { sd: 0.4, attempts: STUDIED_SESSION },
            Form::Session { sd: 0.4, attempts: 50 },
            Form::Markov { correlation: 0.2 },
        ] {
            for chance in [0.40, 0.45, 0.50] {
                add(strictness, chance, form)?;
            }
        }
    }
    Ok(())
}
