//! Where the simulated player stands on each ladder, by the rule of promotion.

use longrail_practice::drill::{RungNumber, Setup};
use longrail_practice::event::{Aim, Task, Wall};
use longrail_practice::id::EventId;
use longrail_stats::promotion::{LAY_OFF_DAYS, Rules, Sheet, Since, Strictness};
use longrail_stats::{Count, StatsError};

/// Names and rungs of shipped drills, each with how much wider the player's spread counts on it than on a straight stop.
/// These are assumptions.
pub(super) const DRILLS: [(&str, u32, f64); 6] = [
    ("straight-stop-lengthening", 9, 1.0),
    ("straight-follow-lengthening", 12, 1.05),
    ("straight-draw-lengthening", 7, 1.25),
    ("long-straight-pot", 16, 1.15),
    ("cut-lengthening", 12, 1.3),
    ("spot-ball-lengthening", 10, 1.2),
];

/// The version of these drills.
pub(super) const VERSION: u32 = 1;

/// One ladder.
#[derive(Clone, Debug)]
pub(super) struct Ladder {
    drill: &'static str,
    rungs: u32,
    /// How much wider the spread counts.
    pub(super) factor: f64,
    /// The rung that is being proved, and the corner.
    rung: u32,
    setup: usize,
    sheet: Sheet,
    last: Wall,
    /// Was the advice to step back answered on this sheet?
    pub(super) answered: bool,
}

/// All ladders, with the rule.
#[derive(Clone, Debug)]
pub(super) struct Ladders {
    rules: Rules,
    all: Vec<Ladder>,
}

impl Ladders {
    pub(super) fn new() -> Result<Self, StatsError> {
        let all = DRILLS.iter().map(|&(drill, rungs, factor)| Ladder {
            drill,
            rungs,
            factor,
            rung: 1,
            setup: 0,
            sheet: Sheet::default(),
            last: Wall::default(),
            answered: false,
        });
        Ok(Self { rules: Rules::new(0.5, Strictness::Usual)?, all: all.collect() })
    }

    /// A ladder, with the rule.
    pub(super) fn get(&mut self, which: u32) -> (&mut Ladder, &Rules) {
        let count = self.all.len();
        (&mut self.all[which as usize % count], &self.rules)
    }
}

impl Ladder {
    /// The rung for an aim: work is one rung nearer than proof.
    pub(super) const fn rung(&self, aim: Aim) -> u32 {
        match aim {
            Aim::Proof => self.rung,
            Aim::Work => {
                if self.rung > 1 {
                    self.rung - 1
                } else {
                    1
                }
            }
        }
    }

    pub(super) fn task(&self, aim: Aim, card: EventId) -> Task {
        Task {
            drill: self.drill.to_owned(),
            drill_version: VERSION,
            rung: RungNumber::whole(self.rung(aim)),
            setup: Setup::ALL[self.setup % Setup::ALL.len()],
            constraints: String::new(),
            card,
        }
    }

    /// Enters what was shot in a set of proof. Says whether it promotes.
    pub(super) fn enter(&mut self, rules: &Rules, visit: u32, count: Count, now: Wall) -> bool {
        // Exact: times of this century in milliseconds are below 2^53.
        #[allow(clippy::cast_precision_loss)]
        let days = now.ms.saturating_sub(self.last.ms) as f64 / super::DAY_MS as f64;
        if days >= LAY_OFF_DAYS || self.sheet.needs_new(Since::default()).is_some() {
            self.begin();
        }
        self.last = now;
        // A sheet that was just seen to be open takes what is entered.
        let _ = self.sheet.enter(rules, visit, count);
        self.sheet.promoted().is_some()
    }

    /// Made and tried on the sheet.
    pub(super) const fn counts(&self) -> (u32, u32) {
        (self.sheet.made(), self.sheet.tried())
    }

    /// Does the sheet advise to step back, and nobody has answered?
    pub(super) const fn advises_back(&self) -> bool {
        self.sheet.stepped_back().is_some() && !self.answered && self.rung > 1
    }

    /// The next rung; behind the last one, the first at the next corner.
    pub(super) fn promote(&mut self) {
        self.begin();
        if self.rung < self.rungs {
            self.rung += 1;
        } else {
            (self.rung, self.setup) = (1, self.setup + 1);
        }
    }

    pub(super) fn step_back(&mut self) {
        self.begin();
        self.rung = self.rung.saturating_sub(1).max(1);
    }

    fn begin(&mut self) {
        (self.sheet, self.answered) = (Sheet::default(), false);
    }
}
