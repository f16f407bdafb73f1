//! Number tags: a small name plate beside each ball that is drawn too small to carry its own number.

use longrail_math::Vec2;

use crate::FONT_STACK;
use crate::balls::{FIGURE, Look, WHITE, circle};
use crate::frame::Frame;
use crate::geometry::Segment;
use crate::placement::{CLOSE, Kind, Obstacles, TAG_LEADERS, Wanted, leader, place};
use crate::svg::{Attributes, Svg, number};
use crate::theme::Theme;

/// Radius of a tag at weight 1, in pixels.
const RADIUS: f64 = 11.0;
/// A ball drawn with at least this radius carries its number itself, in pixels.
const CARRIES_NUMBER: f64 = 12.0;
/// An open circle of at least this radius has room for a number, in pixels.
const HOLDS_NUMBER: f64 = 9.0;
/// White disc behind the number, as a part of the radius of tag or ball.
const PLATE: f64 = 0.7;
/// Smallest figures, in pixels.
const SMALLEST: f64 = 11.0;

/// A ball to be named.
#[derive(Clone, Debug)]
pub(crate) struct Name {
    pub(crate) id: String,
    pub(crate) label: String,
    pub(crate) look: Look,
    pub(crate) wanted: Wanted,
}

/// Whether balls of this radius, in pixels, carry their numbers.
pub(crate) fn fits_in_ball(radius: f64) -> bool {
    radius >= CARRIES_NUMBER
}

/// Draws the number on the ball itself, where it has one and it fits.
pub(crate) fn draw_in_ball(svg: &mut Svg, name: &Name, theme: Theme) {
    if name.label.is_empty() || !fits_in_ball(name.wanted.radius) {
        return;
    }
    let (at, radius) = (name.wanted.at, name.wanted.radius);
    svg.leaf("circle", &circle(at, PLATE * radius * 0.94).text("fill", &WHITE.to_string()));
    // Two figures as large as one would hide a stripe's band.
    let size = if name.label.chars().count() > 1 { 0.8 } else { 0.98 } * radius;
    figures(svg, &name.label, at, size.max(SMALLEST), theme);
}

/// Places and draws the tags with their leaders.
///
/// Returns the obstacles with what was drawn added to them.
pub(crate) fn draw(
    svg: &mut Svg,
    names: &[Name],
    mut obstacles: Obstacles,
    frame: &Frame,
    theme: Theme,
) -> Obstacles {
    let (palette, weight) = (theme.palette(), frame.weight());
    let radius = RADIUS * weight.clamp(1.0, 1.2);
    let wanted: Vec<Wanted> = names.iter().map(|name| name.wanted).collect();
    let kind = Kind { radius, leaders: TAG_LEADERS, limit: f64::INFINITY };
    let places: Vec<Vec2> = place(&wanted, &obstacles, &kind)
        .into_iter()
        .zip(&wanted)
        .map(|(at, one)| at.unwrap_or(one.at))
        .collect();
    let mut leaders: Vec<Segment> = Vec::new();
    // All leaders lie under all tags.
    for (one, at) in wanted.iter().zip(&places) {
        let line = leader(one, *at, radius);
        let ends = |attributes: Attributes| {
            attributes
                .number("x1", line.from.x)
                .number("y1", line.from.y)
                .number("x2", line.to.x)
                .number("y2", line.to.y)
        };
        let stroke = ends(Attributes::new().text("data-part", "leader"))
            .text("stroke", &palette.mark.to_string())
            .number("stroke-opacity", 0.8)
            .number("stroke-width", (0.8 * weight).max(0.8));
        svg.leaf("line", &stroke);
        leaders.push(line);
    }
    for (name, at) in names.iter().zip(&places) {
        let group = Attributes::new().text("data-part", "tag").text("data-ball", &name.id);
        svg.open("g", &group);
        plate(svg, name, *at, radius, theme);
        svg.close();
    }
    obstacles.discs.extend(places.into_iter().map(|at| (at, radius)));
    obstacles.paths.push(leaders);
    obstacles
}

/// Writes each number in the circle where its ball stops, or close by where there is room, or not at all:
/// the course leads there as well.
pub(crate) fn draw_rests(svg: &mut Svg, names: &[Name], obstacles: &Obstacles, frame: &Frame, theme: Theme) {
    let (inside, beside): (Vec<&Name>, Vec<&Name>) =
        names.iter().partition(|name| name.wanted.radius >= HOLDS_NUMBER);
    for name in inside {
        let size = (0.9 * name.wanted.radius).max(SMALLEST);
        bare_figures(svg, name, name.wanted.at, size, theme);
    }
    let wanted: Vec<Wanted> = beside.iter().map(|name| name.wanted).collect();
    let kind = Kind { radius: 0.62 * SMALLEST, leaders: CLOSE, limit: 40.0 };
    for (name, at) in beside.into_iter().zip(place(&wanted, obstacles, &kind)) {
        let Some(at) = at else { continue };
        bare_figures(svg, name, at, SMALLEST * frame.weight().clamp(1.0, 1.2), theme);
    }
}

fn plate(svg: &mut Svg, name: &Name, at: Vec2, radius: f64, theme: Theme) {
    let palette = theme.palette();
    let colour = name.look.colour(theme).to_string();
    let ring = circle(at, radius)
        .text("fill", &colour)
        .text("stroke", &palette.ring.to_string())
        .number("stroke-width", 1.2);
    svg.leaf("circle", &ring);
    if name.look.is_stripe() {
        svg.leaf("path", &caps(at, radius - 0.6).text("fill", &WHITE.to_string()));
    }
    svg.leaf("circle", &circle(at, PLATE * radius).text("fill", &WHITE.to_string()));
    // The cue ball's is white all over.
    if !name.label.is_empty() {
        figures(svg, &name.label, at, SMALLEST * radius / RADIUS, theme);
    }
}

/// The two white caps of a stripe, above and below its band.
fn caps(at: Vec2, radius: f64) -> Attributes {
    let height = 0.62 * radius;
    let half = (radius * radius - height * height).sqrt();
    let [left, right, up, down, r] =
        [at.x - half, at.x + half, at.y - height, at.y + height, radius].map(number);
    let path =
        format!("M{left} {up}A{r} {r} 0 0 1 {right} {up}ZM{left} {down}A{r} {r} 0 0 0 {right} {down}Z");
    Attributes::new().text("d", &path)
}

fn figures(svg: &mut Svg, label: &str, at: Vec2, size: f64, theme: Theme) {
    let colour = if theme == Theme::Paper { theme.palette().ink } else { FIGURE };
    svg.words("text", &centred(at, size).text("fill", &colour.to_string()), label);
}

/// Figures on the cloth, with a rim of cloth so that a line behind them does not run into them.
fn bare_figures(svg: &mut Svg, name: &Name, at: Vec2, size: f64, theme: Theme) {
    let palette = theme.palette();
    let words = centred(at, size)
        .text("data-part", "rest-number")
        .text("data-ball", &name.id)
        .text("fill", &palette.mark.to_string())
        .text("stroke", &palette.cloth.to_string())
        .number("stroke-width", 2.4)
        .text("stroke-linejoin", "round")
        .text("paint-order", "stroke");
    svg.words("text", &words, &name.label);
}

/// Words whose middle is `at`.
pub(crate) fn centred(at: Vec2, size: f64) -> Attributes {
    // Figures are about 0.7 of their size high; not every renderer centres them by itself.
    Attributes::new()
        .number("x", at.x)
        .number("y", at.y + 0.355 * size)
        .text("text-anchor", "middle")
        .text("font-family", FONT_STACK)
        .number("font-size", size)
        .text("font-weight", "700")
}
