//! A writer that is a program of its own, what it acknowledged, and what a file holds.

// Each binary of tests uses its part of it.
#![allow(dead_code)]

use longrail_practice::event::Event;
use longrail_practice::id::{EventId, PlayerId};
use longrail_store::{EventStore, SqlStore};
use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, Stdio};

pub(crate) const WRITER: &str = env!("CARGO_BIN_EXE_longrail-store-writer");

pub(crate) fn run<T>(future: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(future)
}

pub(crate) fn writer(file: &Path, device: u64, count: u64) -> Child {
    let mut command = Command::new(WRITER);
    command.arg(file).args([device.to_string(), count.to_string()]);
    command.stdout(Stdio::piped()).spawn().unwrap()
}

/// The identifiers of whole lines; the last line may have been cut off by a kill.
pub(crate) fn identifiers(text: &str) -> Vec<EventId> {
    text.split_inclusive('\n').filter_map(|line| line.strip_suffix('\n')?.parse().ok()).collect()
}

pub(crate) fn acknowledged(mut child: Child) -> Vec<EventId> {
    let mut text = String::new();
    child.stdout.take().unwrap().read_to_string(&mut text).unwrap();
    child.wait().unwrap();
    identifiers(&text)
}

/// The events in the file, in the order of writing; it must be sound.
pub(crate) fn kept(file: &Path) -> Vec<Event> {
    run(async {
        let store = SqlStore::in_file(file).await.unwrap();
        assert_eq!(store.check().await.unwrap().faults, [""; 0]);
        let page = store.read(PlayerId::from_bits(1), 0, u32::MAX).await.unwrap();
        store.close().await;
        page.events.into_iter().map(|(_, event)| event).collect()
    })
}

pub(crate) fn names(events: &[Event]) -> Vec<EventId> {
    events.iter().map(|event| event.head.id).collect()
}

/// Knuth's linear congruential generator (TAOCP 2, section 3.3.4, MMIX); the high bits are used.
pub(crate) struct Numbers(pub(crate) u64);

impl Numbers {
    pub(crate) fn below(&mut self, bound: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % bound
    }
}
