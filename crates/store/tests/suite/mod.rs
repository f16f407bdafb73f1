//! What every store must do, whatever engine is below. Each case gets the address of an empty store.

#[path = "../../../practice/tests/made/mod.rs"]
mod made;
mod order;
mod record;
mod snapshots;
mod sql;

use longrail_practice::clock::Stamp;
use longrail_practice::event::*;
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use longrail_practice::log::{Log, Merged};
use longrail_store::{EventStore, Page, Resume, SqlStore, StoreError};
use std::future::Future;
use std::time::Duration;

pub(crate) type Case = fn(&str);

pub(crate) const ALL: &[(&str, Case)] = &[
    ("appended_events_come_back_byte_for_byte", appended_events_come_back_byte_for_byte),
    ("pages_follow_one_another", pages_follow_one_another),
    ("append_is_all_or_none", append_is_all_or_none),
    ("merging_agrees_with_the_log", merging_agrees_with_the_log),
    ("erasing_wins_over_what_comes_later", erasing_wins_over_what_comes_later),
    ("a_device_goes_on_where_it_was", a_device_goes_on_where_it_was),
    ("two_programs_write_at_once_and_a_reader_misses_nothing", two_programs_write_at_once),
    ("two_programs_open_a_new_store_at_once", two_programs_open_a_new_store_at_once),
    ("numbers_that_no_store_holds_are_refused", numbers_that_no_store_holds_are_refused),
    ("since_gives_the_one_order_whatever_the_order_of_arrival", order::since_gives_the_one_order),
    ("corrected_names_what_corrections_name", order::corrected_names_what_corrections_name),
    ("a_snapshot_is_kept_until_something_reaches_back", snapshots::one_is_kept_until_something_reaches_back),
    ("a_snapshot_is_refused_if_events_came_in_meanwhile", snapshots::one_is_refused_if_events_came_in),
    ("kept_snapshots_stay_few", snapshots::they_stay_few),
    ("erasing_drops_snapshots", snapshots::erasing_drops_them),
    ("a_damaged_snapshot_is_passed_over", snapshots::a_damaged_one_is_passed_over),
    ("a_record_is_the_log_in_memory_at_every_step", record::is_the_log_in_memory_at_every_step),
    ("a_record_from_a_snapshot_is_the_rebuilt_one", record::from_a_snapshot_is_the_rebuilt_one),
    ("a_record_follows_what_others_write_while_it_opens", record::follows_what_others_write_while_it_opens),
    ("a_record_says_that_it_was_erased", record::says_that_it_was_erased),
    ("a_record_reads_anew_what_gave_way", record::reads_anew_what_gave_way),
];

pub(crate) fn run<T>(future: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(future)
}

/// A study event; `n` tells events apart.
pub(crate) fn event(player: u128, device: u128, n: u64) -> Event {
    let study = Study { minutes: 20, line: format!("what was read, {n}; “Größe” ½") };
    told(player, device, n, Payload::Study(study))
}

pub(crate) fn told(player: u128, device: u128, n: u64, payload: Payload) -> Event {
    let head = Head {
        id: EventId::new(n, player << 40 | device << 32 | u128::from(n)),
        player: PlayerId::from_bits(player),
        device: DeviceId::from_bits(device),
        author: PlayerId::from_bits(player),
        clock: Stamp { ms: 1_000 + n, count: u32::MAX },
        sequence: n,
        wall: Wall { ms: 900 + n, offset_min: -60 },
    };
    Event::new(head, payload)
}

/// An event of a kind that nobody knows, with blanks where our own writing has none.
fn newer(player: u128, device: u128, n: u64) -> Event {
    let line = event(player, device, n).encode().unwrap();
    Event::decode(&line.replace("\"kind\":\"study\"", "\"kind\" : \"dream\"")).unwrap()
}

pub(crate) fn erasure(player: u128, n: u64) -> Event {
    told(player, 9, n, Payload::PersonErased(PersonErased {}))
}

async fn all_of(store: &SqlStore, player: u128) -> Page {
    store.read(PlayerId::from_bits(player), 0, u32::MAX).await.unwrap()
}

fn events_of(page: &Page) -> Vec<Event> {
    page.events.iter().map(|(_, event)| event.clone()).collect()
}

async fn assert_sound(store: &SqlStore, events: usize) {
    let report = store.check().await.unwrap();
    assert_eq!(report.faults, [""; 0]);
    assert_eq!(report.events, u64::try_from(events).unwrap());
}

fn appended_events_come_back_byte_for_byte(address: &str) {
    run(async {
        let events = [event(1, 2, 5), newer(1, 2, 3), event(1, 3, 4)];
        let store = SqlStore::open(address).await.unwrap();
        store.append(&events).await.unwrap();
        store.append(&events[..2]).await.unwrap();
        store.close().await;
        let store = SqlStore::open(address).await.unwrap();
        let page = all_of(&store, 1).await;
        assert_eq!(events_of(&page), events);
        for (event, kept) in events.iter().zip(events_of(&page)) {
            assert_eq!(kept.encode().unwrap(), event.encode().unwrap());
        }
        assert_eq!(all_of(&store, 7).await, Page::default());
        assert_sound(&store, 3).await;
        store.close().await;
    });
}

fn pages_follow_one_another(address: &str) {
    run(async {
        let events: Vec<Event> = (1..=25).map(|n| event(1, 2, n)).collect();
        let store = SqlStore::open(address).await.unwrap();
        store.append(&events).await.unwrap();
        let (mut read, mut after) = (Vec::new(), 0);
        loop {
            let page = store.read(PlayerId::from_bits(1), after, 7).await.unwrap();
            let Some((last, _)) = page.events.last() else { break };
            assert!(*last > after && *last <= page.head);
            after = *last;
            read.extend(events_of(&page));
        }
        assert_eq!(read, events);
        store.close().await;
    });
}

fn append_is_all_or_none(address: &str) {
    run(async {
        let store = SqlStore::open(address).await.unwrap();
        store.append(&[event(1, 2, 1)]).await.unwrap();
        let mut twin = event(1, 2, 1);
        twin.head.sequence = 77;
        let refused = store.append(&[event(1, 2, 2), twin.clone(), event(2, 2, 3)]).await.unwrap_err();
        assert!(matches!(refused, StoreError::Conflict(id) if id == twin.head.id), "{refused}");
        let mixed = store.append(&[event(1, 2, 2), erasure(1, 3)]).await.unwrap_err();
        assert!(matches!(mixed, StoreError::Mixed), "{mixed}");
        assert_eq!(events_of(&all_of(&store, 1).await), [event(1, 2, 1)]);
        assert_sound(&store, 1).await;
        store.close().await;
    });
}

/// Knuth's linear congruential generator (TAOCP 2, section 3.3.4, MMIX); the high bits are used.
pub(crate) struct Numbers(pub(crate) u64);

impl Numbers {
    pub(crate) fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % bound
    }
}

/// Arbitrary acts of three devices: their clocks mostly go on, sometimes back, sometimes by a month.
fn acts(numbers: &mut Numbers, count: usize) -> Vec<made::Act> {
    (0..count)
        .map(|_| {
            let (device, act) = (numbers.below(3), u8::try_from(numbers.below(256)).unwrap());
            let wall = match numbers.below(8) {
                0 => -i64::try_from(numbers.below(3_600_000)).unwrap(),
                1 => i64::try_from(numbers.below(2_600_000_000)).unwrap(),
                _ => i64::try_from(numbers.below(90_000)).unwrap(),
            };
            (device, act, wall, numbers.below(1_000))
        })
        .collect()
}

/// The log in memory is the other route: it knows no SQL.
fn merging_agrees_with_the_log(address: &str) {
    let mut events = Vec::new();
    for player in 1..=3 {
        for n in 1..=60_u64 {
            events.push(event(player, 2 + u128::from(n % 3), n));
        }
        events.push(newer(player, 2, 100));
    }
    events.push(erasure(2, 50));
    events.push(erasure(2, 40));
    let mut twin = event(1, 2, 3);
    twin.head.sequence = 900;
    events.push(twin);
    let mut numbers = Numbers(17);
    for _ in 0..60 {
        events.push(events[numbers.below(events.len())].clone());
    }
    for at in (1..events.len()).rev() {
        events.swap(at, numbers.below(at + 1));
    }
    run(async {
        let store = SqlStore::open(address).await.unwrap();
        let mut log = Log::default();
        for part in events.chunks(11) {
            let merged = store.merge(part).await.unwrap();
            let Merged { new, known, erased, conflicts } = merged;
            assert_eq!(new + known + erased + conflicts, part.len());
            log.merge(part.to_vec());
        }
        let mut from_store = Log::default();
        for player in store.players().await.unwrap() {
            let page = store.read(player, 0, u32::MAX).await.unwrap();
            from_store.merge(events_of(&page).into_iter().chain(page.tombstone));
        }
        assert_eq!(from_store, log);
        assert_sound(&store, log.events().count() - 1).await;
        store.close().await;
    });
}

fn erasing_wins_over_what_comes_later(address: &str) {
    run(async {
        let store = SqlStore::open(address).await.unwrap();
        store.append(&[event(1, 2, 1), event(2, 2, 2)]).await.unwrap();
        store.erase(&erasure(1, 9)).await.unwrap();
        store.erase(&erasure(1, 9)).await.unwrap();
        let page = all_of(&store, 1).await;
        assert_eq!((page.events.len(), page.tombstone), (0, Some(erasure(1, 9))));
        let refused = store.append(&[event(1, 2, 5)]).await.unwrap_err();
        assert!(matches!(refused, StoreError::Erased(_)), "{refused}");
        let merged =
            store.merge(&[event(1, 2, 1), event(2, 2, 3), erasure(3, 1), event(3, 2, 1)]).await.unwrap();
        assert_eq!(merged, Merged { new: 1, erased: 3, ..Merged::default() });
        assert_eq!(events_of(&all_of(&store, 2).await).len(), 2);
        let wrong = store.erase(&event(2, 2, 2)).await.unwrap_err();
        assert!(matches!(wrong, StoreError::NoErasure(_)), "{wrong}");
        assert_sound(&store, 2).await;
        store.close().await;
    });
}

fn a_device_goes_on_where_it_was(address: &str) {
    run(async {
        let store = SqlStore::open(address).await.unwrap();
        assert_eq!(store.resume(DeviceId::from_bits(2)).await.unwrap(), Resume::default());
        store.append(&[event(1, 2, 3), event(2, 2, 8), event(1, 2, 5), event(1, 3, 40)]).await.unwrap();
        let expected = Resume { clock: event(2, 2, 8).head.clock, sequence: 8 };
        assert_eq!(store.resume(DeviceId::from_bits(2)).await.unwrap(), expected);
        store.close().await;
    });
}

fn two_programs_write_at_once(address: &str) {
    const EACH: u64 = 40;
    // A program opens the store for itself and writes to a record that both share, and to records of its own.
    let write = |device: u128| async move {
        let store = SqlStore::open(address).await.unwrap();
        for n in 1..=EACH {
            store
                .append(&[event(1, device, n), event(100 * device + u128::from(n), device, n)])
                .await
                .unwrap();
        }
        store.close().await;
    };
    // Places are handed out in the order in which they become visible, so "after the last" never skips one.
    let read = async {
        let store = SqlStore::open(address).await.unwrap();
        let (mut after, mut seen) = (0, Vec::new());
        while seen.len() < 2 * usize::try_from(EACH).unwrap() {
            let page = store.read(PlayerId::from_bits(1), after, 1_000).await.unwrap();
            after = page.events.last().map_or(after, |(place, _)| *place);
            seen.extend(events_of(&page));
            tokio::time::sleep(Duration::from_millis(1)).await;
        }
        assert_sound(&store, 4 * usize::try_from(EACH).unwrap()).await;
        store.close().await;
    };
    run(async {
        let limit = Duration::from_mins(2);
        let work = Box::pin(async { tokio::join!(write(2), write(3), read) });
        tokio::time::timeout(limit, work).await.expect("the reader waits for an event that it has skipped");
    });
}

fn two_programs_open_a_new_store_at_once(address: &str) {
    run(async {
        let (one, two, three) =
            tokio::join!(SqlStore::open(address), SqlStore::open(address), SqlStore::open(address));
        for store in [one, two, three] {
            let store = store.unwrap();
            store.append(&[event(1, 2, 1)]).await.unwrap();
            store.close().await;
        }
    });
}

fn numbers_that_no_store_holds_are_refused(address: &str) {
    run(async {
        let store = SqlStore::open(address).await.unwrap();
        let mut wrong = event(1, 2, 1);
        wrong.head.sequence = u64::MAX;
        assert!(matches!(store.append(&[wrong]).await, Err(StoreError::Number(_))));
        assert_sound(&store, 0).await;
        store.close().await;
    });
}
