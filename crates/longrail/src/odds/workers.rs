//! Many positions on threads, with a bar, until all are done or Ctrl-C is pressed.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use indicatif::{ProgressBar, ProgressStyle};
use longrail_stroke::grid::Executor;

use crate::exit::Failure;

/// Threads that share the jobs of a level. Which one takes which job does not show in the answer.
pub(super) struct Workers {
    threads: u16,
    bar: ProgressBar,
    stop: Arc<AtomicBool>,
}

impl Workers {
    /// So many threads, or as many as the machine offers, for `jobs` jobs in all. Ctrl-C is watched from here on:
    /// after the first no further job is begun, the second ends at once.
    pub(super) fn new(threads: Option<u16>, jobs: usize) -> Result<Self, Failure> {
        let threads = threads.unwrap_or_else(|| {
            std::thread::available_parallelism().map_or(1, |n| u16::try_from(n.get()).unwrap_or(1))
        });
        let bar = bar(jobs);
        let stop = Arc::new(AtomicBool::new(false));
        let (pressed, shown) = (Arc::clone(&stop), bar.clone());
        ctrlc::set_handler(move || {
            if pressed.swap(true, Ordering::Relaxed) {
                shown.finish_and_clear();
                // As a shell reports a program that an interrupt ended.
                std::process::exit(130);
            }
            shown.set_message("stopping …");
        })
        .map_err(|error| Failure::Interrupt(error.to_string()))?;
        Ok(Self { threads: threads.max(1), bar, stop })
    }

    /// Whether Ctrl-C was pressed.
    fn stopped(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    /// Takes the bar away.
    pub(super) fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

impl Executor for Workers {
    fn run<T: Send>(&self, count: usize, job: &(dyn Fn(usize) -> T + Sync)) -> Vec<Option<T>> {
        let next = AtomicUsize::new(0);
        let work = || {
            let mut done = Vec::new();
            loop {
                let index = next.fetch_add(1, Ordering::Relaxed);
                if index >= count || self.stopped() {
                    return done;
                }
                done.push((index, job(index)));
                self.bar.inc(1);
            }
        };
        let done: Vec<(usize, T)> = std::thread::scope(|scope| {
            let helpers: Vec<_> = (1..self.threads).map(|_| scope.spawn(work)).collect();
            let mut all = work();
            for helper in helpers {
                match helper.join() {
                    Ok(done) => all.extend(done),
                    Err(fault) => std::panic::resume_unwind(fault),
                }
            }
            all
        });
        let mut all: Vec<Option<T>> = (0..count).map(|_| None).collect();
        for (index, result) in done {
            all[index] = Some(result);
        }
        all
    }
}

/// On standard error, and only if that is a terminal.
fn bar(jobs: usize) -> ProgressBar {
    let bar = ProgressBar::new(jobs as u64);
    let form = "{percent:>3} % of the map {bar:16} {elapsed} gone, {msg}";
    if let Ok(style) = ProgressStyle::with_template(form) {
        bar.set_style(style);
    }
    bar.set_message("Ctrl-C keeps what is done");
    bar
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_come_in_order_from_any_number_of_threads() {
        for threads in [1, 2, 5] {
            let workers = Workers { threads, bar: ProgressBar::hidden(), stop: Arc::default() };
            let squares = workers.run(100, &|k| k * k);
            assert_eq!(squares, (0..100).map(|k| Some(k * k)).collect::<Vec<_>>(), "{threads}");
            assert_eq!(workers.bar.position(), 100);
            assert!(workers.run(0, &|k| k).is_empty());
        }
    }

    #[test]
    fn no_job_is_begun_once_ctrl_c_is_pressed() {
        for threads in [1, 3] {
            let stop = Arc::new(AtomicBool::new(false));
            let workers = Workers { threads, bar: ProgressBar::hidden(), stop: Arc::clone(&stop) };
            let done = workers.run(1000, &|k| {
                if k == 20 {
                    stop.store(true, Ordering::Relaxed);
                }
                k
            });
            assert_eq!((done.len(), done[20]), (1000, Some(20)));
            // The others may have begun one each before they saw it, or have run ahead.
            let late = done[21..].iter().flatten().count();
            assert!(threads > 1 || late == 0, "{late}");
            assert!(workers.run(5, &|k| k).iter().all(Option::is_none));
        }
    }
}
