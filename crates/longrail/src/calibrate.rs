//! `longrail calibrate`: how often the tool is right on simulated players, beside what it says and what was published.
//!
//! **Knows** threads, the clock, Ctrl-C, files.
//! **Does not know** what is simulated: that is the crate `calibration`.

mod page;
mod report;
mod work;

use std::path::{Path, PathBuf};
use std::time::Duration;

use clap::builder::RangedU64ValueParser;
use longrail_calibration::{Figure, Plan, SHORT};

use crate::exit::Failure;
use crate::files;

/// Arguments of `longrail calibrate`.
#[derive(clap::Args)]
pub(crate) struct Arguments {
    /// A twenty-fifth of the runs: less than a minute
    #[arg(long, conflicts_with = "runs")]
    short: bool,
    /// Scale of the number of runs, from 0.001 to 100
    #[arg(long, value_name = "SCALE", value_parser = scale, default_value = "1")]
    runs: f64,
    /// Only scenarios whose names begin so, for instance `stroke`; may be given several times
    #[arg(long, value_name = "NAME")]
    only: Vec<String>,
    /// Seed of all random numbers
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Threads; by default as many as the machine offers. The figures do not depend on it
    #[arg(long, value_parser = RangedU64ValueParser::<u16>::new().range(1..=1024))]
    threads: Option<u16>,
    /// Answer in JSON
    #[arg(long)]
    json: bool,
    /// Also write the figures to this file, .md or .json. In a Markdown file that has the marks
    /// `<!-- calibration begins -->` and `<!-- calibration ends -->` only what is between them is replaced
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// What was done.
struct Outcome {
    seed: u64,
    scale: f64,
    runs_planned: u64,
    runs_done: u64,
    took: Duration,
    threads: u16,
    figures: Vec<Figure>,
}

impl Outcome {
    const fn partial(&self) -> bool {
        self.runs_done < self.runs_planned
    }
}

fn scale(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(scale) if (0.001..=100.0).contains(&scale) => Ok(scale),
        _ => Err("give a number from 0.001 to 100".to_owned()),
    }
}

/// The two forms of a file.
#[derive(Clone, Copy)]
enum Form {
    Markdown,
    Json,
}

fn form(path: &Path) -> Result<Form, Failure> {
    match path.extension().and_then(|extension| extension.to_str()) {
        Some("md") => Ok(Form::Markdown),
        Some("json") => Ok(Form::Json),
        _ => Err(Failure::File(format!("{}: give a file that ends in .md or .json", path.display()))),
    }
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    // Before ten minutes are spent.
    let form = arguments.out.as_deref().map(form).transpose()?;
    if let (Some(path), Some(Form::Markdown)) = (&arguments.out, form) {
        if path.exists() && !arguments.only.is_empty() {
            return Err(Failure::File(format!(
                "{}: some scenarios alone would replace the whole table; name a new file",
                path.display()
            )));
        }
        page::check(path)?;
    }
    let scale = if arguments.short { SHORT } else { arguments.runs };
    let threads = arguments.threads.unwrap_or_else(|| {
        std::thread::available_parallelism().map_or(1, |n| u16::try_from(n.get()).unwrap_or(1))
    });
    // The plan itself takes a second: surfaces are computed for it.
    let stop = work::watch()?;
    let plan = if arguments.only.is_empty() {
        Plan::new(arguments.seed, scale)
    } else {
        Plan::only(arguments.seed, scale, &arguments.only)
    };
    let plan = plan.map_err(|e| Failure::Calibration(e.to_string()))?;
    if plan.units() == 0 {
        return Err(Failure::Input(format!(
            "no scenario's name begins with {}",
            arguments.only.join(" or ")
        )));
    }
    let (results, took) = work::all(&plan, threads, &stop)?;
    let outcome = Outcome {
        seed: plan.seed(),
        scale,
        runs_planned: plan.runs(),
        runs_done: results.runs(),
        took,
        threads,
        figures: plan.figures(&results),
    };
    if let (Some(path), Some(form)) = (&arguments.out, form) {
        match form {
            Form::Markdown => page::write(path, &report::markdown(&outcome))?,
            Form::Json => files::save(path, report::json(&outcome).as_bytes())?,
        }
    }
    crate::print(&if arguments.json { report::json(&outcome) } else { report::text(&outcome) })
}
