//! One day of practice: a visit, and what is written down in the evening.

use super::ladders::{Ladder, Ladders};
use super::pen::Pen;
use super::{DAY_MS, History, truth, words};
use crate::players::normal;
use longrail_math::fx;
use longrail_math::random::Stream;
use longrail_practice::event::{
    Aim, Annotation, Attempt, Batch, BlockBegan, BlockEnded, Correction, CueEnd, CueEndNoted, JournalEntry,
    Outcome, Payload, PromotionAccepted, Purpose, SessionBegan, SessionEnded, SetBegan, SetEnded,
    StepBackAnswered, Study, WarmUpDeclared,
};
use longrail_practice::id::EventId;
use longrail_stats::Count;
use longrail_stats::promotion::Rules;

/// Hours UTC at which a visit begins and at which the journal is written.
const VISIT_HOUR: u64 = 15;
const EVENING_HOUR: u64 = 21;
const HOUR_MS: u64 = 3_600_000;
/// Longest time for all attempts of a day, and usual time for one, milliseconds.
const LONGEST_MS: u64 = 5 * HOUR_MS;
const USUAL_MS: u64 = 28_000;
/// Standard deviation of a day's form on the logarithm of the spread. An assumption.
const FORM: f64 = 0.1;
/// Attempts that are declared warm-up at the beginning of a visit.
const WARM_UP: u32 = 5;

// Shares, all assumptions: sets of proof, sets entered as counts, taps undone, misses without a side, with the side asked
// for and not seen, and those at which the cue ball's end is noted.
const PROOF: f64 = 0.45;
const COUNTED: f64 = 0.04;
const UNDONE: f64 = 0.006;
const NO_SIDE: f64 = 0.2;
const NOT_SEEN: f64 = 0.1;
const END_NOTED: f64 = 0.08;
const TO_THE_LEFT: f64 = 0.55;

/// A visit, as far as its sets need it.
struct Visit<'a> {
    pen: &'a mut Pen,
    stream: Stream,
    day: u32,
    card: EventId,
    spread_deg: f64,
    pace_ms: u64,
}

/// Writes what happens on a day of practice.
pub(super) fn of(history: &mut History, midnight: u64, mut stream: Stream) {
    let History { settings, day, pen, ladders, card, .. } = history;
    pen.draw_from(Stream::new(settings.seed, super::PURPOSE + 1, u64::from(*day)));
    pen.at(midnight + VISIT_HOUR * HOUR_MS);
    // Once a week the other device is at the table.
    pen.take(usize::from(*day % 7 == 4));
    let is_test = *day % 7 == 3;
    let purpose = if is_test { Purpose::Test } else { Purpose::DrillWork };
    let began = SessionBegan { purpose, minutes_free: 120, card: Some(*card) };
    let session = pen.write(Payload::SessionBegan(began));
    let spread_deg = truth::spread_deg(*day) * fx::exp(FORM * normal(&mut stream));
    let pace_ms = (LONGEST_MS / u64::from(settings.attempts_a_day.max(1))).clamp(1, USUAL_MS);
    let mut visit = Visit { pen, stream, day: *day, card: *card, spread_deg, pace_ms };
    let mut left = settings.attempts_a_day;
    let mut first = true;
    // Half of the attempts in each of two blocks.
    for until in [left / 2, 0] {
        let block = visit.pen.write(Payload::BlockBegan(BlockBegan { session, purpose }));
        while left > until {
            let size = (10 + visit.stream.below(11)).min(left - until);
            left -= visit.set(ladders, block, size, first, is_test);
            first = false;
        }
        visit.pen.write(Payload::BlockEnded(BlockEnded { block }));
    }
    if *day % 7 == 5 {
        let games = visit.pen.write(Payload::BlockBegan(BlockBegan { session, purpose: Purpose::MatchPlay }));
        visit.pen.wait(HOUR_MS / 2);
        visit.pen.write(Payload::BlockEnded(BlockEnded { block: games }));
    }
    let focus = Some(u8::try_from(2 + visit.stream.below(4)).unwrap_or(3));
    let line = if visit.stream.unit() < 0.3 { words::worked(&mut visit.stream) } else { String::new() };
    visit.pen.write(Payload::SessionEnded(SessionEnded { session, focus, line }));
    visit.evening(session, midnight);
}

impl Visit<'_> {
    /// A set of so many attempts, or fewer if it promotes before. Says how many it had.
    fn set(&mut self, ladders: &mut Ladders, block: EventId, size: u32, first: bool, is_test: bool) -> u32 {
        let (ladder, rules) = ladders.get(self.stream.below(6));
        let proof = !first && (is_test || self.stream.unit() < PROOF);
        let aim = if proof { Aim::Proof } else { Aim::Work };
        let task = ladder.task(aim, self.card);
        self.pen.wait(self.pace_ms);
        let set = self.pen.write(Payload::SetBegan(SetBegan { block, task: task.clone(), aim }));
        if first {
            self.pen.write(Payload::WarmUpDeclared(WarmUpDeclared { set, attempts: WARM_UP.min(size) }));
        }
        let chance = truth::chance(ladder.rung(aim), self.spread_deg * ladder.factor);
        let (shot, promotes) = if !first && self.stream.unit() < COUNTED {
            self.count(ladder, rules, set, (size, chance), aim)
        } else {
            self.attempts(ladder, rules, set, (size, chance), aim)
        };
        self.pen.write(Payload::SetEnded(SetEnded { set }));
        if promotes {
            let (made, tried) = ladder.counts();
            self.pen.write(Payload::PromotionAccepted(PromotionAccepted { task, made, tried }));
            ladder.promote();
        } else if aim == Aim::Proof && ladder.advises_back() {
            let accepted = self.stream.unit() < 0.3;
            self.pen.write(Payload::StepBackAnswered(StepBackAnswered { task, accepted }));
            if accepted {
                ladder.step_back();
            } else {
                ladder.answered = true;
            }
        }
        shot
    }

    /// All attempts as one count. Says how many there were, and whether they promote.
    fn count(
        &mut self,
        ladder: &mut Ladder,
        rules: &Rules,
        set: EventId,
        (tried, chance): (u32, f64),
        aim: Aim,
    ) -> (u32, bool) {
        let made = (0..tried).map(|_| u32::from(self.stream.unit() < chance)).sum();
        self.pen.wait(self.pace_ms * u64::from(tried));
        self.pen.write(Payload::Batch(Batch { set, made, tried }));
        (tried, self.enter(ladder, rules, (made, tried), aim))
    }

    /// Attempt by attempt, until one promotes. Says how many were shot, and whether they promote.
    fn attempts(
        &mut self,
        ladder: &mut Ladder,
        rules: &Rules,
        set: EventId,
        (tried, chance): (u32, f64),
        aim: Aim,
    ) -> (u32, bool) {
        for shot in 1..=tried {
            let pace = self.stream.between(0.7, 1.3);
            // Some thousands of milliseconds.
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
            self.pen.wait((self.pace_ms as f64 * pace) as u64);
            let outcome = self.outcome(chance);
            if self.stream.unit() < UNDONE {
                let slip = if outcome.made() { Outcome::Missed } else { Outcome::Made };
                let of = self.pen.write(Payload::Attempt(Attempt { set, outcome: slip, cue_end: None }));
                self.pen.write(Payload::Correction(Correction { of }));
            }
            let of = self.pen.write(Payload::Attempt(Attempt { set, outcome, cue_end: None }));
            if matches!(outcome, Outcome::Missed | Outcome::MissedNotSeen) && self.stream.unit() < END_NOTED {
                let cue_end = [CueEnd::Short, CueEnd::Long, CueEnd::Off][self.stream.below(3) as usize % 3];
                self.pen.write(Payload::CueEndNoted(CueEndNoted { set, of, cue_end }));
            }
            if self.enter(ladder, rules, (u32::from(outcome.made()), 1), aim) {
                return (shot, true);
            }
        }
        (tried, false)
    }

    fn enter(&mut self, ladder: &mut Ladder, rules: &Rules, (made, tried): (u32, u32), aim: Aim) -> bool {
        let count = Count::new(made, tried).unwrap_or_default();
        aim == Aim::Proof && ladder.enter(rules, self.day, count, self.pen.now())
    }

    fn outcome(&mut self, chance: f64) -> Outcome {
        if self.stream.unit() < chance {
            return Outcome::Made;
        }
        let seen = self.stream.unit();
        if seen < NO_SIDE {
            Outcome::Missed
        } else if seen < NO_SIDE + NOT_SEEN {
            Outcome::MissedNotSeen
        } else if self.stream.unit() < TO_THE_LEFT {
            Outcome::MissedLeft
        } else {
            Outcome::MissedRight
        }
    }

    /// At home, on the other device.
    fn evening(&mut self, session: EventId, midnight: u64) {
        let Self { pen, stream, day, .. } = self;
        pen.at((midnight + EVENING_HOUR * HOUR_MS).min(midnight + DAY_MS));
        pen.take(1);
        if *day % 3 == 0 {
            let (went_on, worked, next) =
                (words::went_on(stream), words::worked(stream), words::next(stream));
            pen.write(Payload::JournalEntry(JournalEntry { went_on, worked, next, private: true }));
            pen.wait(60_000);
        }
        if *day % 7 == 2 {
            let minutes = 10 + stream.below(50);
            pen.write(Payload::Study(Study { minutes, line: words::read(stream) }));
        }
        if *day % 11 == 0 {
            pen.write(Payload::Annotation(Annotation { of: session, text: words::next(stream) }));
        }
    }
}
