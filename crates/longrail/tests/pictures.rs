//! Maps and charts as they are rendered: nothing is cut off, no text runs into another, all can be read.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::sync::Arc;

use longrail_math::{Vec2, fx};
use longrail_physics::table::{PocketId, Table};
use longrail_scene::{
    LadderChart, Lie, OddsField, OddsMap, PictureBall, Place, RungOdds, Style, Theme, ladder_svg, map_svg,
};
use resvg::usvg::{Group, Node, Options, Rect, TextChunk, Tree, fontdb};

/// The least size of text that is read from a phone, in pixels, where a picture is shown at its own width.
const SMALLEST: f32 = 11.0;

fn styles() -> impl Iterator<Item = Style> {
    let widths = [320.0, 390.0, 900.0];
    Theme::ALL.into_iter().flat_map(move |theme| {
        Lie::ALL
            .into_iter()
            .flat_map(move |lie| widths.into_iter().map(move |width_px| Style { theme, lie, width_px }))
    })
}

/// A hill of odds round a ball, with places of every sort.
fn map(table: &Table, balls: usize) -> OddsMap<'_> {
    let radius_m = 0.028_575;
    let spots = [(6.5, 2.5), (4.0, 3.0), (7.75, 0.2), (1.0, 2.0), (6.0, 1.0)];
    let balls: Vec<PictureBall> = (1..)
        .zip(spots)
        .take(balls)
        .map(|(number, (along, across))| {
            let (x, y) = table.spec().from_diamonds(along, across);
            PictureBall::resting(&number.to_string(), radius_m, Vec2::new(x, y))
        })
        .collect();
    let mut field = OddsField { along: 33, across: 17, places: Vec::new(), reach_m: radius_m };
    for across in 0..17 {
        for along in 0..33 {
            let at = field.position(table.spec(), along, across);
            let near = balls.iter().any(|ball| (ball.start - at).norm() < 2.0 * radius_m);
            let top = Vec2::new(1.8, 0.6);
            field.places.push(match (near, (at - top).norm()) {
                (true, _) => Place::NoRoom,
                (_, far) if far > 1.4 || at.x > 2.2 => Place::NoHit,
                (_, far) => Place::Chance(0.97 * fx::exp(-1.6 * far * far)),
            });
        }
    }
    OddsMap {
        balls,
        pockets: vec![PocketId::FootLeft],
        reading: "From 145 of 540 positions this stroke is a favourite.".to_owned(),
        captions: vec![
            "The cue ball may lie anywhere; on the rim frozen to the rail. Goal: pot the 1 in the left foot corner."
                .to_owned(),
            "Stroke \"solid\", an assumption: aim 0.35° (bias +0.00°), speed 8 %, tip 2.0 mm, lapse 2 %.".to_owned(),
        ],
        ..OddsMap::of(table, field)
    }
}

fn ladder(rungs: u32) -> LadderChart {
    let last = f64::from(rungs - 1);
    let made = |rung: u32| 0.97 - 0.8 * f64::from(rung) / last;
    let rung = |rung: u32| RungOdds { made: made(rung), low: made(rung) - 0.03, high: made(rung) + 0.02 };
    LadderChart {
        counted: Vec::new(),
        // The last but one has no hit.
        rungs: (0..rungs).map(|index| (index + 2 != rungs).then(|| rung(index))).collect(),
        target: 0.5,
        crossing: Some(0.47 / 0.8 * last),
        band: "80 % by the computing's own error".to_owned(),
        title: String::new(),
        description: String::new(),
        reading: format!("This stroke passes 50.0 % at rung 5.1 of {rungs}."),
        captions: vec!["From rung to rung, in diamonds: the cue ball ¼ towards the head rail.".to_owned()],
    }
}

/// The texts of a rendered picture: their box, their size, their words.
fn texts(svg: &str) -> (Tree, Vec<(Rect, f32, String)>) {
    let mut fonts = fontdb::Database::new();
    fonts.load_font_data(include_bytes!("../assets/atkinson-hyperlegible-next-800.ttf").to_vec());
    let tree = Tree::from_str(svg, &Options { fontdb: Arc::new(fonts), ..Options::default() }).unwrap();
    let mut found = Vec::new();
    collect(tree.root(), &mut found);
    (tree, found)
}

fn collect(group: &Group, found: &mut Vec<(Rect, f32, String)>) {
    for node in group.children() {
        match node {
            Node::Group(group) => collect(group, found),
            Node::Text(text) => {
                let sizes = text.chunks().iter().flat_map(TextChunk::spans);
                let size = sizes.map(|span| span.font_size().get()).fold(f32::INFINITY, f32::min);
                let words = text.chunks().iter().map(TextChunk::text).collect();
                found.push((text.abs_bounding_box(), size, words));
            }
            _ => {}
        }
    }
}

fn readable(name: &str, svg: &str) {
    let (tree, texts) = texts(svg);
    assert!(texts.len() > 5, "{name}");
    // A page with a strict policy would not apply it.
    assert!(!svg.contains(" style=") && !svg.contains("<style"), "{name}");
    let (width, height) = (tree.size().width(), tree.size().height());
    for (index, (at, size, words)) in texts.iter().enumerate() {
        assert!(*size >= SMALLEST, "{name}: {words:?} is {size} px");
        let inside = at.left() >= 0.0 && at.top() >= 0.0 && at.right() <= width && at.bottom() <= height;
        assert!(inside, "{name}: {words:?} is cut off: {at:?} in {width} by {height}");
        for (other, _, with) in &texts[..index] {
            let apart = at.left() >= other.right()
                || other.left() >= at.right()
                // Boxes are as high as the font's tallest letters, so they may touch.
                || at.top() + 1.5 >= other.bottom()
                || other.top() + 1.5 >= at.bottom();
            assert!(apart, "{name}: {words:?} runs into {with:?}");
        }
    }
    // To be looked at, not for the test.
    if std::env::var_os("KEEP_PICTURES").is_some() {
        let size = tree.size().to_int_size();
        let mut pixels = resvg::tiny_skia::Pixmap::new(size.width(), size.height()).unwrap();
        resvg::render(&tree, resvg::tiny_skia::Transform::identity(), &mut pixels.as_mut());
        let folder = std::path::PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
        std::fs::write(folder.join(format!("{name}.png")), pixels.encode_png().unwrap()).unwrap();
    }
}

#[test]
fn a_map_can_be_read_in_every_theme_lie_and_width() {
    let table = Table::default();
    for style in styles() {
        for balls in [1, 5] {
            let name = format!("map-{balls}-{}-{}-{}", style.theme.name(), style.lie.name(), style.width_px);
            readable(&name, &map_svg(&map(&table, balls), &style));
        }
    }
}

#[test]
fn a_chart_of_a_ladder_can_be_read_in_every_theme_and_width() {
    for style in styles().filter(|style| style.lie == Lie::Landscape) {
        for rungs in [3, 9, 60] {
            for target in [0.05, 0.5, 0.9] {
                let name = format!("ladder-{rungs}-{target}-{}-{}", style.theme.name(), style.width_px);
                let crossing = (0.97 - target) / 0.8 * f64::from(rungs - 1);
                let crossing = (crossing <= f64::from(rungs - 1)).then_some(crossing);
                readable(&name, &ladder_svg(&LadderChart { target, crossing, ..ladder(rungs) }, &style));
            }
        }
    }
}
