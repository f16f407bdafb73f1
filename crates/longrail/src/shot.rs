//! `longrail shot`: a shot in, its outcome out.

use std::path::PathBuf;

use clap::ValueEnum;
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
    /// Write a true-scale picture of the shot as SVG.
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Write a true-scale picture of the shot as PNG.
    #[arg(long, value_name = "FILE")]
    png: Option<PathBuf>,
    /// Colours of the picture.
    #[arg(long, value_enum, default_value = "dark")]
    theme: Theme,
    /// Stand the table on end, foot rail up.
    #[arg(long)]
    portrait: bool,
    /// Width of the picture in pixels.
    #[arg(long, default_value_t = 900, value_parser = clap::value_parser!(u32).range(160..=8000))]
    width: u32,
}

/// Colours of the picture.
#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum Theme {
    /// For a dim room.
    Dark,
    /// For daylight.
    Light,
    /// Black on white, for paper.
    Paper,
}

pub(crate) fn run(arguments: &Arguments) -> Result<(), Failure> {
    let problem = read(&files::read(arguments.file.as_deref(), "a shot")?)?;
    let played = problem.play()?;

    // Everything is worked out before anything is written, so that a failure leaves nothing half done.
    let style =
        picture::Style { theme: arguments.theme, portrait: arguments.portrait, width: arguments.width };
    let svg = if arguments.svg.is_some() || arguments.png.is_some() {
        picture::svg(&problem, &played, style)
    } else {
        String::new()
    };
    let png = match &arguments.png {
        Some(_) => picture::png(&svg)?,
        None => Vec::new(),
    };
    let text = if arguments.json || arguments.paths || arguments.states {
        let mut text = write(&problem, &played, Output { paths: arguments.paths, states: arguments.states });
        text.push('\n');
        text
    } else {
        summary::text(&problem, &played)
    };
    if let Some(file) = &arguments.svg {
        files::save(file, svg.as_bytes())?;
    }
    if let Some(file) = &arguments.png {
        files::save(file, &png)?;
    }
    crate::print(&text)
}
