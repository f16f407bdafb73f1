//! What screens are told of a record that was written through the desk, with ladders worked out as the other worker does.

use longrail_app_link::{Ended, Harder, Purpose, RungState};
use longrail_practice::card::{Card, Rebound};
use longrail_practice::clock::Stamp;
use longrail_practice::desk::{Desk, Now, Refused, Writer};
use longrail_practice::drill::{RungNumber, Setup};
use longrail_practice::event::{
    Aim, CardAdded, Outcome, Payload, ProfileChanged, PromotionAccepted, Purpose as For, Task, Wall,
};
use longrail_practice::guide::Guide;
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use longrail_practice::ladder::Working;
use longrail_practice::log::History;
use longrail_practice::player::{Profile, Units};
use longrail_stats::Count;

use super::{Decision, ended, evidence, ladders, price, score, seat, today};
use crate::record::Shelf;

const DRILL: &str = "straight-stop-lengthening";
const PLAYER: PlayerId = PlayerId::from_bits(1);
/// Noon of 3 November 2026, UTC.
const NOON: u64 = 1_793_707_200_000;

/// A record in memory.
struct Record {
    history: History,
    writer: Writer,
    shelf: Shelf,
    card: EventId,
    minutes: u64,
    bits: u128,
}

impl Record {
    fn new() -> Self {
        Self::with(Card::new("Table 4", "9ft"))
    }

    fn with(card: Card) -> Self {
        let writer = Writer::resume(DeviceId::from_bits(2), PLAYER, Stamp::default(), 0);
        let mut record = Self {
            history: History::default(),
            writer,
            shelf: Shelf::new(),
            card: EventId::from_bits(0),
            minutes: 0,
            bits: 0,
        };
        let profile = Box::new(Profile::new("Ann"));
        record.note(|desk| desk.note(Payload::ProfileChanged(ProfileChanged { profile })));
        let card = Box::new(card);
        record.card = record.note(|desk| desk.note(Payload::CardAdded(CardAdded { card })));
        record
    }

    fn now(&self) -> Now {
        let ms = NOON + self.minutes * 60_000;
        Now { clock_ms: ms, wall: Wall { ms, offset_min: 0 } }
    }

    fn note<T>(&mut self, what: impl FnOnce(&mut Desk<'_>) -> Result<T, Refused>) -> T {
        let now = self.now();
        let mut next = || {
            self.bits += 1;
            self.bits
        };
        let mut desk = Desk::new(&self.history, PLAYER, &mut self.writer, now, &mut next);
        let told = what(&mut desk).unwrap();
        let events = desk.events();
        self.history.extend(events).unwrap();
        told
    }

    fn task(&self, rung: u32) -> Task {
        Task {
            drill: DRILL.to_owned(),
            drill_version: self.shelf.drill_of(DRILL).unwrap().version,
            rung: RungNumber::whole(rung),
            setup: Setup::Given,
            constraints: String::new(),
            card: self.card,
        }
    }

    fn begin(&mut self, rung: u32, aim: Aim) -> EventId {
        self.begin_task(self.task(rung), aim)
    }

    fn begin_task(&mut self, task: Task, aim: Aim) -> EventId {
        if self.history.state().open_session().is_none() {
            let card = Some(self.card);
            self.note(|desk| desk.begin_session(For::DrillWork, 60, card));
        }
        self.note(|desk| desk.begin_set(task, aim))
    }

    fn guide(&self) -> Guide<'_, Shelf> {
        Guide::new(self.history.state(), &self.shelf)
    }

    /// Works out what was ordered, as the other worker would. Says how many there were.
    fn work(&self) -> usize {
        let mut count = 0;
        while let Some(crate::record::News(Some(order))) = self.shelf.next() {
            let working: Working = crate::ladders::begin(&order).unwrap();
            self.shelf.put(&order.key, working.finish().unwrap().encode());
            self.shelf.done(&order.key);
            count += 1;
        }
        count
    }

    fn today(&self) -> longrail_app_link::Today {
        let state = self.history.state();
        let card = &state.cards[&self.card].card;
        let mut guide = self.guide();
        today(&mut guide, &self.shelf, (self.card, card), self.now().wall, Purpose::DrillWork, 60).unwrap()
    }
}

#[test]
fn a_newcomer_is_told_what_is_computed_and_then_where_to_begin() {
    let record = Record::new();
    let before = record.today();
    assert!(before.blocks.is_empty() && !before.computing.is_empty());
    assert_eq!(before.drills[0].id, DRILL);
    assert!(record.work() > 0);
    let after = record.today();
    assert_eq!(after.blocks.iter().map(|block| block.minutes).sum::<u32>(), 60);
    let begin = after.blocks[0].begin.as_ref().unwrap();
    assert_eq!(begin.drill, DRILL);
    assert!(after.computing.is_empty());
}

#[test]
fn the_seat_has_picture_places_and_odds_and_the_score_follows_the_entries() {
    let mut record = Record::new();
    record.begin(3, Aim::Work);
    let look = || {
        let mut guide = record.guide();
        let seat = seat(&mut guide, PLAYER, Vec::new(), record.now().wall, false, false).unwrap().unwrap();
        record.work();
        seat
    };
    let before = look();
    assert!(before.fixed.odds.is_none() && !before.fixed.computing.is_empty());
    assert!(before.fixed.picture.starts_with("<svg") && before.fixed.balls.len() == 2);
    let after = look();
    let (mean, low, high) = after.fixed.odds.unwrap();
    assert!(low < mean && mean < high);
    assert!(after.fixed.hit.contains("m/s"), "{}", after.fixed.hit);
    for outcome in [Outcome::Made, Outcome::MissedLeft, Outcome::Made] {
        record.note(|desk| desk.attempt(outcome, None));
    }
    let state = record.history.state();
    let score = score(state, state.profile.as_ref().unwrap(), record.now().wall, String::new()).unwrap();
    assert_eq!((score.made, score.tried, score.marks.len()), (2, 3, 3));
    assert!(score.lane.is_none(), "a set of work has no sheet");
}

fn state_card(record: &Record) -> Card {
    record.history.state().cards[&record.card].card.clone()
}

#[test]
fn a_batch_of_34_of_50_passes_and_33_do_not() {
    // tests/reference/promotion_table.csv, row 50: 34 at a target of one half.
    for (made, passes) in [(33, false), (34, true)] {
        let mut record = Record::new();
        let set = record.begin(2, Aim::Proof);
        record.note(|desk| desk.batch(Count::new(made, 50).unwrap()));
        let state = record.history.state();
        let profile = state.profile.as_ref().unwrap();
        assert_eq!(score(state, profile, record.now().wall, String::new()).unwrap().passed, passes);
        record.note(|desk| desk.end_set().map(|_| ()));
        let mut guide = record.guide();
        let said = guide.ended(set).unwrap();
        // Until it is taken, that is what there is to do.
        let card = state_card(&record);
        let plan = |record: &Record| {
            let (mut guide, now) = (record.guide(), record.now().wall);
            today(&mut guide, &record.shelf, (record.card, &card), now, Purpose::Test, 60).unwrap()
        };
        plan(&record);
        while record.work() > 0 {
            plan(&record);
        }
        let plan = plan(&record);
        let offered = plan.blocks.iter().chain(&plan.others).any(|block| block.why.contains("not taken yet"));
        assert_eq!(offered, passes);
        let mut guide = record.guide();
        let mut told = |decision| ended(&mut guide, PLAYER, &said, decision);
        assert_eq!(told(Decision::Asked).passed, passes);
        // Who scores for somebody else is offered nothing.
        assert!(!told(Decision::NotTheirs).passed);
        // What is decided is what goes on.
        let next = |told: Ended| told.begin.and_then(|begin| begin.rung);
        assert_eq!(next(told(Decision::Made { taken: false })).as_deref(), Some("2"));
        let farther = if passes { "3" } else { "2" };
        assert_eq!(next(told(Decision::Made { taken: true })).as_deref(), Some(farther));
    }
}

#[test]
fn a_pass_that_was_taken_is_on_the_ladder_and_the_next_rung_is_to_prove() {
    let mut record = Record::new();
    let set = record.begin(2, Aim::Proof);
    record.note(|desk| desk.batch(Count::new(40, 50).unwrap()));
    record.note(|desk| desk.end_set().map(|_| ()));
    let said = record.guide().ended(set).unwrap();
    let note = said.note(longrail_practice::guide::Decided::default());
    assert!(matches!(&note, Some(Payload::PromotionAccepted(PromotionAccepted { made: 40, tried: 50, .. }))));
    record.note(|desk| desk.note(note.unwrap()));
    let state = record.history.state();
    let card = state.cards[&record.card].card.clone();
    let all =
        || ladders(&mut record.guide(), &record.shelf, (record.card, &card), record.now().wall).unwrap();
    assert!(all()[0].computing);
    record.work();
    let ladder = &all()[0];
    assert!(ladder.passed.starts_with("Rung 2 passed once, on 2026-11-03"), "{}", ladder.passed);
    assert!(
        ladder.passed_odds.is_some_and(|(mean, low, high)| low < mean && mean < high),
        "{:?}",
        ladder.passed_odds
    );
    let state_of = |name: &str| ladder.rungs.iter().find(|rung| rung.name == name).unwrap().state;
    assert_eq!(state_of("3"), RungState::Prove);
    assert!(matches!(state_of("2"), RungState::Passed | RungState::Work));
    // Nobody has passed the rung before it.
    assert!(matches!(state_of("1"), RungState::Below | RungState::Work), "{:?}", state_of("1"));
    assert_eq!(ladder.prove.as_ref().unwrap().rung.as_deref(), Some("3"));
    let plan =
        today(&mut record.guide(), &record.shelf, (record.card, &card), record.now().wall, Purpose::Test, 60)
            .unwrap();
    assert!(plan.blocks.iter().chain(&plan.others).all(|block| !block.why.contains("not taken")), "{plan:?}");
    // The count was stopped by the rule, and says so.
    let told = evidence(&mut record.guide(), None, (false, record.now().wall), None).unwrap();
    let rung = told.ladder.unwrap().rungs.into_iter().find(|rung| rung.name == "2").unwrap();
    assert!(rung.stopped && rung.counted == (40, 50));
    assert!(told.chart.picture.starts_with("<svg"));
}

#[test]
fn a_proof_says_what_passes_at_the_count_as_it_is() {
    // tests/reference/promotion_table.csv, row 37.
    let table = include_str!("../../../../tests/reference/promotion_table.csv");
    let row = table.lines().find(|line| line.starts_with("37,")).unwrap();
    let makes = row.split(',').nth(1).unwrap();
    let mut record = Record::new();
    record.begin(2, Aim::Proof);
    record.note(|desk| desk.batch(Count::new(20, 37).unwrap()));
    let state = record.history.state();
    let told = score(state, state.profile.as_ref().unwrap(), record.now().wall, String::new()).unwrap();
    let lane = told.lane.unwrap();
    assert_eq!((lane.at_now, lane.at_fifty.as_str()), (format!("{makes} of 37"), "34 of 50"));
}

#[test]
fn a_full_sheet_that_has_passed_is_still_to_be_taken() {
    let mut record = Record::new();
    let set = record.begin(2, Aim::Proof);
    // Study of progression, 1.7: 63 of 100 promote.
    record.note(|desk| desk.batch(Count::new(80, 100).unwrap()));
    let state = record.history.state();
    let told = score(state, state.profile.as_ref().unwrap(), record.now().wall, String::new()).unwrap();
    assert!(told.passed && told.sheet == Some((80, 100)), "{told:?}");
    record.note(|desk| desk.end_set().map(|_| ()));
    let mut guide = record.guide();
    let said = guide.ended(set).unwrap();
    assert!(ended(&mut guide, PLAYER, &said, Decision::Asked).passed);
}

#[test]
fn a_step_back_that_is_taken_leads_a_rung_back_and_one_that_is_not_stays() {
    // tests/reference/promotion_table.csv, row 50: 13 or fewer of 50 step back.
    let mut record = Record::new();
    let set = record.begin(2, Aim::Proof);
    record.note(|desk| desk.batch(Count::new(13, 50).unwrap()));
    record.note(|desk| desk.end_set().map(|_| ()));
    let mut guide = record.guide();
    let said = guide.ended(set).unwrap();
    let mut told = |decision| ended(&mut guide, PLAYER, &said, decision);
    assert!(told(Decision::Asked).step_back);
    let next = |told: Ended| told.begin.and_then(|begin| begin.rung);
    assert_eq!(next(told(Decision::Made { taken: true })).as_deref(), Some("1"));
    assert_eq!(next(told(Decision::Made { taken: false })).as_deref(), Some("2"));
}

#[test]
fn a_constraint_is_priced_once_its_ladder_is_there() {
    let mut record = Record::new();
    record.begin(3, Aim::Work);
    let narrower = Harder::Proposed("pocket 0.9".to_owned());
    assert!(price(&mut record.guide(), &narrower).unwrap().is_none());
    // One ladder after the other, as they turn out to be missing.
    while record.work() > 0 {
        let _ = price(&mut record.guide(), &narrower).unwrap();
    }
    let priced = price(&mut record.guide(), &narrower).unwrap().unwrap();
    assert!(priced.after.0 < priced.before, "{priced:?}");
    assert_eq!(priced.constraint, "pocket 0.9");
    assert!(price(&mut record.guide(), &Harder::Proposed("pocket 9".to_owned())).is_err());
}

#[test]
fn what_is_typed_of_a_constraint_is_at_the_corner_and_in_the_units_of_the_player() {
    let mut record = Record::new();
    let profile = Box::new(Profile { units: Units::Imperial, ..Profile::new("Ann") });
    record.note(|desk| desk.note(Payload::ProfileChanged(ProfileChanged { profile })));
    record.begin_task(Task { setup: Setup::Turned, ..record.task(3) }, Aim::Work);
    let typed = |a: &str, b: &str| [a.to_owned(), b.to_owned()];
    let priced = |harder: Harder| loop {
        let price = price(&mut record.guide(), &harder).unwrap();
        if record.work() == 0 {
            break price.unwrap();
        }
    };
    // Turned by half a turn, 6 along and 1 across is 2 along and 3 across.
    let told = priced(Harder::Blocker(typed("6", "1")));
    assert_eq!(told.constraint, "blocker at 2/3");
    assert_eq!(told.words, "a blocker 2 from the foot, 1 from the right rail");
    // A mile is 1,609.344 m: 2 mph are 0.894 m/s.
    let told = priced(Harder::Speed(typed("1", "2,0")));
    assert_eq!(told.constraint, "speed 0.45 to 0.89");
    assert_eq!(told.words, "1.0 to 2.0 mph");
    for (harder, why) in [
        (Harder::Blocker(typed("6", "")), "takes both numbers"),
        (Harder::Speed(typed("", "")), "takes both numbers"),
        (Harder::Speed(typed("fast", "2")), "is no number"),
        (Harder::Speed(typed("1", "60")), "to 44.74 mph"),
        (Harder::Blocker(typed("9", "1")), "blocker.along"),
    ] {
        let said = price(&mut record.guide(), &harder).unwrap_err().to_string();
        assert!(said.contains(why), "{said}");
    }
}

#[test]
fn a_constraint_that_was_only_tried_is_not_proposed_and_one_that_is_worked_on_is() {
    let mut record = Record::new();
    let under = |plan: longrail_app_link::Today| {
        let begins: Vec<_> =
            plan.blocks.into_iter().chain(plan.others).filter_map(|block| block.begin).collect();
        assert!(!begins.is_empty());
        begins.iter().any(|begin| !begin.constraints.is_empty())
    };
    for (tried, proposed) in [(9, false), (1, true)] {
        let task = Task { constraints: "no side".to_owned(), ..record.task(2) };
        record.begin_task(task, Aim::Work);
        record.note(|desk| desk.batch(Count::new(tried / 2, tried).unwrap()));
        record.note(|desk| desk.end_set().map(|_| ()));
        let plan = loop {
            let plan = record.today();
            if record.work() == 0 {
                break plan;
            }
        };
        assert_eq!(under(plan), proposed, "after {tried} more");
    }
}

#[test]
fn several_in_a_row_have_the_chance_of_each_and_of_all() {
    let mut record = Record::new();
    let task = Task { constraints: "streak 3".to_owned(), ..record.task(2) };
    record.begin_task(task, Aim::Work);
    let fixed = loop {
        let told = seat(&mut record.guide(), PLAYER, Vec::new(), record.now().wall, false, false).unwrap();
        if record.work() == 0 {
            break told.unwrap().fixed;
        }
    };
    let each = fixed.odds.unwrap().0;
    let (count, all) = fixed.in_a_row.unwrap();
    assert_eq!(count, 3);
    assert!((all - each * each * each).abs() < 1e-12, "{each}, {all}");
}

#[test]
fn a_blocker_is_set_up_drawn_and_can_be_taken_off() {
    let mut record = Record::new();
    let task = Task { constraints: "no side; blocker at 2/3".to_owned(), ..record.task(3) };
    record.begin_task(task, Aim::Work);
    let told = seat(&mut record.guide(), PLAYER, Vec::new(), record.now().wall, false, false);
    let fixed = told.unwrap().unwrap().fixed;
    let places: Vec<_> = fixed.balls.iter().map(|ball| ball.id.as_str()).collect();
    assert_eq!(places, ["cue", "1", "blocker 1"]);
    let blocker = &fixed.balls[2];
    assert_eq!((blocker.short.diamonds.as_str(), blocker.short.rail.as_str()), ("2", "head"));
    assert_eq!((blocker.long.diamonds.as_str(), blocker.long.rail.as_str()), ("1", "left"));
    assert!(fixed.goal.contains("blocker 1") && fixed.picture.contains(">b1<"), "{}", fixed.goal);
    let on = |words: &str, others: &str| (words.to_owned(), others.to_owned());
    let expected =
        [on("no side", "blocker at 2/3"), on("a blocker 2 from the head, 1 from the left rail", "no side")];
    assert_eq!(fixed.on, expected);
}

#[test]
fn a_constraint_beyond_the_player_hides_no_other_ladder_and_locks_no_set() {
    let mut record = Record::new();
    let task = Task { constraints: "speed 4 to 5.5".to_owned(), ..record.task(2) };
    record.begin_task(task, Aim::Work);
    record.note(|desk| desk.batch(Count::new(8, 12).unwrap()));
    let mut profile = Profile::new("Ann");
    profile.usual.hardest_mps = Some(3.5);
    let profile = Box::new(profile);
    record.note(|desk| desk.note(Payload::ProfileChanged(ProfileChanged { profile })));
    let (fixed, plan) = loop {
        let told = seat(&mut record.guide(), PLAYER, Vec::new(), record.now().wall, false, false).unwrap();
        let plan = record.today();
        if record.work() == 0 {
            break (told.unwrap().fixed, plan);
        }
    };
    assert!(fixed.rests_on.contains("speed") && fixed.odds.is_none(), "{}", fixed.rests_on);
    assert!(!fixed.goal.is_empty() && fixed.picture.starts_with("<svg") && fixed.on.len() == 1);
    let begun = |set: &Option<longrail_app_link::Begin>| set.as_ref().map(|set| set.constraints.clone());
    assert!(
        plan.blocks.iter().filter_map(|block| begun(&block.begin)).all(|constraints| constraints.is_empty())
    );
    assert!(plan.blocks.iter().any(|block| block.begin.is_some()));
}

#[test]
fn odds_after_a_rail_carry_what_unmeasured_rails_leave_open() {
    let range = |record: &mut Record| loop {
        let told = seat(&mut record.guide(), PLAYER, Vec::new(), record.now().wall, false, false).unwrap();
        if record.work() == 0 {
            let fixed = told.unwrap().fixed;
            break (fixed.odds.unwrap().0, fixed.rails);
        }
    };
    let task = |record: &Record, drill: &str| Task {
        drill: drill.to_owned(),
        drill_version: record.shelf.drill_of(drill).unwrap().version,
        ..record.task(1)
    };
    let mut record = Record::new();
    record.begin(1, Aim::Work);
    assert_eq!(range(&mut record).1, None);
    let bank = task(&record, "bank-across");
    record.begin_task(bank, Aim::Work);
    let (mean, open) = range(&mut record);
    let (low, high) = open.unwrap();
    assert!(low < high && low <= mean && mean <= high, "{low} to {high}, about {mean}");
    // Once somebody has measured the rails, nothing is left open.
    let mut measured = Card::new("Table 4", "9ft");
    measured.rails = Some(Rebound { away_m: 1.27, seconds: 1.6, back_m: 1.0 });
    let mut record = Record::with(measured);
    let bank = task(&record, "bank-across");
    record.begin_task(bank, Aim::Work);
    assert_eq!(range(&mut record).1, None);
}
