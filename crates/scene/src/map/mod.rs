//! The picture of a map: from where the odds are how good, for one ball that may lie anywhere.
//!
//! Each position is a cell in one of five colours of one hue ([`ramp`]); the one line is where the odds pass the
//! target ([`contour`]); what both mean stands under the table ([`legend`]).

mod contour;
mod field;
mod legend;
mod ramp;

use std::fmt::Write as _;

use longrail_math::Vec2;
use longrail_physics::table::{PocketId, Table};

use crate::balls::{Look, circle, disc, label};
use crate::colour::Rgb;
use crate::frame::{Frame, Style};
use crate::geometry::Segment;
use crate::marks::Mark;
use crate::placement::{Obstacles, Wanted};
use crate::shot::PictureBall;
use crate::svg::{Attributes, Svg, number};
use crate::tags::{self, Name};
use crate::text::{self, Anchor};
use crate::theme::Theme;
use crate::{goal, root, table};

pub use field::{OddsField, Place};
pub(crate) use legend::waves;

/// What a picture of a map shows. Lengths are metres in the frame of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct OddsMap<'a> {
    /// The table.
    pub table: &'a Table,
    /// The balls that stay; the one that moves is not among them.
    pub balls: Vec<PictureBall>,
    /// The chances.
    pub field: OddsField,
    /// The chance whose line is drawn, between 0 and 1.
    pub target: f64,
    /// The pockets that are meant.
    pub pockets: Vec<PocketId>,
    /// The picture's name, for whoever hears it.
    pub title: String,
    /// A sentence that says the picture's numbers; one is made where this is empty.
    pub description: String,
    /// The sentence under the table.
    pub reading: String,
    /// What stands under the legend, a paragraph each: what the odds rest on.
    pub captions: Vec<String>,
}

impl<'a> OddsMap<'a> {
    /// A map without balls, target one half.
    pub fn of(table: &'a Table, field: OddsField) -> Self {
        Self {
            table,
            balls: Vec::new(),
            field,
            target: 0.5,
            pockets: Vec::new(),
            title: String::new(),
            description: String::new(),
            reading: String::new(),
            captions: Vec::new(),
        }
    }

    fn sentence(&self) -> String {
        if !self.description.is_empty() {
            return self.description.clone();
        }
        let (all, above) = self.field.count(self.target);
        format!("From {above} of {all} positions the chance is {} or more.", percent(self.target))
    }
}

/// "50 %".
pub(crate) fn percent(share: f64) -> String {
    format!("{} %", number((1000.0 * share).round() / 10.0))
}

/// What sets the line off from the cells on both sides of it.
pub(crate) fn casing(theme: Theme) -> Rgb {
    match theme {
        Theme::Dark => theme.palette().ring,
        Theme::Light | Theme::Paper => theme.palette().wall,
    }
}

/// The picture as SVG text: the table at the width asked for, its legend below.
pub fn map_svg(map: &OddsMap<'_>, style: &Style) -> String {
    let frame = Frame::new(map.table, style);
    let theme = style.theme;
    let (width, table_height) = frame.size();
    let legend = legend::Legend::of(map, style, width);
    let mut svg = Svg::new();
    let size = (width, table_height + legend.height());
    let title = if map.title.is_empty() { "Odds over the table" } else { &map.title };
    root::open(&mut svg, size, style, true, title, &map.sentence());
    root::ground(&mut svg, size, theme.palette().room);
    let pockets: Vec<Mark> = map.pockets.iter().map(|pocket| Mark::PocketMeant { pocket: *pocket }).collect();
    table::draw(&mut svg, map.table, &frame, theme, |svg| {
        goal::draw_pockets(svg, &pockets, map.table, &frame, theme);
        cells(svg, map, &frame, theme);
    });
    let lines: Vec<Vec<Vec2>> = contour::contour(&map.field, map.table.spec(), map.target)
        .iter()
        .map(|line| line.iter().map(|point| frame.to_picture(*point)).collect())
        .collect();
    for line in &lines {
        draw_line(&mut svg, line, &frame, theme);
    }
    let obstacles = draw_label(&mut svg, map, &lines, &frame, theme);
    draw_balls(&mut svg, map, obstacles, &frame, theme);
    legend.draw(&mut svg, table_height);
    svg.finish()
}

/// The cells, all of one colour in one path.
fn cells(svg: &mut Svg, map: &OddsMap<'_>, frame: &Frame, theme: Theme) {
    let (field, spec) = (&map.field, map.table.spec());
    let mut paths = vec![String::new(); ramp::BANDS];
    for across in 0..field.across {
        for along in 0..field.along {
            let area = cell_area(field.cell(spec, along, across), frame);
            match field.place(along, across) {
                Place::Chance(chance) if chance.is_finite() => {
                    let band = ramp::band(chance);
                    let (corner, size) = ramp::shape(band, area, theme, 0.05 * area.1.x.min(area.1.y));
                    let [x, y, w, h] = [corner.x, corner.y, size.x, size.y].map(number);
                    let _ = write!(paths[band], "M{x} {y}h{w}v{h}h-{w}z");
                }
                Place::NoHit => {}
                Place::Chance(_) | Place::NoRoom | Place::Unknown => {
                    ramp::hatch(svg, area, legend::HATCH_PX, theme);
                }
            }
        }
    }
    for (band, path) in paths.iter().enumerate().filter(|(_, path)| !path.is_empty()) {
        let cells = Attributes::new()
            .text("data-part", "cells")
            .text("data-band", &band.to_string())
            .text("d", path)
            .text("fill", &ramp::colour(band, theme).to_string());
        svg.leaf("path", &cells);
    }
}

/// A part of the bed in the picture: its top left corner and its size.
fn cell_area((a, b): (Vec2, Vec2), frame: &Frame) -> (Vec2, Vec2) {
    let (p, q) = (frame.to_picture(a), frame.to_picture(b));
    (Vec2::new(p.x.min(q.x), p.y.min(q.y)), Vec2::new((p.x - q.x).abs(), (p.y - q.y).abs()))
}

fn draw_line(svg: &mut Svg, line: &[Vec2], frame: &Frame, theme: Theme) {
    let closed = line.first() == line.last();
    let points: Vec<String> =
        line.iter().map(|point| format!("{} {}", number(point.x), number(point.y))).collect();
    let path = format!("M{}{}", points.join("L"), if closed { "Z" } else { "" });
    line_pair(svg, &path, frame.weight(), theme);
}

/// A line on its casing, for the table and for its sample in the legend.
fn line_pair(svg: &mut Svg, path: &str, weight: f64, theme: Theme) {
    for (part, colour, width) in
        [("line-casing", casing(theme), 4.6 * weight), ("target-line", theme.palette().mark, 2.2 * weight)]
    {
        let stroke = Attributes::new()
            .text("data-part", part)
            .text("d", path)
            .text("fill", "none")
            .text("stroke", &colour.to_string())
            .number("stroke-width", width)
            .text("stroke-linejoin", "round");
        svg.leaf("path", &stroke);
    }
}

/// Writes the target on its longest line, where no ball is covered. Returns what tags must keep clear of.
fn draw_label(
    svg: &mut Svg,
    map: &OddsMap<'_>,
    lines: &[Vec<Vec2>],
    frame: &Frame,
    theme: Theme,
) -> Obstacles {
    let segments = |line: &Vec<Vec2>| -> Vec<Segment> {
        line.windows(2).map(|ends| Segment::new(ends[0], ends[1])).collect()
    };
    let bed = frame.surface(0.0);
    let mut obstacles = Obstacles {
        discs: map
            .balls
            .iter()
            .filter(|ball| ball.start.is_finite())
            .map(|ball| (frame.to_picture(ball.start), ball.radius_m * frame.scale()))
            .collect(),
        paths: lines.iter().map(segments).collect(),
        bed,
        ..Obstacles::default()
    };
    let size = text::size_for(frame.size().0).min(13.0);
    let words = percent(map.target);
    let half = Vec2::new(0.5 * text::width(&words, size) + 2.0, 0.5 * size + 3.0);
    let clear = |at: Vec2| {
        let within = at.x - half.x >= bed.0.x
            && at.y - half.y >= bed.0.y
            && at.x + half.x <= bed.0.x + bed.1.x
            && at.y + half.y <= bed.0.y + bed.1.y;
        within
            && obstacles.discs.iter().all(|(disc, radius)| (at - *disc).norm() > half.norm() + radius + 2.0)
    };
    let length = |line: &&Vec<Vec2>| segments(line).iter().map(Segment::length).sum::<f64>();
    let Some(longest) = lines.iter().max_by(|a, b| length(a).total_cmp(&length(b))) else { return obstacles };
    let middle = longest.len() / 2;
    let candidates = (0..longest.len()).filter(|&k| clear(longest[k]));
    let Some(at) = candidates.min_by_key(|&k| k.abs_diff(middle)).map(|k| longest[k]) else {
        return obstacles;
    };
    let plate = Attributes::new()
        .text("data-part", "label-plate")
        .number("x", at.x - half.x)
        .number("y", at.y - half.y)
        .number("width", 2.0 * half.x)
        .number("height", 2.0 * half.y)
        .text("fill", &theme.palette().room.to_string())
        .text("stroke", &theme.palette().mark.to_string())
        .number("stroke-width", 1.0);
    svg.leaf("rect", &plate);
    text::write(svg, &words, at, size, Anchor::Middle, theme.palette().ink);
    obstacles.discs.push((at, half.norm()));
    obstacles
}

fn draw_balls(svg: &mut Svg, map: &OddsMap<'_>, obstacles: Obstacles, frame: &Frame, theme: Theme) {
    let mut names = Vec::new();
    for (index, ball) in map.balls.iter().filter(|ball| ball.start.is_finite()).enumerate() {
        let (at, radius) = (frame.to_picture(ball.start), ball.radius_m * frame.scale());
        let look = Look::of(&ball.id);
        // A rim sets the ball off from cells of any colour.
        svg.leaf("circle", &circle(at, radius + 1.6).text("fill", &casing(theme).to_string()));
        disc(svg, frame, theme, look, at, radius);
        let wanted = Wanted { disc: Some(index), at, radius };
        let name = Name { id: ball.id.clone(), label: label(&ball.id), look, wanted };
        if tags::fits_in_ball(radius) {
            tags::draw_in_ball(svg, &name, theme);
        } else if !name.label.is_empty() {
            names.push(name);
        }
    }
    if !names.is_empty() {
        tags::draw(svg, &names, obstacles, frame, theme);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn map(table: &Table, place: impl Fn(usize, usize) -> Place) -> OddsMap<'_> {
        let places = (0..17).flat_map(|j| (0..33).map(move |i| (i, j))).map(|(i, j)| place(i, j)).collect();
        OddsMap::of(table, OddsField { along: 33, across: 17, places, reach_m: 0.028_575 })
    }

    #[test]
    fn the_description_counts_the_positions() {
        let table = Table::default();
        let text = map_svg(
            &map(&table, |i, _| if i < 3 { Place::Chance(0.7) } else { Place::NoHit }),
            &Style::default(),
        );
        assert!(text.contains("From 51 of 561 positions the chance is 50 % or more."));
        assert!(text.contains("<title>Odds over the table</title>"));
    }

    #[test]
    fn words_from_outside_are_escaped() {
        let table = Table::default();
        let captions = vec!["goal: pot \"<1>\" & stop".to_owned()];
        let text = map_svg(
            &OddsMap { captions, title: "a<b".to_owned(), ..map(&table, |_, _| Place::NoHit) },
            &Style::default(),
        );
        assert!(text.contains("<title>a&lt;b</title>"));
        assert!(text.contains("&lt;1&gt;&quot; &amp; stop"), "{text}");
    }

    #[test]
    fn a_place_without_room_is_hatched_and_one_without_a_hit_is_bare() {
        let table = Table::default();
        let hatched = |place: Place| {
            let one = map(&table, |i, j| if (i, j) == (9, 9) { place } else { Place::Chance(0.3) });
            let text = map_svg(&one, &Style::default());
            // The legend's sample comes on top.
            text.matches("data-part=\"no-room\"").count()
        };
        assert_eq!(hatched(Place::NoRoom), 2);
        assert_eq!(hatched(Place::NoHit), 0);
    }

    #[test]
    fn a_map_of_nonsense_is_drawn_all_the_same() {
        let table = Table::default();
        for (along, across) in [(0, 0), (1, 1), (2, 5), (33, 17)] {
            let field = OddsField { along, across, places: vec![Place::Chance(f64::NAN)], reach_m: f64::NAN };
            let balls = vec![PictureBall::resting("1", 0.028, Vec2::new(f64::NAN, 1.0))];
            let map = OddsMap { balls, target: f64::NAN, ..OddsMap::of(&table, field) };
            let text = map_svg(&map, &Style::default());
            assert!(text.ends_with("</svg>\n") && !text.contains("NaN"), "{along} {across}");
        }
    }
}
