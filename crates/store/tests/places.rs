//! Places that cannot be written: full, limited, or not allowed.

// Helpers of tests may stop where they stand, as tests do.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]
#![cfg(unix)]

mod durable;

use durable::{WRITER, acknowledged, identifiers, kept, names, writer};
use longrail_practice::id::EventId;
use std::fs;
use std::io::ErrorKind;
use std::os::unix::fs::{MetadataExt, PermissionsExt};
use std::os::unix::process::CommandExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::thread::sleep;
use std::time::Duration;

/// The user that owns nothing, by custom.
const NOBODY: u32 = 65_534;

/// The one line that a failed writer says, and what it acknowledged before.
fn failed(out: &Output) -> (String, Vec<EventId>) {
    let message = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(!out.status.success() && message.lines().count() == 1, "{message}");
    (message, identifiers(&String::from_utf8_lossy(&out.stdout)))
}

/// A limit on the size of files acts as a full disk does, at every size from before the tables are made.
#[test]
fn at_a_limit_of_file_size_the_writer_says_so_loses_nothing_and_goes_on_later() {
    let mut came_far = false;
    // In blocks of 512 bytes, as POSIX has it for `ulimit -f`.
    for blocks in [1, 40, 120, 200, 300, 900, 2_500] {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("record.db");
        // Without a hand for the signal a write behind the limit fails, rather than ending the program.
        let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"");
        let mut command = Command::new("sh");
        command.args(["-c", &script, WRITER]).arg(&file).args(["1", "100000"]);
        let (message, safe) = failed(&command.output().unwrap());
        assert!(message.contains("record.db could not be read or written"), "{blocks}: {message}");
        assert!(message.contains("disk may be full") && message.contains("try again"), "{blocks}: {message}");
        let before = names(&kept(&file));
        assert!(before.starts_with(&safe) && before.len() <= safe.len() + 1, "{blocks}");
        let more = acknowledged(writer(&file, 1, 5));
        assert_eq!(names(&kept(&file)), [before, more].concat(), "{blocks}");
        came_far |= safe.len() > 20;
    }
    assert!(came_far, "no writer came so far as to fill anything: the test has seen little");
}

/// Runs a script that mounts a small file system. Says whether the machine lets a program do that.
fn in_small_space(script: &str, small: &Path, out: &Path) -> bool {
    let mut command = Command::new("unshare");
    command.args(["-rm", "sh", "-c", script, WRITER]).args([small, out]);
    match command.output() {
        Ok(done) if done.status.success() => true,
        Ok(done) if out.join("message").exists() => {
            panic!("{done:?} {}", fs::read_to_string(out.join("message")).unwrap())
        }
        other => {
            println!("NOT TRIED: this machine gives no file system to fill: {other:?}");
            false
        }
    }
}

/// On a small file system of its own, where the machine lets a program have one.
#[test]
fn on_a_full_disk_the_writer_says_so_loses_nothing_and_goes_on_later() {
    let folder = tempfile::tempdir().unwrap();
    let (small, out) = (folder.path().join("small"), folder.path().join("out"));
    fs::create_dir(&small).unwrap();
    fs::create_dir(&out).unwrap();
    let script = "mount -t tmpfs -o size=1m none \"$1\" || exit 77
        \"$0\" \"$1/record.db\" 1 100000 >\"$2/first\" 2>\"$2/message\" && exit 1
        cp \"$1\"/record.db* \"$2\"
        mount -o remount,size=8m \"$1\" || exit 77
        \"$0\" \"$1/record.db\" 1 5 >\"$2/second\" || exit 1
        mkdir \"$2/later\" && cp \"$1\"/record.db* \"$2/later\"";
    if !in_small_space(script, &small, &out) {
        return;
    }
    let read = |name: &str| fs::read_to_string(out.join(name)).unwrap();
    let message = read("message");
    assert!(
        message.contains("the disk is full; free some space") && message.lines().count() == 1,
        "{message}"
    );
    let (safe, more) = (identifiers(&read("first")), identifiers(&read("second")));
    assert!(safe.len() > 20 && more.len() == 5);
    let full = names(&kept(&out.join("record.db")));
    assert!(full.starts_with(&safe) && full.len() <= safe.len() + 1);
    assert_eq!(names(&kept(&out.join("later").join("record.db"))), [full, more].concat());
}

/// The same, but the program does not end in between: it waits until there is space.
#[test]
fn a_program_that_met_a_full_disk_goes_on_when_there_is_space() {
    let folder = tempfile::tempdir().unwrap();
    let (small, out) = (folder.path().join("small"), folder.path().join("out"));
    fs::create_dir(&small).unwrap();
    fs::create_dir(&out).unwrap();
    let script = "mount -t tmpfs -o size=1m none \"$1\" || exit 77
        \"$0\" \"$1/record.db\" 1 1500 patient >\"$2/said\" 2>\"$2/message\" &
        for wait in $(seq 200); do [ -s \"$2/message\" ] && break; sleep 0.1; done
        mount -o remount,size=16m \"$1\" || exit 77
        wait $! || exit 1
        cp \"$1\"/record.db* \"$2\"";
    if !in_small_space(script, &small, &out) {
        return;
    }
    assert!(fs::read_to_string(out.join("message")).unwrap().contains("the disk is full"));
    let safe = identifiers(&fs::read_to_string(out.join("said")).unwrap());
    assert_eq!(safe.len(), 1_500);
    assert_eq!(names(&kept(&out.join("record.db"))), safe);
}

/// A folder that only its owner writes, with a program in it that somebody else may run.
struct Shut {
    folder: tempfile::TempDir,
    program: PathBuf,
}

impl Shut {
    /// With what is made in it before it is shut.
    fn with(fill: impl FnOnce(&Path)) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let (inner, program) = (folder.path().join("inner"), folder.path().join("writer"));
        fs::create_dir(&inner).unwrap();
        fs::copy(WRITER, &program).unwrap();
        fill(&inner);
        for file in fs::read_dir(&inner).unwrap() {
            mode(&file.unwrap().path(), 0o444);
        }
        mode(&inner, 0o555);
        mode(folder.path(), 0o755);
        Self { folder, program }
    }

    fn file(&self) -> PathBuf {
        self.folder.path().join("inner").join("record.db")
    }

    /// Whoever may do everything is asked to be somebody else: to the administrator no folder is read-only.
    fn run(&self, file: &Path, count: u64) -> Output {
        let mut command = Command::new(&self.program);
        if fs::metadata(self.folder.path()).unwrap().uid() == 0 {
            command.uid(NOBODY);
        }
        command.arg(file).args(["1", &count.to_string()]);
        // A program that another test starts at this moment has the copy open for as long as it takes to start.
        for _ in 0..100 {
            match command.output() {
                Err(error) if error.kind() == ErrorKind::ExecutableFileBusy => {
                    sleep(Duration::from_millis(20));
                }
                outcome => return outcome.unwrap(),
            }
        }
        panic!("{} stays busy", self.program.display())
    }
}

impl Drop for Shut {
    fn drop(&mut self) {
        mode(&self.folder.path().join("inner"), 0o755);
    }
}

fn mode(path: &Path, mode: u32) {
    fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
}

#[test]
fn a_record_that_may_not_be_written_is_read_and_says_so_when_it_is_written() {
    let mut safe = Vec::new();
    let shut = Shut::with(|inner| safe = acknowledged(writer(&inner.join("record.db"), 1, 30)));
    let read = shut.run(&shut.file(), 0);
    assert!(read.status.success(), "{read:?}");
    assert_eq!(identifiers(&String::from_utf8_lossy(&read.stdout)), safe);
    let (message, none) = failed(&shut.run(&shut.file(), 1));
    assert!(
        message.contains("record.db cannot be written: make the file and its folder writable"),
        "{message}"
    );
    assert!(none.is_empty());
    // Reading has left nothing behind.
    assert_eq!(fs::read_dir(shut.folder.path().join("inner")).unwrap().count(), 1);
}

/// The writer was killed, and what it wrote last stands in its log alone.
#[test]
fn a_log_that_a_killed_writer_left_is_read_where_nothing_may_be_written() {
    for index_is_there in [true, false] {
        let mut safe = Vec::new();
        let shut = Shut::with(|inner| {
            let file = inner.join("record.db");
            let mut child = writer(&file, 1, u64::MAX / 2);
            std::thread::sleep(std::time::Duration::from_millis(400));
            child.kill().unwrap();
            safe = acknowledged(child);
            assert!(fs::metadata(inner.join("record.db-wal")).unwrap().len() > 0);
            if !index_is_there {
                fs::remove_file(inner.join("record.db-shm")).unwrap();
            }
        });
        let read = shut.run(&shut.file(), 0);
        if index_is_there {
            assert!(identifiers(&String::from_utf8_lossy(&read.stdout)).starts_with(&safe), "{read:?}");
        } else {
            // SQLite will not read a log without its index or a place to make one. Saying so is better than the record
            // without its end.
            let (message, none) = failed(&read);
            assert!(message.contains("record.db cannot be opened") && none.is_empty(), "{message}");
            assert!(message.contains("may you read and write there?"), "{message}");
        }
    }
}

#[test]
fn a_new_record_where_nothing_may_be_written_is_told() {
    let shut = Shut::with(|_| {});
    let (message, _) = failed(&shut.run(&shut.file(), 1));
    assert!(message.contains("record.db cannot be opened"), "{message}");
}
