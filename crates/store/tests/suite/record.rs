//! An open record beside the log in memory, which is another route: it knows no SQL, no pages and no kept snapshots.

use super::made::{PLAYERS, record, shuffled};
use super::{Numbers, acts, erasure, event, run, sql};
use longrail_practice::event::Event;
use longrail_practice::id::PlayerId;
use longrail_practice::log::Log;
use longrail_practice::state::State;
use longrail_store::{EventStore, Holding, Record, SqlStore};
use std::time::Duration;

/// Little is held and much is kept, so that short records see what long ones do.
const LITTLE: Holding = Holding { events: 12, page: 7, apart: 20 };

fn state(log: &Log) -> State {
    log.state(PLAYERS[0]).cloned().unwrap_or_default()
}

async fn opened(store: &SqlStore) -> Record<SqlStore> {
    Record::open_holding(store.clone(), PLAYERS[0], LITTLE).await.unwrap()
}

pub(super) fn is_the_log_in_memory_at_every_step(address: &str) {
    run(async {
        for seed in 1..=3 {
            let mut numbers = Numbers(seed);
            let mut events = record(&acts(&mut numbers, 260));
            // Some that no sound device would write: one identifier, two events.
            for at in [20, 70, 130] {
                let mut twin = events[at].clone();
                twin.head.sequence += 1_000;
                twin.head.clock.ms += 500_000;
                events.push(twin);
            }
            // One half comes in order, by the record itself; of the other half some comes late, in any order, by others.
            let (own, foreign): (Vec<Event>, Vec<Event>) = events
                .into_iter()
                .partition(|event| event.head.device.bits() == 1 && event.head.sequence < 1_000);
            let (mut own, foreign) = (own.into_iter().peekable(), shuffled(&foreign, seed));
            let mut foreign = foreign.chunks(5);
            let store = SqlStore::open(address).await.unwrap();
            for table in
                ["DELETE FROM snapshot", "DELETE FROM event", "DELETE FROM name", "DELETE FROM player"]
            {
                sql::execute(address, table).await;
            }
            let other = SqlStore::open(address).await.unwrap();
            let (mut open, mut log, mut step) = (opened(&store).await, Log::default(), 0);
            loop {
                match numbers.below(5) {
                    0 | 1 if own.peek().is_some() => {
                        let new: Vec<Event> = own.by_ref().take(1 + numbers.below(6)).collect();
                        open.append(&new).await.unwrap();
                        log.merge(new);
                    }
                    2 => open = opened(&store).await,
                    3 => {
                        // Two arrivals before the record looks.
                        for part in foreign.by_ref().take(2) {
                            other.merge(part).await.unwrap();
                            log.merge(part.to_vec());
                        }
                        open.refresh().await.unwrap();
                    }
                    _ => {
                        let Some(part) = foreign.next() else {
                            if own.peek().is_none() {
                                break;
                            }
                            continue;
                        };
                        other.merge(part).await.unwrap();
                        log.merge(part.to_vec());
                        open.refresh().await.unwrap();
                    }
                }
                step += 1;
                assert_eq!(*open.state(), state(&log), "seed {seed}, step {step}");
            }
            assert!(step > 30 && sql::number(address, "SELECT COUNT(*) FROM snapshot").await > 0);
            store.close().await;
            other.close().await;
        }
    });
}

pub(super) fn from_a_snapshot_is_the_rebuilt_one(address: &str) {
    run(async {
        let events = record(&acts(&mut Numbers(31), 400));
        let store = SqlStore::open(address).await.unwrap();
        for part in events.chunks(40) {
            store.merge(part).await.unwrap();
            opened(&store).await;
        }
        let from_snapshot = opened(&store).await;
        assert!(store.kept(PLAYERS[0]).await.unwrap().is_some());
        sql::execute(address, "DELETE FROM snapshot").await;
        let rebuilt = opened(&store).await;
        assert_eq!(from_snapshot.state(), rebuilt.state());
        let mut log = Log::default();
        log.merge(events);
        assert_eq!(*rebuilt.state(), state(&log));
        store.close().await;
    });
}

pub(super) fn follows_what_others_write_while_it_opens(address: &str) {
    run(async {
        let events = shuffled(&record(&acts(&mut Numbers(77), 500)), 9);
        let store = SqlStore::open(address).await.unwrap();
        store.merge(&events[..60]).await.unwrap();
        let write = async {
            let other = SqlStore::open(address).await.unwrap();
            for part in events[60..].chunks(3) {
                other.merge(part).await.unwrap();
                tokio::time::sleep(Duration::from_millis(1)).await;
            }
            other.close().await;
        };
        let open = async {
            let mut last = opened(&store).await;
            for _ in 0..40 {
                last = opened(&store).await;
                tokio::task::yield_now().await;
            }
            last
        };
        let ((), mut last) = Box::pin(async { tokio::join!(write, open) }).await;
        last.refresh().await.unwrap();
        let mut log = Log::default();
        log.merge(events);
        assert_eq!(*last.state(), state(&log));
        // Whatever snapshots were kept meanwhile are sound.
        assert_eq!(*opened(&store).await.state(), state(&log));
        store.close().await;
    });
}

pub(super) fn says_that_it_was_erased(address: &str) {
    run(async {
        let store = SqlStore::open(address).await.unwrap();
        let events: Vec<Event> = (1..=40).map(|n| event(1, 2, n)).collect();
        store.append(&events).await.unwrap();
        let player = PlayerId::from_bits(1);
        let mut record = Record::open_holding(store.clone(), player, LITTLE).await.unwrap();
        assert_eq!(record.state().study.len(), 40);
        // By another program.
        let other = SqlStore::open(address).await.unwrap();
        other.merge(&[erasure(1, 50)]).await.unwrap();
        other.close().await;
        record.refresh().await.unwrap();
        assert_eq!((record.state(), record.tombstone()), (&State::default(), Some(&erasure(1, 50))));
        record.refresh().await.unwrap();
        assert!(record.append(&[event(1, 2, 60)]).await.is_err());
        assert_eq!(*record.state(), State::default());
        store.close().await;
    });
}

pub(super) fn reads_anew_what_gave_way(address: &str) {
    run(async {
        let store = SqlStore::open(address).await.unwrap();
        let events: Vec<Event> = (10..=60).map(|n| event(1, 2, n)).collect();
        store.append(&events).await.unwrap();
        let mut record = Record::open_holding(store.clone(), PlayerId::from_bits(1), LITTLE).await.unwrap();
        // Long out of what is held; the new one stands at the end of the order.
        let mut twin = events[3].clone();
        twin.head.clock.ms = 9_000;
        // The lesser line: `{"ms":1014,…` gives way to `{"ms":9000,…` only if something before it is less.
        twin.head.author = PlayerId::from_bits(0);
        assert_eq!(store.merge(&[twin.clone()]).await.unwrap().conflicts, 1);
        record.refresh().await.unwrap();
        assert_eq!(record.state().study.len(), events.len());
        assert_eq!(record.state().study.last().map(|study| study.event), Some(twin.head.id));
        let mut log = Log::default();
        log.merge(events);
        log.insert(twin);
        assert_eq!(Some(record.state()), log.state(PlayerId::from_bits(1)));
        store.close().await;
    });
}
