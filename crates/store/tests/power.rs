//! Power cuts: what was acknowledged is kept, and what is left is the beginning of what was written.
//!
//! The writer is stopped at random moments, and its file and write-ahead log are copied: that is all that a disk could
//! hold then. A cut leaves the end of the log unwritten or garbled. The test reads the log by itself, after its published
//! format (<https://www.sqlite.org/fileformat2.html>, section 4; <https://www.sqlite.org/walformat.html>), and so knows
//! how many commits are whole: just those events must be there.

// Helpers of tests may stop where they stand, as tests do.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]
#![cfg(unix)]

mod durable;

use durable::{Numbers, identifiers, kept, names, writer};
use longrail_practice::event::Event;
use longrail_practice::id::EventId;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Child, Command};
use std::sync::{Arc, Mutex};
use std::time::Duration;

const LOG_HEADER: usize = 32;
const FRAME_HEADER: usize = 24;
const FRAME: usize = FRAME_HEADER + 4096;
/// Stops before a new file is begun, and kills asked for by `LONGRAIL_KILLS` for each stop here, which takes longer.
const A_FILE: u64 = 8;
const A_STOP: u64 = 4;
/// Cuts of the log as it was at one stop.
const CUTS: u64 = 5;

fn beside(file: &Path, ending: &str) -> PathBuf {
    PathBuf::from(format!("{}{ending}", file.display()))
}

fn big_endian(bytes: &[u8], at: usize) -> u32 {
    u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap())
}

/// Where each commit of the log's present turn ends.
fn commits(log: &[u8]) -> Vec<usize> {
    let Some(salts) = log.get(16..24) else { return Vec::new() };
    let frames = log[LOG_HEADER..].chunks_exact(FRAME).take_while(|frame| &frame[8..16] == salts);
    let ends = (1..).map(|number| LOG_HEADER + number * FRAME);
    frames.zip(ends).filter(|(frame, _)| big_endian(frame, 4) != 0).map(|(_, end)| end).collect()
}

/// How far the log has been written back into the file, or may have been. A program writes back only what is on the
/// disk for certain, so no cut comes before it.
fn written_back(index: &[u8]) -> usize {
    let frames = index.get(128..132).map_or(0, |bytes| u32::from_ne_bytes(bytes.try_into().unwrap()));
    if frames == 0 { 0 } else { LOG_HEADER + usize::try_from(frames).unwrap() * FRAME }
}

fn signal(child: &Child, name: &str) {
    assert!(Command::new("kill").args([name, &child.id().to_string()]).status().unwrap().success());
}

/// A writer whose acknowledgements are read while it runs.
struct Running {
    child: Child,
    said: Arc<Mutex<String>>,
}

impl Running {
    fn start(file: &Path) -> Self {
        let mut child = writer(file, 1, u64::MAX / 2);
        let (mut out, said) = (child.stdout.take().unwrap(), Arc::new(Mutex::new(String::new())));
        let heard = Arc::clone(&said);
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(count @ 1..) = out.read(&mut bytes) {
                heard.lock().unwrap().push_str(std::str::from_utf8(&bytes[..count]).unwrap());
            }
        });
        Self { child, said }
    }

    /// What a stopped writer had acknowledged; the last of it may still be on its way, so this waits for all but one of
    /// so many.
    fn heard(&self, expected: usize) -> Vec<EventId> {
        for _ in 0..200 {
            let safe = identifiers(&self.said.lock().unwrap());
            if safe.len() + 1 >= expected {
                return safe;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        identifiers(&self.said.lock().unwrap())
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

struct Copy {
    file: Vec<u8>,
    log: Vec<u8>,
    index: Vec<u8>,
}

impl Copy {
    fn of(file: &Path) -> Self {
        let read = |ending| fs::read(beside(file, ending)).unwrap_or_default();
        Self { file: read(""), log: read("-wal"), index: read("-shm") }
    }

    /// What a program finds that starts with this file and this log.
    fn holds(&self, log: &[u8]) -> Vec<Event> {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("copy.db");
        fs::write(&file, &self.file).unwrap();
        fs::write(beside(&file, "-wal"), log).unwrap();
        kept(&file)
    }
}

#[test]
fn after_a_power_cut_the_beginning_of_what_was_written_is_there_and_all_that_was_safe() {
    let kills: u64 = std::env::var("LONGRAIL_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(15);
    let mut numbers = Numbers(1_999);
    let (mut cuts, mut turns, mut most) = (0, 0, 0);
    for _ in 0..kills.div_ceil(A_FILE * A_STOP) {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("record.db");
        let running = Running::start(&file);
        for _ in 0..A_FILE {
            std::thread::sleep(Duration::from_millis(20 + numbers.below(250)));
            signal(&running.child, "-STOP");
            let copy = Copy::of(&file);
            if copy.file.is_empty() {
                signal(&running.child, "-CONT");
                continue;
            }
            let whole = copy.holds(&copy.log);
            let safe = running.heard(whole.len());
            signal(&running.child, "-CONT");
            assert!(names(&whole).starts_with(&safe), "all that was acknowledged");
            assert!(whole.len() <= safe.len() + 1, "and the one that was being written");
            let (commits, least) = (commits(&copy.log), written_back(&copy.index));
            turns += u64::from(least > 0);
            for _ in 0..CUTS {
                let room = u64::try_from(copy.log.len().saturating_sub(least)).unwrap();
                let cut = least + usize::try_from(numbers.below(room + 1)).unwrap();
                let mut log = copy.log[..cut].to_vec();
                // Every other time the end is garbled as well: a frame with a wrong bit ends the log.
                let mut end = cut;
                let tail = cut.saturating_sub(least).min(2 * FRAME);
                if numbers.below(2) == 0 && tail > 0 {
                    let at = cut - 1 - usize::try_from(numbers.below(u64::try_from(tail).unwrap())).unwrap();
                    log[at] ^= 1 << numbers.below(8);
                    // A wrong bit in the log's own header voids all of it; one in the part of a frame that cannot be told
                    // apart from an older turn's counts no less.
                    end = if at < LOG_HEADER { 0 } else { LOG_HEADER + (at - LOG_HEADER) / FRAME * FRAME };
                }
                let lost = commits.iter().filter(|commit| **commit > end).count();
                let holds = copy.holds(&log);
                assert_eq!(
                    holds[..],
                    whole[..whole.len().saturating_sub(lost)],
                    "cut at {cut} of {}",
                    copy.log.len()
                );
                cuts += 1;
            }
            most = most.max(whole.len());
        }
    }
    println!("{cuts} cuts; at {turns} stops the log was partly written back; up to {most} events, none lost");
    assert!(most > 0, "no writer came so far as to acknowledge anything: the test has seen nothing");
}
