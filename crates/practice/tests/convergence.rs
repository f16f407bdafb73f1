//! Logs converge, and the state that is kept up to date is the one worked out anew.

// Helpers of tests may stop where they stand, as tests do.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod made;

use longrail_practice::event::{Aim, Correction, Event, Kind, Payload, PersonErased};
use longrail_practice::id::EventId;
use longrail_practice::log::{Inserted, Log};
use made::{Act, PLAYERS, record, shuffled, task};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

fn acts(most: usize) -> impl Strategy<Value = Vec<Act>> {
    let wall = prop_oneof![6 => 0_i64..90_000, 1 => -3_600_000_i64..0, 1 => 0_i64..3_000_000_000];
    prop::collection::vec((0_usize..3, any::<u8>(), wall, 0_usize..1_000), 1..most)
}

fn log_of(events: impl IntoIterator<Item = Event>) -> Log {
    let mut log = Log::default();
    for event in events {
        log.insert(event);
    }
    log
}

fn assert_same(a: &Log, b: &Log) {
    assert_eq!(a, b);
    for player in PLAYERS {
        assert_eq!(a.state(player), b.state(player));
    }
}

/// Every player's kept state against one worked out from the first event.
fn assert_rebuilt(log: &Log) {
    for player in log.players() {
        let history = log.history(player).unwrap();
        assert_eq!(*history.state(), history.rebuilt());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn the_kept_state_is_the_rebuilt_state_after_every_event(acts in acts(60), seed in any::<u64>()) {
        let mut log = Log::default();
        for event in shuffled(&record(&acts), seed) {
            log.insert(event);
            assert_rebuilt(&log);
        }
    }

    #[test]
    fn any_order_and_any_duplication_give_the_same_log(acts in acts(120), seeds in any::<[u64; 3]>()) {
        let events = record(&acts);
        let straight = log_of(events.clone());
        for seed in seeds {
            assert_same(&log_of(shuffled(&events, seed)), &straight);
            let mut merged = Log::default();
            for part in shuffled(&events, seed).chunks(7) {
                merged.merge(part.to_vec());
            }
            assert_same(&merged, &straight);
        }
    }

    #[test]
    fn three_devices_that_exchange_what_they_have_agree(acts in acts(120), from in 0_usize..3) {
        let events = record(&acts);
        let mut logs: [Log; 3] = std::array::from_fn(|device| {
            let own = u128::try_from(device).unwrap() + 1;
            log_of(events.iter().filter(|event| event.head.device.bits() == own).cloned())
        });
        // Around twice: whatever one knows has then reached all.
        for step in 0..6 {
            let sent: Vec<Event> = logs[(from + step) % 3].events().cloned().collect();
            logs[(from + step + 1) % 3].merge(sent);
        }
        assert_same(&logs[0], &logs[1]);
        assert_same(&logs[1], &logs[2]);
        assert_same(&logs[0], &log_of(events));
    }

    #[test]
    fn an_erased_record_stays_erased_whenever_its_events_arrive(acts in acts(60), seed in any::<u64>()) {
        let mut events = record(&acts);
        let mut erasure = events[0].clone();
        erasure.head.id = EventId::from_bits(u128::MAX);
        erasure.head.player = PLAYERS[0];
        events.push(Event::new(erasure.head, Payload::PersonErased(PersonErased {})));
        let log = log_of(shuffled(&events, seed));
        prop_assert!(log.history(PLAYERS[0]).is_none());
        prop_assert_eq!(log.tombstones().count(), 1);
        prop_assert!(log.events().all(|event| event.head.player != PLAYERS[0] || event.kind() == "person_erased"));
        let others = events.iter().filter(|event| event.head.player == PLAYERS[1]).count();
        prop_assert_eq!(log.events().count(), others + 1);
    }

    /// Counts by another route: from the bare events, without order, sets or snapshots.
    #[test]
    fn tallies_are_what_counting_by_hand_gives(acts in acts(200), seed in any::<u64>()) {
        let events = record(&acts);
        let log = log_of(shuffled(&events, seed));
        for player in log.players() {
            let own: Vec<&Event> = events.iter().filter(|event| event.head.player == player).collect();
            let undone: BTreeSet<EventId> = own.iter().filter_map(|event| match event.payload() {
                Some(Payload::Correction(Correction { of })) => Some(*of),
                _ => None,
            }).collect();
            let counts = |event: &&&Event| !undone.contains(&event.head.id);
            // Warm-up depends on order and has a test of its own: here only records without.
            if own.iter().filter(counts).any(|event| event.kind() == Kind::WarmUpDeclared.name()) {
                continue;
            }
            let mut sets = BTreeMap::new();
            for event in own.iter().filter(counts) {
                if let Some(Payload::SetBegan(set)) = event.payload() {
                    sets.insert(event.head.id, set);
                }
            }
            for rung in 0..2 {
                let mut by_hand = [0_u32; 4];
                for event in own.iter().filter(counts) {
                    let (set, made, tried) = match event.payload() {
                        Some(Payload::Attempt(x)) => (x.set, u32::from(x.outcome.made()), 1),
                        Some(Payload::Batch(x)) => (x.set, x.made, x.tried),
                        _ => continue,
                    };
                    let Some(set) = sets.get(&set).filter(|set| set.task == task(rung)) else { continue };
                    let at = if set.aim == Aim::Proof { 0 } else { 2 };
                    by_hand[at] += made;
                    by_hand[at + 1] += tried;
                }
                let tally = log.state(player).unwrap().tally(&task(rung));
                let kept = [tally.proof_made, tally.proof_tried, tally.work_made, tally.work_tried];
                prop_assert_eq!(kept, by_hand);
            }
        }
    }

    #[test]
    fn accepted_promotions_are_never_lost(acts in acts(120), seed in any::<u64>()) {
        let events = record(&acts);
        let log = log_of(shuffled(&events, seed));
        let accepted = events.iter().filter(|event| event.kind() == Kind::PromotionAccepted.name()).count();
        let kept: usize = log.players().filter_map(|player| log.state(player)).map(|s| s.promotions.len()).sum();
        prop_assert_eq!(kept, accepted);
    }

    #[test]
    fn of_two_events_with_one_identifier_every_log_keeps_the_same(acts in acts(40), seed in any::<u64>(), at in any::<prop::sample::Index>()) {
        let mut events = record(&acts);
        let mut twin = at.get(&events).clone();
        twin.head.sequence += 1_000;
        events.push(twin);
        let straight = log_of(events.clone());
        assert_same(&log_of(shuffled(&events, seed)), &straight);
        assert_rebuilt(&straight);
    }
}

#[test]
fn a_long_record_with_late_events_and_undone_taps_is_the_rebuilt_one() {
    // Long enough for many snapshots.
    let acts: Vec<Act> = (0..4_000_usize)
        .map(|n| (n * 7 % 3, u8::try_from((n * 31 + n / 17) % 256).unwrap(), 20_000, (n * 13) % 997))
        .collect();
    let events = record(&acts);
    let (late, early): (Vec<_>, Vec<_>) = events.iter().cloned().enumerate().partition(|(n, _)| n % 97 == 5);
    let mut log = Log::default();
    log.merge(early.into_iter().map(|(_, event)| event));
    for (_, event) in late {
        assert_ne!(log.insert(event), Inserted::Conflict);
    }
    assert_rebuilt(&log);
    assert_same(&log, &log_of(events));
}

/// A store keeps snapshots and hands out the events behind them.
mod resumed {
    use super::*;
    use longrail_practice::log::{History, Merged, Snapshot};

    /// One player's events in order, and what a snapshot after the first `cut` of them holds.
    fn cut(acts: &[Act], cut: usize) -> (Vec<Event>, Snapshot, BTreeSet<EventId>) {
        let mut events: Vec<Event> =
            record(acts).into_iter().filter(|e| e.head.player == PLAYERS[0]).collect();
        events.sort_by_key(|event| event.head.position());
        let corrected: BTreeSet<EventId> = events.iter().filter_map(Event::corrects).collect();
        let mut base = Snapshot::default();
        for event in events.iter().take(cut) {
            base.take(event, &corrected);
        }
        (events, base, corrected)
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn a_record_resumed_from_a_kept_snapshot_is_the_whole_one(acts in acts(160), share in 0_usize..160) {
            let straight = log_of(record(&acts));
            let Some(whole) = straight.history(PLAYERS[0]) else { return Ok(()) };
            let at = share % (whole.events().count() + 1);
            let (events, base, corrected) = cut(&acts, at);
            let kept = Snapshot::decode(&base.encode().unwrap()).unwrap();
            prop_assert_eq!(&kept, &base);
            // A correction behind the cut of an event before it is what a store starts earlier for.
            let before: BTreeSet<EventId> = events.iter().take(at).map(|event| event.head.id).collect();
            let reaches = events.iter().skip(at).filter_map(Event::corrects).any(|of| before.contains(&of));
            let mut history = History::resume(kept, base.corrected().clone());
            let rest: Vec<Event> = events.iter().skip(at).cloned().collect();
            let waiting = rest.iter().filter_map(Event::corrects).any(|of| !events.iter().any(|e| e.head.id == of));
            match history.extend(rest.clone()) {
                Ok(merged) => {
                    prop_assert_eq!(merged, Merged { new: rest.len(), ..Merged::default() });
                    prop_assert_eq!(history.state(), whole.state());
                    prop_assert_eq!(&history.rebuilt(), whole.state());
                }
                Err(_) => prop_assert!(reaches || waiting),
            }
            // A store knows all corrections beforehand.
            let mut history = History::resume(base, corrected.clone());
            history.extend(rest).unwrap();
            prop_assert_eq!(history.state(), whole.state());
            prop_assert!(corrected.iter().all(|of| whole.is_corrected(*of)));
        }
    }

    #[test]
    fn what_reaches_back_before_the_snapshot_is_told_and_changes_nothing() {
        let acts: Vec<Act> = (0..60).map(|n| (0, u8::try_from(n * 5 % 24).unwrap(), 20_000, n)).collect();
        let (events, base, _) = cut(&acts, 30);
        let mut history = History::resume(base, BTreeSet::new());
        history.extend(events[30..40].to_vec()).unwrap();
        let before = history.clone();
        assert_eq!(
            history.extend(vec![events[40].clone(), events[7].clone()]).unwrap_err().0,
            events[7].head.id
        );
        assert_eq!(history, before);
        assert_eq!(history.state(), before.state());
    }

    #[test]
    fn a_snapshot_of_another_version_or_a_damaged_one_is_none() {
        let text = Snapshot::default().encode().unwrap();
        assert!(Snapshot::decode(&text).is_some());
        assert!(Snapshot::decode(&text.replace("\"version\":3", "\"version\":999")).is_none());
        assert!(Snapshot::decode(&text[..text.len() / 2]).is_none());
    }
}
