//! Reading in the one order.

use super::made::{PLAYERS, record, shuffled};
use super::{Numbers, acts, run};
use longrail_practice::clock::{Position, Stamp};
use longrail_practice::event::Event;
use longrail_practice::id::EventId;
use longrail_store::{EventStore, SqlStore};
use std::collections::BTreeSet;

/// Events of which many share a clock: with the same millisecond, and with the same count, too.
fn crowded(seed: u64) -> Vec<Event> {
    let mut numbers = Numbers(seed);
    let mut events = record(&acts(&mut numbers, 260));
    for event in &mut events {
        if numbers.below(3) == 0 {
            let ms = 1_700_000_000_000 + 60_000 * u64::try_from(numbers.below(12)).unwrap();
            event.head.clock = Stamp { ms, count: u32::try_from(numbers.below(3)).unwrap() };
        }
    }
    events
}

/// The events of the first player in their order.
fn sorted(events: &[Event]) -> Vec<Event> {
    let mut own: Vec<Event> = events.iter().filter(|e| e.head.player == PLAYERS[0]).cloned().collect();
    own.sort_by_key(|event| event.head.position());
    own
}

async fn filled(address: &str, events: &[Event], seed: u64) -> SqlStore {
    let store = SqlStore::open(address).await.unwrap();
    for part in shuffled(events, seed).chunks(13) {
        store.merge(part).await.unwrap();
    }
    store
}

pub(super) fn since_gives_the_one_order(address: &str) {
    run(async {
        let events = crowded(5);
        let store = filled(address, &events, 3).await;
        let own = sorted(&events);
        let from_each = own.iter().step_by(40).map(|event| Some(event.head.position()));
        for begin in from_each.chain([None]) {
            let expected: Vec<Event> = own
                .iter()
                .filter(|event| begin.is_none_or(|begin| event.head.position() > begin))
                .cloned()
                .collect();
            for limit in [0, 1, 3, 7, 1_000] {
                let (mut read, mut after) = (Vec::new(), begin);
                loop {
                    let page = store.since(PLAYERS[0], after, limit).await.unwrap();
                    let Some((_, last)) = page.last() else { break };
                    assert!(limit < 1_000 || page.len() == expected.len());
                    after = Some(last.head.position());
                    read.extend(page.into_iter().map(|(_, event)| event));
                }
                assert_eq!(read, expected, "from {begin:?} by {limit}");
            }
        }
        // The places are those of arrival.
        let by_arrival = store.read(PLAYERS[0], 0, u32::MAX).await.unwrap();
        let mut by_order = store.since(PLAYERS[0], None, 1_000).await.unwrap();
        by_order.sort_by_key(|(place, _)| *place);
        assert_eq!(by_order, by_arrival.events);
        store.close().await;
    });
}

pub(super) fn corrected_names_what_corrections_name(address: &str) {
    run(async {
        let events = crowded(8);
        let store = filled(address, &events, 4).await;
        let own = sorted(&events);
        let named = |from: Option<Position>| -> BTreeSet<EventId> {
            let behind = |event: &&Event| from.is_none_or(|from| event.head.clock.ms >= from.clock.ms);
            own.iter().filter(behind).filter_map(Event::corrects).collect()
        };
        assert!(named(None).len() > 4, "the test has seen little");
        for from in own.iter().map(|event| Some(event.head.position())).chain([None]) {
            assert_eq!(store.corrected(PLAYERS[0], from).await.unwrap(), named(from), "{from:?}");
        }
        store.close().await;
    });
}
