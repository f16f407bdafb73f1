//! Building, preparing, testing: `cargo xtask VERB`.
//!
//! Knows how the parts of the repository are built, checked and measured. Does not know pool: it
//! depends on no other package of the workspace, so that it runs when they do not compile.
//! One verb, one file.

// A build tool talks to the person who started it.
#![allow(clippy::print_stdout, clippy::print_stderr)]

mod bench;
mod browser;
mod pack;
mod run;
mod scipy;
mod shell;
mod soak;
mod store;
mod test;
mod tidy;
mod wasm;
mod web;

use clap::{Parser, Subcommand};
use std::process::ExitCode;

/// Builds, runs, tests and measures Longrail.
#[derive(Parser)]
#[command(name = "cargo xtask", bin_name = "cargo xtask", disable_help_subcommand = true)]
struct Cli {
    #[command(subcommand)]
    verb: Verb,
}

#[derive(Subcommand)]
enum Verb {
    /// Build everything and open the tool
    Run(run::Args),
    /// Run every check, stage by stage
    Test(test::Args),
    /// Build the shot engine for the browser and for node
    Wasm(wasm::Args),
    /// Build the app for browsers, ready to be served
    Web(web::Args),
    /// Check the invariants that the compiler cannot
    Tidy(tidy::Args),
    /// Measure, and rewrite the tables of docs/performance.md
    Bench(bench::Args),
    /// Long checks, for a night rather than a coffee
    Soak(soak::Args),
}

fn main() -> ExitCode {
    let result = match Cli::parse().verb {
        Verb::Run(args) => run::main(&args),
        Verb::Test(args) => test::main(&args),
        Verb::Wasm(args) => wasm::main(&args),
        Verb::Web(args) => web::main(&args),
        Verb::Tidy(args) => tidy::main(&args),
        Verb::Bench(args) => bench::main(&args),
        Verb::Soak(args) => soak::main(&args),
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            // The sentence, without the stack that RUST_BACKTRACE would add: it is about the
            // repository, not about this program.
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}
