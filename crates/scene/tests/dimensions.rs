//! Layouts to be set up: dimension lines and their figures, read back from the picture's text.

#![allow(clippy::unwrap_used, clippy::panic)]

mod reading;
#[path = "../examples/gallery/scenes.rs"]
mod scenes;

use longrail_math::Vec2;
use longrail_physics::table::{Rail, Table};
use longrail_scene::{Frame, Lie, Mark, PictureBall, ShotPicture, Style, Theme, shot_svg};
use reading::{HUNDREDTH, balls, parts, read, tags};
use roxmltree::{Document, Node};

const R: f64 = 0.028_575;

/// Both lies at the width of half a phone and of a large screen.
fn styles() -> impl Iterator<Item = Style> {
    let widths = [190.0, 390.0, 700.0, 1600.0];
    Lie::ALL
        .into_iter()
        .flat_map(move |lie| widths.map(|width_px| Style { theme: Theme::Dark, lie, width_px }))
}

/// Layouts to be set up, in the widths in which they are shown.
fn for_layouts(check: impl Fn(&ShotPicture<'_>, &Style, &Document<'_>, &str)) {
    for scene in scenes::all().iter().filter(|scene| scene.name.starts_with("set-up")) {
        for (lie, width_px) in [(Lie::Portrait, 190.0), (Lie::Portrait, 390.0), (Lie::Landscape, 700.0)] {
            let (picture, style) = (scene.picture(), Style { theme: Theme::Dark, lie, width_px });
            let text = shot_svg(&picture, &style);
            check(&picture, &style, &Document::parse(&text).unwrap(), &format!("{} {style:?}", scene.name));
        }
    }
}

/// Middle, half width and half height of every figure of a dimension, by the narrow side.
fn figures(document: &Document<'_>) -> Vec<(Vec2, Vec2)> {
    parts(document, "dimension")
        .map(|words| {
            let (size, count) = (read(words, "font-size"), words.text().unwrap().chars().count());
            let middle = Vec2::new(read(words, "x"), read(words, "y") - 0.355 * size);
            // Figures are some 0.6 of their size wide and 0.7 of it high.
            (middle, Vec2::new(0.3 * f64::from(u8::try_from(count).unwrap()), 0.35) * size)
        })
        .collect()
}

#[test]
fn a_dimension_line_runs_square_to_its_rail_from_its_nose_to_the_ball_s_rim() {
    let table = Table::default();
    let at = Vec2::new(1.9, 0.3);
    let mark = |rail| Mark::Dimension { at, rail, label: "1".to_owned() };
    let picture = ShotPicture {
        balls: vec![PictureBall::resting("1", R, at)],
        marks: Rail::ALL.map(mark).to_vec(),
        ..ShotPicture::of(&table)
    };
    for style in styles() {
        let frame = Frame::new(&table, &style);
        let text = shot_svg(&picture, &style);
        let document = Document::parse(&text).unwrap();
        let group = parts(&document, "dimensions").next().unwrap();
        let lines: Vec<Node<'_, '_>> = group.children().filter(Node::is_element).collect();
        // Each line is followed by the tick on the nose.
        assert_eq!(lines.len(), 8);
        for (rail, pair) in Rail::ALL.into_iter().zip(lines.chunks(2)) {
            let end = |line: Node<'_, '_>, x, y| frame.to_metres(Vec2::new(read(line, x), read(line, y)));
            let (rim, nose) = (end(pair[0], "x1", "y1"), end(pair[0], "x2", "y2"));
            let off = 1.5 * HUNDREDTH / frame.scale();
            assert!((rim - at - rail.outward() * R).norm() < off, "{} {style:?}", rail.name());
            let depth = (nose - Vec2::new(1.27, 0.635)).dot(rail.outward());
            let half = if rail.outward().x == 0.0 { 0.635 } else { 1.27 };
            assert!((depth - half).abs() < off, "{} {style:?}", rail.name());
            assert!((nose - at).cross(rail.outward()).abs() < off, "{} {style:?}", rail.name());
            let tick = end(pair[1], "x1", "y1") + end(pair[1], "x2", "y2");
            assert!((tick * 0.5 - nose).norm() < off, "{} {style:?}", rail.name());
        }
    }
}

#[test]
fn a_ball_on_the_rail_has_no_dimension_to_it() {
    let table = Table::default();
    let at = Vec2::new(R, 0.3);
    let picture = ShotPicture {
        balls: vec![PictureBall::resting("1", R, at)],
        marks: vec![Mark::Dimension { at, rail: Rail::Head, label: "0".to_owned() }],
        ..ShotPicture::of(&table)
    };
    assert!(!shot_svg(&picture, &Style::default()).contains("\"dimension"));
}

#[test]
fn a_dimension_line_passes_beside_a_ball_that_is_in_its_way() {
    let table = Table::default();
    let both = [("1", 1.6), ("2", 2.0)].map(|(id, x)| PictureBall::resting(id, R, Vec2::new(x, 0.6)));
    let marks =
        both.iter().map(|ball| Mark::Dimension { at: ball.start, rail: Rail::Foot, label: "1".to_owned() });
    let picture = ShotPicture { marks: marks.collect(), balls: both.to_vec(), ..ShotPicture::of(&table) };
    let text = shot_svg(&picture, &Style::default());
    let document = Document::parse(&text).unwrap();
    let group = parts(&document, "dimensions").next().unwrap();
    let lines: Vec<Node<'_, '_>> = group.children().filter(Node::is_element).collect();
    // Line, line from the ball to it, tick; line, tick.
    assert_eq!(lines.len(), 5);
    let other = balls(&document)[1];
    assert!((read(lines[0], "y1") - other.0.y).abs() > other.1);
    assert!((read(lines[3], "y1") - other.0.y).abs() < HUNDREDTH);
}

#[test]
fn figures_of_dimensions_are_large_and_cover_no_ball_tag_edge_or_other_figure() {
    for_layouts(|picture, _, document, name| {
        let marks = picture.marks.iter().filter(|mark| matches!(mark, Mark::Dimension { .. }));
        let (figures, discs) = (figures(document), [balls(document), tags(document)].concat());
        assert_eq!(figures.len(), marks.count(), "{name}");
        let surface = parts(document, "surface").next().unwrap();
        let corner = Vec2::new(read(surface, "x"), read(surface, "y"));
        let far = corner + Vec2::new(read(surface, "width"), read(surface, "height"));
        for words in parts(document, "dimension") {
            assert!(read(words, "font-size") >= 13.0, "{name}");
            assert_eq!(words.attribute("paint-order"), Some("stroke"), "{name}");
        }
        for (index, (at, half)) in figures.iter().enumerate() {
            for (disc, radius) in &discs {
                let off = *at - *disc;
                let apart = Vec2::new((off.x.abs() - half.x).max(0.0), (off.y.abs() - half.y).max(0.0));
                assert!(apart.norm() > *radius, "{name}: figure {index} covers a ball or a tag");
            }
            for (other, size) in &figures[..index] {
                let (off, reach) = (*at - *other, *half + *size);
                let apart = off.x.abs() > reach.x || off.y.abs() > reach.y;
                assert!(apart, "{name}: figure {index} covers a figure");
            }
            let inside = at.x - half.x >= corner.x
                && at.y - half.y >= corner.y
                && at.x + half.x <= far.x
                && at.y + half.y <= far.y;
            assert!(inside, "{name}: figure {index} covers the edge");
        }
    });
}

#[test]
fn the_cue_ball_has_a_tag_where_balls_are_to_be_set_up() {
    for_layouts(|picture, _, document, name| {
        assert_eq!(tags(document).len(), picture.balls.len(), "{name}");
    });
}
