//! The command line of Longrail.
//!
//! **Knows** arguments, files, standard streams and exit codes.
//! **Does not know** any model: every number comes from the crates below.

mod calibrate;
mod completions;
mod exit;
mod picture;
mod shot;
mod summary;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use exit::Failure;

/// Turns table time into improvement that can be shown.
#[derive(Parser)]
#[command(name = "longrail", version, about, after_help = exit::CODES)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Computes one shot, from the cue's strike to rest.
    Shot(shot::Arguments),
    /// Simulates players whose truth is known, and tells how often the statistics are right about them.
    Calibrate(calibrate::Arguments),
    /// Prints a completion script for a shell.
    Completions(completions::Arguments),
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let outcome = match arguments.command {
        Command::Shot(arguments) => shot::run(&arguments),
        Command::Calibrate(arguments) => calibrate::run(&arguments),
        Command::Completions(arguments) => completions::run(&arguments),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => failure.report(),
    }
}

/// Writes `text` to standard output; a reader that has gone away (`| head`) is no failure.
fn print(text: &str) -> Result<(), Failure> {
    use std::io::{ErrorKind, Write, stdout};
    let mut out = stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::File(format!("standard output: {error}")))
        }
        _ => Ok(()),
    }
}
