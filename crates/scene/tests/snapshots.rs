//! Pictures compared with committed ones, byte for byte. `UPDATE_SNAPSHOTS=1` writes them anew; look at
//! them before committing.

#![allow(clippy::unwrap_used, clippy::panic)]

#[path = "../examples/gallery/scenes.rs"]
mod scenes;

use std::path::PathBuf;
use std::{env, fs};

use longrail_scene::{Lie, Style, Theme, shot_svg};

const PICTURES: [(&str, Theme, Lie, f64); 24] = [
    ("empty", Theme::Paper, Lie::Portrait, 320.0),
    ("one-rail", Theme::Dark, Lie::Landscape, 800.0),
    ("one-rail", Theme::Light, Lie::Portrait, 390.0),
    ("one-rail", Theme::Paper, Lie::Landscape, 560.0),
    ("nine-break", Theme::Dark, Lie::Portrait, 320.0),
    ("nine-break", Theme::Light, Lie::Landscape, 1600.0),
    ("eight-rack", Theme::Paper, Lie::Landscape, 320.0),
    ("eight-rack", Theme::Dark, Lie::Portrait, 390.0),
    ("frozen", Theme::Light, Lie::Landscape, 390.0),
    ("follow", Theme::Paper, Lie::Landscape, 800.0),
    ("jump", Theme::Dark, Lie::Landscape, 900.0),
    ("odd-ids", Theme::Dark, Lie::Landscape, 320.0),
    ("set-up-one", Theme::Dark, Lie::Portrait, 190.0),
    ("set-up-one", Theme::Light, Lie::Portrait, 190.0),
    ("set-up-one", Theme::Dark, Lie::Landscape, 700.0),
    ("set-up-one", Theme::Light, Lie::Landscape, 700.0),
    ("set-up-two", Theme::Dark, Lie::Portrait, 190.0),
    ("set-up-two", Theme::Light, Lie::Portrait, 190.0),
    ("set-up-two", Theme::Dark, Lie::Landscape, 700.0),
    ("set-up-two", Theme::Light, Lie::Landscape, 700.0),
    ("set-up-four", Theme::Dark, Lie::Portrait, 190.0),
    ("set-up-four", Theme::Light, Lie::Portrait, 190.0),
    ("set-up-four", Theme::Dark, Lie::Landscape, 700.0),
    ("set-up-four", Theme::Light, Lie::Landscape, 700.0),
];

#[test]
fn pictures_are_the_committed_ones_to_the_byte() {
    let directory = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests").join("snapshots");
    let update = env::var_os("UPDATE_SNAPSHOTS").is_some_and(|value| value == "1");
    let scenes = scenes::all();
    let mut different = Vec::new();
    for (name, theme, lie, width_px) in PICTURES {
        let scene = scenes.iter().find(|scene| scene.name == name).unwrap();
        let drawn = shot_svg(&scene.picture(), &Style { theme, lie, width_px });
        let file = format!("{name}-{}-{}-{width_px}.svg", theme.name(), lie.name());
        let path = directory.join(&file);
        if update {
            fs::create_dir_all(&directory).unwrap();
            fs::write(&path, &drawn).unwrap();
            continue;
        }
        match fs::read_to_string(&path) {
            Err(error) => different.push(format!("{file} cannot be read: {error}")),
            Ok(kept) if kept == drawn => {}
            Ok(kept) => different.push(first_difference(&file, &kept, &drawn)),
        }
    }
    assert!(
        different.is_empty(),
        "{} of {} pictures differ. If that is meant, run with UPDATE_SNAPSHOTS=1 and look at them.\n{}",
        different.len(),
        PICTURES.len(),
        different.join("\n")
    );
}

fn first_difference(file: &str, kept: &str, drawn: &str) -> String {
    let (mut old, mut new) = (kept.lines(), drawn.lines());
    let mut line = 1;
    loop {
        match (old.next(), new.next()) {
            (Some(a), Some(b)) if a == b => line += 1,
            (a, b) => {
                let (a, b) = (a.unwrap_or("(end)"), b.unwrap_or("(end)"));
                return format!("{file}, line {line}:\n  kept  {a}\n  drawn {b}");
            }
        }
    }
}
