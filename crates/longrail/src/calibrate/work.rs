//! Units of work on threads, with a bar, until all are done or Ctrl-C is pressed.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};
use longrail_calibration::{Plan, Results};

use crate::exit::Failure;

/// Whether Ctrl-C was pressed, from now on.
pub(super) fn watch() -> Result<Arc<AtomicBool>, Failure> {
    let stop = Arc::new(AtomicBool::new(false));
    let pressed = Arc::clone(&stop);
    ctrlc::set_handler(move || pressed.store(true, Ordering::Relaxed))
        .map_err(|e| Failure::Interrupt(e.to_string()))?;
    Ok(stop)
}

/// Works off the plan until `stop`. What was done before is kept; the units under way are finished first.
pub(super) fn all(plan: &Plan, threads: u16, stop: &AtomicBool) -> Result<(Results, Duration), Failure> {
    let bar = bar(plan);
    let began = Instant::now();
    let next = AtomicUsize::new(0);
    let (sender, receiver) = mpsc::channel();
    let mut results = Results::default();
    let mut failure = None;
    std::thread::scope(|scope| {
        for _ in 0..threads {
            let (sender, next) = (sender.clone(), &next);
            scope.spawn(move || {
                while !stop.load(Ordering::Relaxed) {
                    let unit = next.fetch_add(1, Ordering::Relaxed);
                    // Nothing left, or nobody listens any more.
                    let Some(done) = plan.run(unit).transpose() else { break };
                    if sender.send((unit, done)).is_err() {
                        break;
                    }
                }
            });
        }
        // Only the threads hold senders now: the loop ends when they do.
        drop(sender);
        for (unit, done) in receiver {
            match done {
                Ok(done) => results.add(&done),
                Err(error) => {
                    stop.store(true, Ordering::Relaxed);
                    failure = Some(Failure::Calibration(error.to_string()));
                }
            }
            bar.inc(plan.cost_us(unit));
            if stop.load(Ordering::Relaxed) {
                bar.set_message("stopping …");
            }
        }
    });
    bar.finish_and_clear();
    failure.map_or_else(|| Ok((results, began.elapsed())), Err)
}

/// On standard error, and only if that is a terminal.
fn bar(plan: &Plan) -> ProgressBar {
    let bar = ProgressBar::new((0..plan.units()).map(|unit| plan.cost_us(unit)).sum());
    let form =
        "calibrating {bar:30} {percent:>3} %, {elapsed} gone, {eta} to go (Ctrl-C keeps what is done) {msg}";
    if let Ok(style) = ProgressStyle::with_template(form) {
        bar.set_style(style);
    }
    bar
}
