//! What a picture says about the world, read back from its text.

#![allow(clippy::unwrap_used, clippy::panic)]

mod reading;
#[path = "../examples/gallery/scenes.rs"]
mod scenes;

use longrail_math::Vec2;
use longrail_physics::table::{Rail, SIZES, Table, TableSpec};
use longrail_scene::{
    Frame, Lie, Mark, PathLeg, PictureBall, PicturePath, Region, ShotPicture, Style, Theme, shot_svg,
};
use reading::{HUNDREDTH, balls, centre, parts, read, tags};
use roxmltree::{Document, Node};

const WIDTHS: [f64; 4] = [320.0, 390.0, 800.0, 1600.0];
const R: f64 = 0.028_575;

/// Both lies in all widths on dark, and one width in each of the other themes, which change no geometry.
fn styles() -> impl Iterator<Item = Style> {
    let dark = WIDTHS.map(|width_px| (Theme::Dark, width_px));
    let others = [(Theme::Light, 390.0), (Theme::Paper, 560.0)];
    dark.into_iter()
        .chain(others)
        .flat_map(|(theme, width_px)| Lie::ALL.into_iter().map(move |lie| Style { theme, lie, width_px }))
}

/// Every scene in these styles.
fn for_all(check: impl Fn(&ShotPicture<'_>, &Style, &Document<'_>, &str)) {
    for scene in scenes::all() {
        for_styles(scene.name, &scene.picture(), &check);
    }
}

/// Empty tables of all sizes in these styles.
fn for_tables(check: impl Fn(&ShotPicture<'_>, &Style, &Document<'_>, &str)) {
    for size in SIZES {
        let table = Table::new(TableSpec::of_size(size)).unwrap();
        for_styles(size.name, &plain(&table), &check);
    }
}

fn for_styles(
    name: &str,
    picture: &ShotPicture<'_>,
    check: &impl Fn(&ShotPicture<'_>, &Style, &Document<'_>, &str),
) {
    for style in styles() {
        let text = shot_svg(picture, &style);
        let name = format!("{name} {style:?}");
        let document = Document::parse(&text).unwrap_or_else(|error| panic!("{name}: {error}"));
        check(picture, &style, &document, &name);
    }
}

fn points(node: Node<'_, '_>) -> Vec<Vec2> {
    let pair = |text: &str| {
        let (x, y) = text.split_once(',').unwrap();
        Vec2::new(x.parse().unwrap(), y.parse().unwrap())
    };
    node.attribute("points").unwrap().split(' ').map(pair).collect()
}

fn plain(table: &Table) -> ShotPicture<'_> {
    ShotPicture::of(table)
}

#[test]
fn the_playing_surface_is_twice_as_long_as_wide_to_a_hundredth_of_a_pixel() {
    for_tables(|_, style, document, name| {
        let surface = parts(document, "surface").next().unwrap();
        let (width, height) = (read(surface, "width"), read(surface, "height"));
        let (long, short) = if style.lie == Lie::Landscape { (width, height) } else { (height, width) };
        assert!((long - 2.0 * short).abs() <= 1.5 * HUNDREDTH, "{name}: {long} by {short}");
    });
}

#[test]
fn the_whole_table_is_in_the_picture() {
    for_tables(|_, _, document, name| {
        let root = document.root_element();
        let rails = parts(document, "rails").next().unwrap();
        assert!(read(rails, "x") >= 0.5 && read(rails, "y") >= 0.5, "{name}");
        assert!(read(rails, "x") + read(rails, "width") <= read(root, "width") - 0.5, "{name}");
        assert!(read(rails, "y") + read(rails, "height") <= read(root, "height") - 0.5, "{name}");
        for pocket in parts(document, "pocket") {
            let (at, radius) = (centre(pocket), read(pocket, "r"));
            assert!(at.x - radius > read(rails, "x") && at.y - radius > read(rails, "y"), "{name}");
        }
    });
}

#[test]
fn eighteen_sights_lie_93_66_mm_behind_the_nose_their_long_axis_towards_the_bed() {
    for_tables(|picture, style, document, name| {
        let frame = Frame::new(picture.table, style);
        let spec = picture.table.spec();
        let mut count = 0;
        for sight in parts(document, "sight") {
            count += 1;
            let corners = points(sight);
            let at = frame.to_metres((corners[0] + corners[2]) * 0.5);
            let behind = [-at.x, at.x - spec.length_m, -at.y, at.y - spec.width_m];
            let distance = behind.into_iter().fold(f64::MIN, f64::max);
            assert!((distance - 0.093_66).abs() * frame.scale() <= HUNDREDTH, "{name}: {distance}");
            let on_short_rail = behind[0].max(behind[1]) > behind[2].max(behind[3]);
            let long = frame.to_metres(corners[0]) - frame.to_metres(corners[2]);
            let short = frame.to_metres(corners[1]) - frame.to_metres(corners[3]);
            assert!(long.norm() > short.norm(), "{name}");
            assert_eq!(long.x.abs() > long.y.abs(), on_short_rail, "{name}: across its rail");
            for pocket in picture.table.pockets() {
                assert!((at - pocket.drop_centre).norm() > pocket.drop_radius + 0.05, "{name}: at a pocket");
            }
        }
        assert_eq!(count, 18, "{name}");
    });
}

#[test]
fn three_sights_stand_between_neighbouring_pockets_of_a_long_rail_and_three_on_a_short_one() {
    let table = Table::default();
    let all = longrail_scene::sights(&table);
    for (rail, count) in [(Rail::Left, 6), (Rail::Right, 6), (Rail::Head, 3), (Rail::Foot, 3)] {
        assert_eq!(all.iter().filter(|(on, _)| *on == rail).count(), count, "{}", rail.name());
    }
}

#[test]
fn holes_are_the_table_s_own_drop_edges() {
    for_tables(|picture, style, document, name| {
        let frame = Frame::new(picture.table, style);
        for pocket in picture.table.pockets() {
            let hole = parts(document, "pocket")
                .find(|hole| hole.attribute("data-pocket") == Some(pocket.id.name()))
                .unwrap();
            assert!((centre(hole) - frame.to_picture(pocket.drop_centre)).norm() <= HUNDREDTH, "{name}");
            assert!((read(hole, "r") - pocket.drop_radius * frame.scale()).abs() <= HUNDREDTH, "{name}");
        }
    });
}

#[test]
fn a_ball_s_disc_has_its_true_size_and_place() {
    for_all(|picture, style, document, name| {
        let frame = Frame::new(picture.table, style);
        let drawn = balls(document);
        assert_eq!(drawn.len(), picture.balls.len(), "{name}");
        for ((at, radius), ball) in drawn.into_iter().zip(&picture.balls) {
            assert!((radius - ball.radius_m * frame.scale()).abs() <= HUNDREDTH, "{name}: {}", ball.id);
            assert!((at - frame.to_picture(ball.start)).norm() <= HUNDREDTH, "{name}: {}", ball.id);
        }
    });
}

#[test]
fn no_tag_covers_a_ball_another_tag_or_the_edge_of_the_table() {
    for_all(|_, _, document, name| {
        let surface = parts(document, "surface").next().unwrap();
        let corner = Vec2::new(read(surface, "x"), read(surface, "y"));
        let far = corner + Vec2::new(read(surface, "width"), read(surface, "height"));
        let (tags, balls) = (tags(document), balls(document));
        for (index, (at, radius)) in tags.iter().enumerate() {
            for (ball, size) in &balls {
                assert!((*at - *ball).norm() > radius + size, "{name}: tag {index} covers a ball");
            }
            for (other, size) in &tags[..index] {
                assert!((*at - *other).norm() > radius + size, "{name}: tag {index} covers a tag");
            }
            let inside = at.x - radius >= corner.x
                && at.y - radius >= corner.y
                && at.x + radius <= far.x
                && at.y + radius <= far.y;
            assert!(inside, "{name}: tag {index} covers the edge");
        }
    });
}

#[test]
fn every_ball_but_the_cue_ball_carries_its_number_on_itself_or_on_a_tag() {
    for_all(|picture, _, document, name| {
        let numbered = picture.balls.iter().filter(|ball| ball.id != "cue");
        let words: Vec<&str> = document
            .descendants()
            .filter(|node| node.has_tag_name("text") && node.attribute("data-part").is_none())
            .filter_map(|node| node.text())
            .collect();
        for ball in numbered {
            let label: String = ball.id.chars().take(2).collect();
            assert!(words.contains(&label.as_str()), "{name}: {label}");
        }
    });
}

#[test]
fn a_tag_covers_no_path_where_there_is_room() {
    for scene in scenes::all().iter().filter(|scene| matches!(scene.name, "one-rail" | "jump" | "follow")) {
        for_styles(scene.name, &scene.picture(), &|picture, style, document, name| {
            let frame = Frame::new(picture.table, style);
            for (at, radius) in tags(document) {
                for leg in picture.paths.iter().flat_map(|path| &path.legs) {
                    for pair in leg.points.windows(2) {
                        let (a, b) = (frame.to_picture(pair[0]), frame.to_picture(pair[1]));
                        let along = (b - a) / (b - a).norm_squared();
                        let nearest = a + (b - a) * (at - a).dot(along).clamp(0.0, 1.0);
                        assert!((at - nearest).norm() > radius, "{name}");
                    }
                }
            }
        });
    }
}

#[test]
fn a_ball_comes_to_rest_in_an_open_circle_of_its_true_size_and_its_path_ends_at_the_rim() {
    let table = Table::default();
    let (start, rest) = (Vec2::new(0.5, 0.6), Vec2::new(1.5, 0.6));
    let ball = PictureBall { id: "cue".to_owned(), radius_m: R, start, rest: Some(rest) };
    let path = PicturePath { ball: 0, legs: vec![PathLeg { points: vec![start, rest], flying: false }] };
    let picture = ShotPicture { balls: vec![ball], paths: vec![path], ..plain(&table) };
    for style in styles() {
        let frame = Frame::new(&table, &style);
        let text = shot_svg(&picture, &style);
        let document = Document::parse(&text).unwrap();
        let circle = parts(&document, "rest").next().unwrap();
        assert_eq!(circle.attribute("fill"), Some("none"));
        assert!((read(circle, "r") - R * frame.scale()).abs() <= HUNDREDTH);
        assert!((centre(circle) - frame.to_picture(rest)).norm() <= HUNDREDTH);
        let line = parts(&document, "path").next().unwrap().first_element_child().unwrap();
        let (_, last) = line.attribute("d").unwrap().rsplit_once('L').unwrap();
        let (x, y) = last.split_once(' ').unwrap();
        let end = Vec2::new(x.parse().unwrap(), y.parse().unwrap());
        assert!(((end - centre(circle)).norm() - R * frame.scale()).abs() <= 2.0 * HUNDREDTH);
    }
}

#[test]
fn the_cue_ball_s_path_is_solid_and_the_first_object_ball_s_is_dashed() {
    for_all(|_, _, document, name| {
        for path in parts(document, "path") {
            let dashed =
                path.children().filter(Node::is_element).any(|n| n.has_attribute("stroke-dasharray"));
            let solid =
                path.children().filter(Node::is_element).any(|n| !n.has_attribute("stroke-dasharray"));
            if path.attribute("data-ball") == Some("cue") {
                assert!(solid, "{name}");
            } else {
                assert!(dashed && !solid, "{name}");
            }
        }
    });
}

#[test]
fn widths_do_not_change_proportions() {
    for lie in Lie::ALL {
        let table = Table::default();
        let shape = |width_px: f64| {
            let text = shot_svg(&plain(&table), &Style { lie, width_px, ..Style::default() });
            let document = Document::parse(&text).unwrap();
            let scale = Frame::new(&table, &Style { lie, width_px, ..Style::default() }).scale();
            let origin =
                parts(&document, "surface").map(|s| Vec2::new(read(s, "x"), read(s, "y"))).next().unwrap();
            let mut all = Vec::new();
            for pocket in parts(&document, "pocket") {
                all.push((centre(pocket) - origin) / scale);
            }
            for part in ["nose", "rubber"] {
                for outline in parts(&document, part) {
                    all.extend(points(outline).into_iter().map(|point| (point - origin) / scale));
                }
            }
            all
        };
        let reference = shape(1600.0);
        for width_px in [320.0, 390.0, 800.0] {
            for (a, b) in shape(width_px).into_iter().zip(&reference) {
                // A hundredth of a pixel at 320 px is a tenth of a millimetre.
                assert!((a - *b).norm() < 0.000_25, "{width_px}: {a:?} and {b:?}");
            }
        }
    }
}

#[test]
fn no_figure_is_smaller_than_11_px() {
    for_all(|_, _, document, name| {
        for words in document.descendants().filter(|node| node.has_tag_name("text")) {
            assert!(read(words, "font-size") >= 11.0, "{name}");
        }
    });
}

#[test]
fn a_picture_stands_alone_and_has_a_name_and_a_sentence() {
    for_all(|_, style, document, name| {
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"), "{name}");
        let view: Vec<f64> =
            root.attribute("viewBox").unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
        assert!((view[2] - style.width_px).abs() <= HUNDREDTH && view[3] > 0.0, "{name}");
        for part in ["title", "desc"] {
            let node = root.children().find(|node| node.has_tag_name(part)).unwrap();
            assert!(node.text().is_some_and(|text| text.len() > 10), "{name}: {part}");
        }
        let text = document.input_text();
        assert!(!text.contains("var(") && !text.contains("href") && !text.contains("<style"), "{name}");
        assert_eq!(text.matches("http").count(), 1, "{name}: only the namespace");
    });
}

#[test]
fn numbers_have_at_most_two_decimals_and_are_numbers() {
    for_all(|_, _, document, name| {
        for node in document.descendants().filter(Node::is_element) {
            for attribute in node.attributes().filter(|a| !a.name().starts_with("data-")) {
                for word in attribute.value().split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')) {
                    let decimals = word.split_once('.').map_or(0, |(_, part)| part.len());
                    assert!(decimals <= 2 && word != "-0", "{name}: {attribute:?}");
                }
                assert!(!attribute.value().contains("NaN") && !attribute.value().contains("inf"), "{name}");
            }
        }
    });
}

#[test]
fn paper_is_black_white_and_one_grey_without_a_lamp() {
    for_all(|_, style, document, name| {
        let lamps = document.descendants().filter(|node| node.has_tag_name("radialGradient")).count();
        assert_eq!(lamps, usize::from(style.theme != Theme::Paper), "{name}");
        if style.theme != Theme::Paper {
            return;
        }
        for node in document.descendants() {
            for colour in ["fill", "stroke"].iter().filter_map(|a| node.attribute(*a)) {
                let plain = ["none", "#000000", "#ffffff", "#e0e0e0"];
                assert!(plain.contains(&colour), "{name}: {colour}");
            }
        }
    });
}

#[test]
fn ids_with_special_characters_come_back_as_they_were() {
    let table = Table::default();
    let id = "<\"&'>\n🎱";
    let picture = ShotPicture {
        balls: vec![PictureBall::resting(id, R, Vec2::new(1.0, 0.5))],
        title: id.to_owned(),
        description: id.to_owned(),
        ..plain(&table)
    };
    let text = shot_svg(&picture, &Style::default());
    let document = Document::parse(&text).unwrap();
    assert!(document.descendants().any(|node| node.attribute("data-ball") == Some(id)));
    assert!(document.descendants().any(|node| node.has_tag_name("title") && node.text() == Some(id)));
}

#[test]
fn what_is_not_a_number_or_names_no_ball_is_left_out() {
    let table = Table::default();
    let lost = Vec2::new(f64::NAN, f64::INFINITY);
    let known = Vec2::new(1.0, 0.5);
    let leg = |points: &[Vec2]| vec![PathLeg { points: points.to_vec(), flying: false }];
    let picture = ShotPicture {
        balls: vec![
            PictureBall { id: "cue".to_owned(), radius_m: f64::NAN, start: known, rest: Some(lost) },
            PictureBall::resting("1", R, lost),
        ],
        paths: vec![
            PicturePath { ball: 0, legs: leg(&[known, lost]) },
            PicturePath { ball: 1, legs: leg(&[lost]) },
            PicturePath { ball: 7, legs: leg(&[known, known]) },
            PicturePath { ball: 0, legs: Vec::new() },
        ],
        marks: vec![
            Mark::Ghost { at: lost, radius_m: R },
            Mark::Ghost { at: known, radius_m: f64::NAN },
            Mark::Zone { region: Region::Circle { at: known, radius_m: 0.0 }, passing: false },
            Mark::Zone { region: Region::Circle { at: lost, radius_m: 1.0 }, passing: true },
            Mark::Zone { region: Region::Polygon { corners: vec![known, lost] }, passing: true },
            Mark::Rail { at: lost },
            Mark::Pocketed { ball: 1, at: lost },
            Mark::Pocketed { ball: 9, at: known },
            Mark::LeftTable { ball: 9, at: known },
            Mark::Landing { at: lost },
            Mark::Dimension { at: lost, rail: Rail::Foot, label: "1".to_owned() },
            Mark::Dimension { at: Vec2::new(3.0, 0.5), rail: Rail::Foot, label: "1".to_owned() },
        ],
        ..plain(&table)
    };
    for style in styles() {
        let text = shot_svg(&picture, &style);
        Document::parse(&text).unwrap();
        assert!(!text.contains("NaN"), "{text}");
    }
}

#[test]
fn no_picture_has_a_style_which_a_strict_page_would_refuse() {
    for_all(|_, _, document, name| {
        let text = document.input_text();
        assert!(!text.contains(" style=") && !text.contains("<style"), "{name}");
    });
}

#[test]
fn the_same_shot_is_the_same_text() {
    for scene in scenes::all() {
        let style = Style::default();
        assert_eq!(shot_svg(&scene.picture(), &style), shot_svg(&scene.picture(), &style), "{}", scene.name);
    }
}
