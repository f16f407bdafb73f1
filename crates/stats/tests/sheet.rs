//! What happens on a sheet: looks, latching, its end, warm-up, visits, and the advice.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use longrail_stats::change::Collection;
use longrail_stats::promotion::{
    NewSheet, Rules, SHEET, Sheet, Since, Strictness, Verdict, WARM_UP, counts_table,
};
use longrail_stats::{Count, StatsError};
use proptest::prelude::*;

fn rules() -> Rules {
    Rules::new(0.5, Strictness::Usual).unwrap()
}

fn count(made: u32, tried: u32) -> Count {
    Count::new(made, tried).unwrap()
}

#[test]
fn seven_of_seven_promote_and_it_stays_so() {
    // Section 1.7: "Earliest promotion 7 of 7".
    let rules = rules();
    let mut sheet = Sheet::default();
    for n in 1..=7 {
        assert_eq!(sheet.promoted(), None, "{n}");
        sheet.attempt(&rules, 1, true).unwrap();
    }
    assert_eq!(sheet.promoted().unwrap().tried, 7);
    sheet.enter(&rules, 1, count(0, 50)).unwrap();
    assert!(matches!(sheet.advice(&rules).verdict, Verdict::Promote(at) if at.tried == 7));
    assert_eq!(sheet.needs_new(Since::default()), Some(NewSheet::Promoted));
    assert_eq!(sheet.collection(), Collection::StoppedByRule);
    assert_eq!(Sheet::default().collection(), Collection::Fixed);
}

#[test]
fn a_batch_is_one_look() {
    // 7 makes and then 13 misses cross after the seventh if entered singly; as one batch of 7/20 nobody looked there.
    let rules = rules();
    let mut sheet = Sheet::default();
    sheet.enter(&rules, 1, count(7, 20)).unwrap();
    assert_eq!(sheet.promoted(), None);
    // 16 of 20 are enough (section 1.7).
    let mut sheet = Sheet::default();
    sheet.enter(&rules, 1, count(16, 20)).unwrap();
    assert_eq!(sheet.promoted().unwrap().tried, 20);
}

#[test]
fn a_sheet_ends_at_the_entry_that_brings_it_to_a_hundred() {
    let rules = rules();
    let mut sheet = Sheet::default();
    sheet.enter(&rules, 1, count(50, 99)).unwrap();
    assert!(!sheet.ended());
    sheet.enter(&rules, 1, count(10, 20)).unwrap();
    assert!(sheet.ended());
    assert_eq!(sheet.tried(), 119);
    assert_eq!(sheet.attempt(&rules, 1, true), Err(StatsError::SheetEnded { tried: 119 }));
    assert_eq!(sheet.advice(&rules).verdict, Verdict::Stay);
    assert_eq!(sheet.needs_new(Since::default()), Some(NewSheet::Full));
}

#[test]
fn beyond_a_hundred_the_formula_rules() {
    // ln E(s, n−s) at n = 119, p0 = .5, from the formula of section 1.1 worked by hand in Python with fractions: the
    // smallest s that reaches 10 is 73 (E = 11.37; 72 gives 7.38).
    let rules = rules();
    for (made, promotes) in [(73, true), (72, false)] {
        let mut sheet = Sheet::default();
        sheet.enter(&rules, 1, count(made, 119)).unwrap();
        assert_eq!(sheet.promoted().is_some(), promotes, "{made}");
    }
}

#[test]
fn eight_misses_bring_the_advice_to_step_back_and_makes_can_still_promote() {
    // Section 1.7: "earliest step-back 0 of 8".
    let rules = rules();
    let mut sheet = Sheet::default();
    sheet.enter(&rules, 1, count(0, 7)).unwrap();
    assert_eq!(sheet.advice(&rules).misses_to_step_back, Some(1));
    sheet.attempt(&rules, 1, false).unwrap();
    assert!(matches!(sheet.advice(&rules).verdict, Verdict::StepBack(at) if (at.made, at.tried) == (0, 8)));
    // The player stays; the sheet goes on. From 0 of 8, 43 makes give 43 of 51 and more than the 35 that 51 needs.
    sheet.enter(&rules, 1, count(43, 43)).unwrap();
    assert!(matches!(sheet.advice(&rules).verdict, Verdict::Promote(_)));
}

#[test]
fn a_warm_up_counts_only_if_announced_before_it() {
    let rules = rules();
    let mut sheet = Sheet::default();
    sheet.declare_warm_up(1, 5).unwrap();
    for _ in 0..5 {
        sheet.attempt(&rules, 1, false).unwrap();
    }
    assert_eq!((sheet.tried(), sheet.advice(&rules).left_out), (0, 5));
    sheet.attempt(&rules, 1, true).unwrap();
    assert_eq!(sheet.tried(), 1);
    // What was shot before the announcement stays.
    sheet.declare_warm_up(1, 5).unwrap();
    assert_eq!(sheet.tried(), 1);
    assert_eq!(sheet.declare_warm_up(1, 1), Err(StatsError::WarmUpTooLong { given: 11, most: WARM_UP }));
    // A new visit has a warm-up of its own, and what was left of the old one is void.
    sheet.attempt(&rules, 2, true).unwrap();
    assert_eq!(sheet.tried(), 2);
}

#[test]
fn a_batch_may_not_mix_warm_up_with_what_counts() {
    let rules = rules();
    let mut sheet = Sheet::default();
    sheet.declare_warm_up(1, 5).unwrap();
    let before = sheet;
    assert_eq!(sheet.enter(&rules, 1, count(8, 10)), Err(StatsError::WarmUpSplit { batch: 10, left: 5 }));
    assert_eq!(sheet, before);
    sheet.enter(&rules, 1, count(2, 5)).unwrap();
    sheet.enter(&rules, 1, count(8, 10)).unwrap();
    assert_eq!((sheet.made(), sheet.tried()), (8, 10));
}

#[test]
fn two_visits_are_asked_for_only_if_switched_on() {
    let with = rules().with_two_visits(true);
    assert!(!rules().two_visits());
    assert!(Rules::TWO_VISITS_NOTE.contains("not studied"));
    let mut sheet = Sheet::default();
    sheet.enter(&with, 1, count(10, 10)).unwrap();
    assert_eq!(sheet.promoted(), None);
    assert!(sheet.advice(&with).waits_for_second_visit);
    // In the second visit the evidence must still be there when it is looked at: 10 of 12 suffice (11 of 12 are needed).
    let mut fallen = sheet;
    fallen.enter(&with, 2, count(0, 2)).unwrap();
    assert_eq!(fallen.promoted(), None);
    sheet.attempt(&with, 2, true).unwrap();
    assert_eq!(sheet.promoted().unwrap().tried, 11);
}

#[test]
fn a_new_sheet_has_its_reasons() {
    let rules = rules();
    let mut sheet = Sheet::default();
    sheet.enter(&rules, 1, count(5, 10)).unwrap();
    assert_eq!(sheet.needs_new(Since { days: 27.9, ..Since::default() }), None);
    assert_eq!(
        sheet.needs_new(Since { days: 28.0, ..Since::default() }),
        Some(NewSheet::LayOff { days: 28.0 })
    );
    let changed = Since { conditions_changed: true, ..Since::default() };
    assert_eq!(sheet.needs_new(changed), Some(NewSheet::ConditionsChanged));
    let taken = Since { step_back_taken: true, ..Since::default() };
    assert_eq!(sheet.needs_new(taken), Some(NewSheet::SteppedBack));
}

#[test]
fn no_target_is_out_of_reach_of_the_rules_within_its_range() {
    for hundredth in 1..=99 {
        let target = f64::from(hundredth) / 100.0;
        let rules = Rules::new(target, Strictness::Strict).unwrap();
        assert_eq!(rules.step_back().is_some(), hundredth >= 11, "{target}");
        assert_eq!(counts_table(target).is_ok(), hundredth >= 11);
    }
    for target in [0.0, 1.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(Rules::new(target, Strictness::Usual).is_err());
    }
}

proptest! {
    #[test]
    fn the_sheet_says_what_a_plain_count_says(shots in prop::collection::vec(any::<bool>(), 1..100)) {
        // A plain reference: after each shot, hold the counts against the printed table.
        let rules = rules();
        let table = counts_table(0.5).unwrap();
        let mut sheet = Sheet::default();
        let (mut made, mut promoted, mut back) = (0, None, None);
        for (n, &shot) in (1..).zip(&shots) {
            sheet.attempt(&rules, 1, shot).unwrap();
            made += u32::from(shot);
            let row = table[n as usize - 1];
            if row.promote.is_some_and(|least| made >= least) {
                promoted = promoted.or(Some(n));
            }
            if row.step_back.is_some_and(|most| made <= most) {
                back = back.or(Some(n));
            }
        }
        prop_assert_eq!(sheet.promoted().map(|at| at.tried), promoted);
        prop_assert_eq!(sheet.stepped_back().map(|at| at.tried), back);
    }

    #[test]
    fn so_many_makes_in_a_row_promote_and_one_fewer_do_not(made in 0..60_u32, missed in 0..39_u32) {
        let rules = rules();
        let mut sheet = Sheet::default();
        sheet.enter(&rules, 1, count(made, made + missed)).unwrap();
        if let Some(run) = sheet.advice(&rules).makes_to_promote {
            for k in 1..=run {
                prop_assert_eq!(sheet.promoted(), None, "{}", k);
                sheet.attempt(&rules, 1, true).unwrap();
            }
            prop_assert!(sheet.promoted().is_some());
            prop_assert!(sheet.tried() <= SHEET);
        }
    }

    #[test]
    fn no_entry_makes_a_sheet_panic(entries in prop::collection::vec((any::<u32>(), any::<u32>(), 0..3_u32, 0..20_u32), 0..20)) {
        let rules = rules();
        let mut sheet = Sheet::default();
        for (a, b, visit, warm_up) in entries {
            let _ = sheet.declare_warm_up(visit, warm_up);
            if let Ok(batch) = Count::new(a, b) {
                let _ = sheet.enter(&rules, visit, batch);
            }
            let _ = sheet.attempt(&rules, visit, a % 2 == 0);
            let advice = sheet.advice(&rules);
            prop_assert_eq!(advice.count.tried(), sheet.tried());
        }
    }
}
