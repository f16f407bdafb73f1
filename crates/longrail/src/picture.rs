//! Pictures as SVG and as PNG.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::ValueEnum;
use longrail_physics::json::{Played, Problem};
use longrail_scene::{Lie, Mark, Style, describe, played_picture, shot_svg};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};

use crate::exit::Failure;
use crate::files;

/// The figures on balls' tags; shipped, so that a picture looks the same on a machine without fonts.
const FONT: &[u8] = include_bytes!("../assets/atkinson-hyperlegible-next-800.ttf");

/// Options of every command that draws.
#[derive(clap::Args)]
pub(crate) struct Sheet {
    /// Write a picture as SVG.
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Write a picture as PNG.
    #[arg(long, value_name = "FILE")]
    png: Option<PathBuf>,
    /// Colours of the picture.
    #[arg(long, value_enum, default_value = "dark")]
    theme: Theme,
    /// Width of the picture in pixels.
    #[arg(long, default_value_t = 900, value_parser = clap::value_parser!(u32).range(160..=8000))]
    width: u32,
}

/// Options of every command that draws a table, true to scale.
#[derive(clap::Args)]
pub(crate) struct Wanted {
    #[command(flatten)]
    sheet: Sheet,
    /// Stand the table on end, foot rail up.
    #[arg(long)]
    portrait: bool,
}

/// Colours of the picture.
#[derive(Clone, Copy, ValueEnum)]
enum Theme {
    /// For a dim room.
    Dark,
    /// For daylight.
    Light,
    /// Black on white, for paper.
    Paper,
}

/// Pictures that are drawn and not yet written.
#[derive(Default)]
pub(crate) struct Drawn<'a> {
    files: Vec<(&'a Path, Vec<u8>)>,
}

impl Sheet {
    /// Whether any picture is asked for.
    pub(crate) fn any(&self) -> bool {
        self.svg.is_some() || self.png.is_some()
    }

    /// Refuses, before anything is computed, a folder that is not there.
    pub(crate) fn check(&self) -> Result<(), Failure> {
        [&self.svg, &self.png].into_iter().flatten().try_for_each(|file| match file.parent() {
            Some(folder) if folder != Path::new("") && !folder.is_dir() => {
                Err(Failure::File(format!("{}: there is no such folder", folder.display())))
            }
            _ => Ok(()),
        })
    }

    /// Draws what is asked for by `make`; nothing is written yet.
    pub(crate) fn draw(&self, make: impl FnOnce(&Style) -> String) -> Result<Drawn<'_>, Failure> {
        self.drawn(Lie::Landscape, make)
    }

    fn drawn(&self, lie: Lie, make: impl FnOnce(&Style) -> String) -> Result<Drawn<'_>, Failure> {
        let mut files = Vec::new();
        if self.any() {
            let theme = match self.theme {
                Theme::Dark => longrail_scene::Theme::Dark,
                Theme::Light => longrail_scene::Theme::Light,
                Theme::Paper => longrail_scene::Theme::Paper,
            };
            let text = make(&Style { theme, lie, width_px: f64::from(self.width) });
            if let Some(file) = &self.png {
                files.push((file.as_path(), png(&text)?));
            }
            if let Some(file) = &self.svg {
                files.push((file.as_path(), text.into_bytes()));
            }
        }
        Ok(Drawn { files })
    }
}

impl Wanted {
    /// Whether any picture is asked for.
    pub(crate) fn any(&self) -> bool {
        self.sheet.any()
    }

    /// Refuses, before anything is computed, a folder that is not there.
    pub(crate) fn check(&self) -> Result<(), Failure> {
        self.sheet.check()
    }

    /// Draws a table by `make`; nothing is written yet.
    pub(crate) fn draw_table(&self, make: impl FnOnce(&Style) -> String) -> Result<Drawn<'_>, Failure> {
        self.sheet.drawn(if self.portrait { Lie::Portrait } else { Lie::Landscape }, make)
    }

    /// Draws a shot with `goal`, what it is for, and `words` before the balls' places; nothing is written yet.
    pub(crate) fn draw(
        &self,
        problem: &Problem,
        played: &Played,
        goal: Vec<Mark>,
        words: &str,
    ) -> Result<Drawn<'_>, Failure> {
        self.draw_table(|style| svg(problem, played, goal, words, style))
    }
}

impl Drawn<'_> {
    /// Writes the files.
    pub(crate) fn save(&self) -> Result<(), Failure> {
        self.files.iter().try_for_each(|(file, bytes)| files::save(file, bytes))
    }
}

/// The picture of a shot as SVG text.
fn svg(problem: &Problem, played: &Played, goal: Vec<Mark>, words: &str, style: &Style) -> String {
    let mut picture = played_picture(problem.world.table(), &problem.layout, &played.engine, &played.log);
    picture.marks.splice(0..0, goal);
    if !words.is_empty() {
        picture.description = format!("{words} {}", describe(&picture));
    }
    shot_svg(&picture, style)
}

/// The picture as PNG.
fn png(svg: &str) -> Result<Vec<u8>, Failure> {
    let mut fonts = fontdb::Database::new();
    fonts.load_font_data(FONT.to_vec());
    let options = Options { fontdb: Arc::new(fonts), ..Options::default() };
    let failed = |error: &dyn std::fmt::Display| Failure::Picture(error.to_string());
    let tree = Tree::from_str(svg, &options).map_err(|error| failed(&error))?;
    let size = tree.size().to_int_size();
    let mut pixels = Pixmap::new(size.width(), size.height())
        .ok_or_else(|| failed(&"the picture has no size; give a larger width"))?;
    resvg::render(&tree, Transform::identity(), &mut pixels.as_mut());
    pixels.encode_png().map_err(|error| failed(&error))
}
