//! The command line of Longrail.
//!
//! **Knows** arguments, files, standard streams and exit codes.
//! **Does not know** any model: every number comes from the crates below.

mod app;
mod browser;
mod calibrate;
mod completions;
mod drills;
mod evidence;
mod exit;
mod files;
mod library;
mod odds;
mod page;
mod picture;
mod record;
mod scoring;
mod serve;
mod shot;
mod summary;

use std::process::ExitCode;

use clap::error::ErrorKind;
use clap::{Parser, Subcommand};

use evidence::{compare, counts, proof, race, rate, typed};
use exit::Failure;

/// Turns table time into improvement that can be shown.
#[derive(Parser)]
#[command(name = "longrail", version, after_help = exit::CODES)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    #[command(flatten)]
    Record(record::Command),
    /// Serves the app to browsers, on this machine unless told otherwise.
    Serve(record::On<serve::Arguments>),
    /// The app as files, for a host of your own.
    App(app::Arguments),
    /// Computes one shot, from the cue's strike to rest.
    Shot(shot::Arguments),
    /// Says what a count such as 34/50 tells of the rate behind it.
    Rate(rate::Arguments),
    /// Says whether a later count is better than an earlier one.
    Compare(compare::Arguments),
    /// Says where a promotion sheet stands, and what follows from it.
    Proof(proof::Arguments),
    /// Prints the table of counts at which a sheet decides.
    Counts(counts::Arguments),
    /// Says what a race against an opponent who never misses asks of you.
    Race(race::Arguments),
    /// Says how often a stroke makes a goal, and how it fails.
    Odds(odds::chance::Arguments),
    /// Finds the hits with the best odds, and how far each may stray.
    Hits(odds::hits::Arguments),
    /// Works out the odds along a ladder of layouts, and where they are even.
    Ladder(odds::ladder::Arguments),
    /// Works out what constraints cost: a narrower pocket, a smaller zone, a streak, a blocker, …
    Price(odds::price::Arguments),
    /// Maps from where on the table a stroke is a favourite.
    Map(odds::map::Arguments),
    /// Places a newcomer on ladders: names the next five attempts, and tells where to start.
    Placement(odds::placement::Arguments),
    /// Infers a stroke from attempts, and says what it makes of every rung.
    Infer(odds::infer::Arguments),
    /// Simulates players whose truth is known, and tells how often the statistics are right about them.
    Calibrate(calibrate::Arguments),
    /// Lists the drills, or shows one: how it is set up, rung by rung, and the odds there.
    Drills(drills::Arguments),
    /// Prints a completion script for a shell.
    Completions(completions::Arguments),
}

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            return match typed::negative(std::env::args().skip(1)) {
                Some(failure) if error.kind() == ErrorKind::UnknownArgument => failure.report(),
                _ => error.exit(),
            };
        }
    };
    let outcome = match arguments.command {
        Command::Serve(on) => serve::run(&on.what, &on.source),
        Command::App(arguments) => app::run(&arguments),
        Command::Shot(arguments) => shot::run(&arguments),
        Command::Rate(arguments) => rate::run(&arguments),
        Command::Compare(arguments) => compare::run(&arguments),
        Command::Proof(arguments) => proof::run(&arguments),
        Command::Counts(arguments) => counts::run(&arguments),
        Command::Race(arguments) => race::run(&arguments),
        Command::Odds(arguments) => odds::chance::run(&arguments),
        Command::Hits(arguments) => odds::hits::run(&arguments),
        Command::Ladder(arguments) => odds::ladder::run(&arguments),
        Command::Price(arguments) => odds::price::run(&arguments),
        Command::Map(arguments) => odds::map::run(&arguments),
        Command::Placement(arguments) => odds::placement::run(&arguments),
        Command::Infer(arguments) => odds::infer::run(&arguments),
        Command::Calibrate(arguments) => calibrate::run(&arguments),
        Command::Drills(arguments) => drills::run(&arguments),
        Command::Record(command) => record::run(&command),
        Command::Completions(arguments) => completions::run(&arguments),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => failure.report(),
    }
}

/// Writes `text` to standard output; a reader that has gone away (`| head`) is no failure.
fn print(text: &str) -> Result<(), Failure> {
    use std::io::{self, Write, stdout};
    let mut out = stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            Err(Failure::File(format!("standard output: {error}")))
        }
        _ => Ok(()),
    }
}
