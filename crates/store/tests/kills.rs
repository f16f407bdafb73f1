//! What was acknowledged is kept, however the writer ends.
//!
//! The writer is a program of its own, which is killed (SIGKILL: it can do nothing about it) at random moments.
//! `LONGRAIL_KILLS` says how often; `cargo xtask test --only store` and `cargo xtask soak kills` say more than here.

// Helpers of tests may stop where they stand, as tests do.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]

use longrail_practice::id::{EventId, PlayerId};
use longrail_store::{EventStore, SqlStore};
use std::collections::BTreeSet;
use std::fs;
use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

const WRITER: &str = env!("CARGO_BIN_EXE_longrail-store-writer");
/// Kills before a new file is begun: some files are young, some have been through a few.
const A_FILE: u64 = 5;

fn run<T>(future: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(future)
}

fn writer(file: &Path, device: u64, count: u64) -> Child {
    let mut command = Command::new(WRITER);
    command.arg(file).args([device.to_string(), count.to_string()]);
    command.stdout(Stdio::piped()).spawn().unwrap()
}

/// The identifiers of whole lines; the last line may have been cut off by the kill.
fn acknowledged(mut child: Child) -> Vec<EventId> {
    let mut text = String::new();
    child.stdout.take().unwrap().read_to_string(&mut text).unwrap();
    child.wait().unwrap();
    text.split_inclusive('\n').filter_map(|line| line.strip_suffix('\n')?.parse().ok()).collect()
}

/// The identifiers in the file; it must be sound.
fn kept(file: &Path) -> BTreeSet<EventId> {
    run(async {
        let store = SqlStore::in_file(file).await.unwrap();
        assert_eq!(store.check().await.unwrap().faults, [""; 0]);
        let page = store.read(PlayerId::from_bits(1), 0, u32::MAX).await.unwrap();
        store.close().await;
        page.events.into_iter().map(|(_, event)| event.head.id).collect()
    })
}

#[test]
fn nothing_acknowledged_is_lost_when_the_writer_is_killed() {
    let kills: u64 = std::env::var("LONGRAIL_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(15);
    // Knuth's linear congruential generator (TAOCP 2, section 3.3.4, MMIX).
    let mut random = 2_540_u64;
    let mut total = 0;
    let mut done = 0;
    while done < kills {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("record.db");
        let mut safe = BTreeSet::new();
        for _ in 0..A_FILE.min(kills - done) {
            random = random.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            let mut child = writer(&file, 1, u64::MAX / 2);
            // From before the file is made to some dozens of events.
            std::thread::sleep(Duration::from_micros((random >> 33) % 120_000));
            child.kill().unwrap();
            safe.extend(acknowledged(child));
            let kept = kept(&file);
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
    assert_eq!(kept(&file), safe);
}

/// A power cut may leave the end of the write-ahead log half written. What was acknowledged before that was on the disk
/// before the next write began, so what is left of the log is read up to its last whole commit.
#[test]
fn a_log_that_was_cut_off_keeps_what_came_before() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("record.db");
    let mut child = writer(&file, 1, u64::MAX / 2);
    std::thread::sleep(Duration::from_millis(400));
    child.kill().unwrap();
    let safe = acknowledged(child);
    let log = fs::read(folder.path().join("record.db-wal")).unwrap();
    let mut last = 0;
    for tenth in 0..=10 {
        let copy = folder.path().join(format!("cut-{tenth}.db"));
        fs::copy(&file, &copy).unwrap();
        fs::write(folder.path().join(format!("cut-{tenth}.db-wal")), &log[..log.len() * tenth / 10]).unwrap();
        let kept = kept(&copy);
        // The beginning of what was acknowledged, without a gap.
        let whole = safe.iter().take_while(|id| kept.contains(id)).count();
        assert!(kept.len() <= whole + 1, "{} kept, {whole} from the beginning", kept.len());
        assert!(whole >= last, "a longer log keeps no fewer");
        last = whole;
    }
    assert_eq!(last, safe.len());
}

/// Whoever may do everything is asked to be somebody else: to the administrator no folder is read-only.
#[cfg(unix)]
#[test]
fn a_folder_that_cannot_be_written_is_told() {
    use std::os::unix::fs::{MetadataExt, PermissionsExt};
    use std::os::unix::process::CommandExt;
    let folder = tempfile::tempdir().unwrap();
    let (inner, program) = (folder.path().join("inner"), folder.path().join("writer"));
    fs::create_dir(&inner).unwrap();
    fs::copy(WRITER, &program).unwrap();
    let mode = |path: &Path, mode| fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
    let existing = inner.join("record.db");
    acknowledged(writer(&existing, 1, 3));
    mode(&existing, 0o444);
    mode(&inner, 0o555);
    mode(folder.path(), 0o755);
    for (file, words) in [(existing, "cannot be written"), (inner.join("new.db"), "cannot be opened")] {
        let mut command = Command::new(&program);
        if fs::metadata(folder.path()).unwrap().uid() == 0 {
            // The user that owns nothing, by custom of all systems that have it.
            command.uid(65_534);
        }
        let out = command.arg(&file).output().unwrap();
        let message = String::from_utf8_lossy(&out.stderr);
        assert!(!out.status.success() && message.contains(words), "{message}");
        assert_eq!(message.lines().count(), 1, "{message}");
    }
    mode(&inner, 0o755);
}
