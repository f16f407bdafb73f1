//! Kept snapshots.

use super::{erasure, event, run, sql, told};
use longrail_practice::event::{Correction, Event, Payload};
use longrail_practice::id::PlayerId;
use longrail_practice::log::Snapshot;
use longrail_store::{EventStore, Holding, Record, SqlStore};
use std::collections::BTreeSet;

const PLAYER: PlayerId = PlayerId::from_bits(1);
const COUNT: &str = "SELECT COUNT(*) FROM snapshot";

/// What the first of some events lead to.
fn after(events: &[Event], count: usize) -> Snapshot {
    let mut snapshot = Snapshot::default();
    for event in &events[..count] {
        snapshot.take(event, &BTreeSet::new());
    }
    snapshot
}

async fn head(store: &SqlStore) -> u64 {
    store.read(PLAYER, u64::MAX, 0).await.unwrap().head
}

/// How many events the latest kept snapshot has behind it; 0 without one.
async fn kept(store: &SqlStore) -> u64 {
    let text = store.kept(PLAYER).await.unwrap();
    text.map_or(0, |text| Snapshot::decode(&text).unwrap().events)
}

/// Thirty events, every second millisecond, and a snapshot behind the tenth and the twentieth.
async fn thirty(address: &str) -> (SqlStore, Vec<Event>) {
    let store = SqlStore::open(address).await.unwrap();
    let events: Vec<Event> = (1..=30).map(|n| event(1, 2, 2 * n)).collect();
    store.append(&events).await.unwrap();
    for count in [10, 20] {
        assert!(store.keep(PLAYER, head(&store).await, &after(&events, count)).await.unwrap());
    }
    assert_eq!(kept(&store).await, 20);
    (store, events)
}

pub(super) fn one_is_kept_until_something_reaches_back(address: &str) {
    let corrects = |event: &Event, n| told(1, 3, n, Payload::Correction(Correction { of: event.head.id }));
    run(async {
        let (store, events) = thirty(address).await;
        let twin = |at: usize, line: &dyn Fn(&mut Event)| {
            let mut twin = events[at].clone();
            line(&mut twin);
            twin
        };
        // Of two, the lesser line stays: one that has a lower sequence where the other has 2, and one that has 99.
        let lesser = |at: usize| twin(at, &|twin| twin.head.sequence = 1);
        let greater = |at: usize| twin(at, &|twin| twin.head.sequence = 99);
        // Ids from 31 on are behind the end; an odd number stands between two of the thirty.
        let cases: [(&str, Event, u64); 9] = [
            ("behind the end", event(1, 3, 99), 20),
            ("known", events[3].clone(), 20),
            ("late, behind the later snapshot", event(1, 3, 43), 20),
            ("late, between the two", event(1, 3, 31), 10),
            ("late, before both", event(1, 3, 7), 0),
            ("taking back what is behind", corrects(&events[25], 101), 20),
            ("taking back what is between", corrects(&events[15], 102), 10),
            (
                "taking back what never came",
                told(1, 3, 103, Payload::Correction(Correction { of: erasure(1, 1).head.id })),
                20,
            ),
            ("a twin that does not stay", greater(3), 20),
        ];
        for (what, event, expected) in cases {
            sql::execute(address, "DELETE FROM snapshot").await;
            for count in [10, 20] {
                store.keep(PLAYER, head(&store).await, &after(&events, count)).await.unwrap();
            }
            assert_eq!(kept(&store).await, 20);
            store.merge(&[event]).await.unwrap();
            assert_eq!(kept(&store).await, expected, "{what}");
        }
        // Both come to the same: the one that goes stands between the two, or before both.
        for (at, expected) in [(15, 10), (3, 0)] {
            sql::execute(address, "DELETE FROM snapshot").await;
            for count in [10, 20] {
                store.keep(PLAYER, head(&store).await, &after(&events, count)).await.unwrap();
            }
            assert_eq!(store.merge(&[lesser(at)]).await.unwrap().conflicts, 1);
            assert_eq!(kept(&store).await, expected, "a twin that stays, at {at}");
        }
        store.close().await;
    });
}

pub(super) fn one_is_refused_if_events_came_in(address: &str) {
    run(async {
        let (store, events) = thirty(address).await;
        let head = head(&store).await;
        store.append(&[event(1, 2, 200)]).await.unwrap();
        assert!(!store.keep(PLAYER, head, &after(&events, 30)).await.unwrap());
        assert_eq!(kept(&store).await, 20);
        assert!(store.keep(PLAYER, head + 1, &after(&events, 30)).await.unwrap());
        assert_eq!(kept(&store).await, 30);
        // Another player's events do not matter, nor does one whom nobody knows.
        store.append(&[event(7, 2, 200)]).await.unwrap();
        assert!(store.keep(PLAYER, head + 1, &after(&events, 30)).await.unwrap());
        assert!(!store.keep(PlayerId::from_bits(8), 0, &after(&events, 30)).await.unwrap());
        assert!(!store.keep(PLAYER, head + 1, &Snapshot::default()).await.unwrap(), "it says nothing");
        store.close().await;
    });
}

pub(super) fn they_stay_few(address: &str) {
    run(async {
        let store = SqlStore::open(address).await.unwrap();
        let events: Vec<Event> = (1..=300).map(|n| event(1, 2, n)).collect();
        store.append(&events).await.unwrap();
        let head = head(&store).await;
        for count in 1..=300 {
            assert!(store.keep(PLAYER, head, &after(&events, count)).await.unwrap());
            // The first, the last two, and a ninth of the way between each and the next: the logarithm of 300 to the base 9
            // is less than three.
            assert!(sql::number(address, COUNT).await <= 7, "after {count}");
            assert_eq!(kept(&store).await, u64::try_from(count).unwrap());
        }
        store.close().await;
    });
}

pub(super) fn erasing_drops_them(address: &str) {
    run(async {
        let (store, events) = thirty(address).await;
        store.append(&[event(7, 2, 1)]).await.unwrap();
        let other = after(&[event(7, 2, 1)], 1);
        assert!(store.keep(PlayerId::from_bits(7), 1, &other).await.unwrap());
        store.erase(&erasure(1, 900)).await.unwrap();
        assert_eq!(store.kept(PLAYER).await.unwrap(), None);
        assert_eq!(sql::number(address, COUNT).await, 1, "the other player's stays");
        assert!(!store.keep(PLAYER, 0, &after(&events, 10)).await.unwrap(), "none comes back");
        store.close().await;
    });
}

pub(super) fn a_damaged_one_is_passed_over(address: &str) {
    run(async {
        let (store, events) = thirty(address).await;
        // One byte, which in either engine's writing is no packed text.
        let byte = if address.starts_with("postgres") { "'\\x07'" } else { "x'07'" };
        sql::execute(address, format!("UPDATE snapshot SET body = {byte}")).await;
        let holding = Holding { events: 5, page: 7, apart: 5 };
        let record = Record::open_holding(store.clone(), PLAYER, holding).await.unwrap();
        assert_eq!(*record.state(), after(&events, 30).state);
        // The new one is good.
        assert_eq!(kept(&store).await, 25);
        store.close().await;
    });
}
