//! Writes every scene in every theme, lie and width as SVG files: `gallery DIR`.

#![allow(clippy::print_stderr)]

mod scenes;

use std::path::PathBuf;
use std::process::ExitCode;
use std::{env, fs, io};

use longrail_scene::{Lie, Style, Theme, shot_svg};

/// The first is half of a phone.
const WIDTHS: [f64; 6] = [190.0, 320.0, 390.0, 700.0, 900.0, 1600.0];

fn main() -> ExitCode {
    let Some(directory) = env::args_os().nth(1) else {
        eprintln!("usage: gallery DIR");
        return ExitCode::FAILURE;
    };
    match write_all(&PathBuf::from(directory)) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("gallery: {error}");
            ExitCode::FAILURE
        }
    }
}

fn write_all(directory: &std::path::Path) -> io::Result<()> {
    fs::create_dir_all(directory)?;
    for scene in scenes::all() {
        for theme in Theme::ALL {
            for lie in Lie::ALL {
                for width_px in WIDTHS {
                    let name = format!("{}-{}-{}-{width_px}.svg", scene.name, theme.name(), lie.name());
                    let style = Style { theme, lie, width_px };
                    fs::write(directory.join(name), shot_svg(&scene.picture(), &style))?;
                }
            }
        }
    }
    Ok(())
}
