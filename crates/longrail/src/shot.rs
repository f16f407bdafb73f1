//! `longrail shot`: a shot in, its outcome out.

use std::fs;
use std::io::{IsTerminal, Read, Write};
use std::path::{Path, PathBuf};

use clap::ValueEnum;
use longrail_physics::json::{Output, read, write};

use crate::exit::Failure;
use crate::{picture, summary};

/// The longest input that is read, in bytes; the contract's longest shot is a few kilobytes.
const LONGEST: u64 = 1 << 20;

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
    let problem = read(&input(arguments.file.as_deref())?)?;
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
        save(file, svg.as_bytes())?;
    }
    if let Some(file) = &arguments.png {
        save(file, &png)?;
    }
    crate::print(&text)
}

fn input(file: Option<&Path>) -> Result<String, Failure> {
    let (name, bytes) = match file {
        Some(path) if path != Path::new("-") => {
            let name = path.display().to_string();
            let file = fs::File::open(path).map_err(|error| Failure::File(format!("{name}: {error}")))?;
            (name, take(file))
        }
        _ => {
            let stdin = std::io::stdin();
            if stdin.is_terminal() {
                // Said on standard error so that a redirected output stays clean; nothing depends on it.
                let _ = writeln!(std::io::stderr(), "Waiting for a shot as JSON; end with Ctrl-D.");
            }
            ("standard input".to_owned(), take(stdin.lock()))
        }
    };
    let bytes = bytes.map_err(|error| Failure::File(format!("{name}: {error}")))?;
    if bytes.len() as u64 > LONGEST {
        return Err(Failure::File(format!("{name}: longer than a megabyte, so it cannot be a shot")));
    }
    String::from_utf8(bytes).map_err(|_| {
        longrail_physics::json::Refusal::Form(format!("{name} is not text in UTF-8, so it is not JSON"))
            .into()
    })
}

fn take(from: impl Read) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(LONGEST + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Writes beside the target and renames, so that a full disk does not destroy an older picture.
fn save(file: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let mut beside = file.as_os_str().to_owned();
    beside.push(".part");
    let beside = PathBuf::from(beside);
    fs::write(&beside, bytes).and_then(|()| fs::rename(&beside, file)).map_err(|error| {
        // Nothing to do if the rest cannot be removed either.
        let _ = fs::remove_file(&beside);
        Failure::File(format!("{}: {error}", file.display()))
    })
}
