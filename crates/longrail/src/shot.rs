//! `longrail shot`: a shot in, its outcome out.

use std::path::PathBuf;

use longrail_physics::json::{Output, read, write};

use crate::exit::Failure;
use crate::{files, picture, summary};

/// Arguments of `longrail shot`.
#[derive(clap::Args)]
#[allow(clippy::struct_excessive_bools)] // each is a switch of its own
pub(crate) struct Arguments {
    /// File with the shot as JSON; standard input if absent or "-".
    file: Option<PathBuf>,
    /// Write the outcome as JSON instead of a summary.
    #[arg(long)]
    json: bool,
    /// Add sampled paths to the JSON.
    #[arg(long)]
    paths: bool,
    /// Add the states of the balls before and after each event to the JSON.
    #[arg(long)]
    states: bool,
    #[command(flatten)]
    picture: picture::Wanted,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let problem = read(&files::read(arguments.file.as_deref(), "a shot")?)?;
    let played = problem.play()?;

    // Everything is worked out before anything is written, so that a failure leaves nothing half done.
    let drawn = arguments.picture.draw(&problem, &played, Vec::new(), "")?;
    let text = if arguments.json || arguments.paths || arguments.states {
        let mut text = write(&problem, &played, Output { paths: arguments.paths, states: arguments.states });
        text.push('\n');
        text
    } else {
        summary::text(&problem, &played)
    };
    drawn.save()?;
    crate::print(&text)
}
