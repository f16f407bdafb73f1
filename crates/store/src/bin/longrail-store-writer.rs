//! Appends events to a store and acknowledges each on standard output, until it is ended: what the tests of
//! durability kill.
//!
//! `longrail-store-writer ADDRESS DEVICE COUNT`: DEVICE tells several apart, COUNT ends it by itself. With a COUNT of 0 it
//! acknowledges what is there, and writes nothing. A fourth word, `patient`, has it try again where the disk is full.

// It talks to the test that started it.
#![allow(clippy::print_stderr)]

use longrail_practice::clock::Clock;
use longrail_practice::event::{Attempt, Event, Head, Outcome, Payload, Wall};
use longrail_practice::id::{DeviceId, EventId, PlayerId};
use longrail_store::{EventStore, SqlStore, StoreError};
use std::io::Write;
use std::process::ExitCode;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let address = arguments.next().unwrap_or_default();
    let mut number = || arguments.next().and_then(|text| text.parse().ok()).unwrap_or(1);
    let (device, count): (u64, u64) = (number(), number());
    let patient = arguments.next().is_some_and(|word| word == "patient");
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let done = match runtime {
        Ok(runtime) => runtime.block_on(write(&address, DeviceId::from_bits(device.into()), count, patient)),
        Err(error) => {
            eprintln!("error: {error}");
            return ExitCode::FAILURE;
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}");
            ExitCode::FAILURE
        }
    }
}

async fn write(address: &str, device: DeviceId, count: u64, patient: bool) -> Result<(), StoreError> {
    let store = SqlStore::open(address).await?;
    let resume = store.resume(device).await?;
    let mut clock = Clock::after(resume.clock);
    let player = PlayerId::from_bits(1);
    let mut out = std::io::stdout().lock();
    if count == 0 {
        for (_, event) in store.read(player, 0, u32::MAX).await?.events {
            // Whoever does not listen to the end has seen enough.
            let _ = writeln!(out, "{}", event.head.id);
        }
    }
    for sequence in resume.sequence + 1..=resume.sequence + count {
        let wall = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_millis());
        let ms = u64::try_from(wall).unwrap_or(0);
        let (stamp, _) = clock.tick(ms);
        // Device and sequence are bits enough to tell these apart.
        let id = EventId::new(ms, device.bits() << 32 | u128::from(sequence));
        let wall = Wall { ms, offset_min: 0 };
        let head = Head { id, player, device, author: player, clock: stamp, sequence, wall };
        let attempt = Attempt { set: EventId::from_bits(1), outcome: Outcome::Made, cue_end: None };
        let event = [Event::new(head, Payload::Attempt(attempt))];
        while let Err(error) = store.append(&event).await {
            if !(patient && matches!(error, StoreError::Full(_))) {
                return Err(error);
            }
            eprintln!("error: {error}");
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
        // Nobody listens any more: the test is over.
        if writeln!(out, "{id}").and_then(|()| out.flush()).is_err() {
            break;
        }
    }
    store.close().await;
    Ok(())
}
