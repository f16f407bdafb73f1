//! What was acknowledged is kept, however the writer ends.
//!
//! The writer is a program of its own, which is killed (SIGKILL: it can do nothing about it) at random moments.
//! `LONGRAIL_KILLS` says how often; `cargo xtask test --only store` and `cargo xtask soak kills` say more than here.

// Helpers of tests may stop where they stand, as tests do.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]

mod durable;

use durable::{Numbers, acknowledged, kept, names, writer};
use longrail_practice::id::EventId;
use std::collections::BTreeSet;
use std::time::Duration;

/// Kills before a new file is begun: some files are young, some have been through a few.
const A_FILE: u64 = 5;

#[test]
fn nothing_acknowledged_is_lost_when_the_writer_is_killed() {
    let kills: u64 = std::env::var("LONGRAIL_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(15);
    let mut numbers = Numbers(2_540);
    let mut total = 0;
    let mut done = 0;
    while done < kills {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("record.db");
        let mut safe = BTreeSet::new();
        for _ in 0..A_FILE.min(kills - done) {
            let mut child = writer(&file, 1, u64::MAX / 2);
            // From before the file is made to some dozens of events.
            std::thread::sleep(Duration::from_micros(numbers.below(120_000)));
            child.kill().unwrap();
            safe.extend(acknowledged(child));
            let kept: BTreeSet<EventId> = names(&kept(&file)).into_iter().collect();
            let lost: Vec<_> = safe.difference(&kept).collect();
            assert!(lost.is_empty(), "acknowledged and lost after kill {done}: {lost:?}");
            done += 1;
        }
        total += safe.len();
    }
    println!("{kills} kills, {total} events acknowledged, none lost");
    assert!(total > 0, "no writer came so far as to acknowledge anything: the test has seen nothing");
}

#[test]
fn two_writers_share_a_file() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("record.db");
    let children = [writer(&file, 1, 60), writer(&file, 2, 60)];
    let safe: BTreeSet<EventId> = children.into_iter().flat_map(acknowledged).collect();
    assert_eq!(safe.len(), 120);
    assert_eq!(names(&kept(&file)).into_iter().collect::<BTreeSet<_>>(), safe);
}
