//! Dimension lines, as surveyors draw them: from the ball square to the rail, with a tick on the nose.

use longrail_math::{Vec2, order};
use longrail_physics::table::{Rail, Table};

use crate::frame::Frame;
use crate::geometry::{Area, Segment};
use crate::marks::Mark;
use crate::placement::Obstacles;
use crate::svg::{Attributes, Svg};
use crate::tags::centred;
use crate::theme::Theme;

/// Width of a dimension line at weight 1.
const HAIRLINE: f64 = 1.1;
/// Half the length of an end tick at weight 1.
const TICK: f64 = 5.0;
/// Size of a figure at weight 1, and its bounds, in pixels. It is read from a step away from the device.
const FIGURE: (f64, f64, f64) = (18.0, 13.0, 26.0);
/// Two lines nearer to each other than this, in pixels, are one to the eye.
const MERGED: f64 = 4.0;
/// Places along a line at which it is compared with another.
const PROBES: u32 = 12;
/// Lines that meet at less than this (sine of 10°) run along each other.
const LEAST_SINE: f64 = 0.17;

/// A dimension in picture units.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Dimension<'a> {
    /// From the ball to the nose.
    pub(crate) line: Segment,
    /// From the ball's rim to the beginning of a line that had to be moved aside.
    pub(crate) witness: Option<Segment>,
    /// The figure.
    pub(crate) label: &'a str,
}

impl Dimension<'_> {
    /// What is drawn of it, without ticks and figure.
    pub(crate) fn segments(&self) -> Vec<Segment> {
        std::iter::once(self.line).chain(self.witness).collect()
    }
}

/// Size of the figures.
pub(crate) fn figure_size(frame: &Frame) -> f64 {
    let (usual, least, most) = FIGURE;
    (usual * frame.weight()).clamp(least, most)
}

/// The dimensions among `marks`. Each runs straight to its rail unless a ball, a course or another dimension is in the
/// way; then it is moved aside.
pub(crate) fn lay<'a>(
    marks: &'a [Mark],
    obstacles: &Obstacles,
    table: &Table,
    frame: &Frame,
) -> Vec<Dimension<'a>> {
    let mut wanted: Vec<(usize, Straight, &str)> = marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Dimension { at, rail, label } if at.is_finite() => {
                Some((straight(*at, *rail, obstacles, table, frame)?, label.as_str()))
            }
            _ => None,
        })
        .enumerate()
        .map(|(index, (straight, label))| (index, straight, label))
        .collect();
    // The ball next to the rail keeps the straight way.
    order::sort_by(&mut wanted, |a, b| a.1.length.total_cmp(&b.1.length));
    let mut laid: Vec<(usize, Dimension<'a>)> = Vec::with_capacity(wanted.len());
    for (index, straight, label) in wanted {
        let others: Vec<Segment> = laid.iter().map(|(_, dimension)| dimension.line).collect();
        let step = straight.radius + MERGED + 1.0;
        let aside = [0.0, step, -step, 2.0 * step, -2.0 * step]
            .into_iter()
            .find(|aside| !in_the_way(&straight, *aside, &others, obstacles))
            .unwrap_or(0.0);
        laid.push((index, straight.moved(aside, label)));
    }
    order::sort_by(&mut laid, |a, b| a.0.cmp(&b.0));
    laid.into_iter().map(|(_, dimension)| dimension).collect()
}

/// The straight way from a ball to a rail.
struct Straight {
    /// Its disc among the obstacles.
    disc: Option<usize>,
    centre: Vec2,
    radius: f64,
    /// Unit vector towards the rail.
    outward: Vec2,
    /// From the centre to the nose.
    length: f64,
}

impl Straight {
    fn moved<'a>(&self, aside: f64, label: &'a str) -> Dimension<'a> {
        let along_rail = self.outward.turned_left();
        let from = self.centre + along_rail * aside;
        let to = from + self.outward * self.length;
        if aside == 0.0 {
            let rim = self.centre + self.outward * self.radius;
            return Dimension { line: Segment::new(rim, to), witness: None, label };
        }
        let rim = self.centre + along_rail * (self.radius * aside.signum());
        // It runs on a little beyond the line that it carries.
        let end = from + along_rail * (0.5 * MERGED * aside.signum());
        Dimension { line: Segment::new(from, to), witness: Some(Segment::new(rim, end)), label }
    }
}

/// `None` for a ball that touches the rail or lies behind its nose.
fn straight(at: Vec2, rail: Rail, obstacles: &Obstacles, table: &Table, frame: &Frame) -> Option<Straight> {
    let spec = table.spec();
    let distance_m = match rail {
        Rail::Head => at.x,
        Rail::Foot => spec.length_m - at.x,
        Rail::Right => at.y,
        Rail::Left => spec.width_m - at.y,
    };
    let centre = frame.to_picture(at);
    let disc = obstacles.discs.iter().position(|(disc, radius)| (*disc - centre).norm() < *radius);
    let radius = disc.and_then(|disc| obstacles.discs.get(disc)).map_or(0.0, |(_, radius)| *radius);
    let length = distance_m * frame.scale();
    // What is left of the line must be more than its own width.
    (length > radius + HAIRLINE).then(|| Straight {
        disc,
        centre,
        radius,
        outward: frame.turned(rail.outward()),
        length,
    })
}

fn in_the_way(straight: &Straight, aside: f64, others: &[Segment], obstacles: &Obstacles) -> bool {
    let line = straight.moved(aside, "").line;
    let (corner, size) = obstacles.bed;
    let start = line.from;
    if start.x < corner.x || start.y < corner.y || start.x > corner.x + size.x || start.y > corner.y + size.y
    {
        return true;
    }
    let meets_ball = obstacles.discs.iter().enumerate().any(|(index, (centre, radius))| {
        Some(index) != straight.disc && line.length_inside(*centre, radius + 1.0) > 0.0
    });
    meets_ball
        || share_along(&line, others) > 0.2
        || obstacles.paths.iter().any(|path| share_along(&line, path) > 0.4)
}

/// The part of `line` that one of `others` runs along.
fn share_along(line: &Segment, others: &[Segment]) -> f64 {
    let direction = line.to - line.from;
    let along: Vec<&Segment> = others
        .iter()
        .filter(|other| {
            let theirs = other.to - other.from;
            direction.cross(theirs).abs() < LEAST_SINE * direction.norm() * theirs.norm()
        })
        .collect();
    let near = |probe: &u32| {
        let point = line.from + direction * ((f64::from(*probe) + 0.5) / f64::from(PROBES));
        along.iter().any(|other| other.distance(point) < MERGED)
    };
    (0..PROBES).filter(near).fold(0.0, |share, _| share + 1.0 / f64::from(PROBES))
}

/// Draws lines and ticks, which lie under balls and courses.
pub(crate) fn draw_lines(svg: &mut Svg, dimensions: &[Dimension<'_>], frame: &Frame, theme: Theme) {
    if dimensions.is_empty() {
        return;
    }
    let weight = frame.weight();
    let group =
        Attributes::new().text("data-part", "dimensions").text("stroke", &theme.palette().mark.to_string());
    svg.open("g", &group);
    for dimension in dimensions {
        for segment in dimension.segments() {
            svg.leaf("line", &ends(&segment).number("stroke-width", HAIRLINE * weight));
        }
        let along = dimension.line.to - dimension.line.from;
        let side = (along / along.norm()).turned_left() * (TICK * weight);
        let tick = |at: Vec2| Segment::new(at - side, at + side);
        svg.leaf("line", &ends(&tick(dimension.line.to)).number("stroke-width", 1.6 * HAIRLINE * weight));
    }
    svg.close();
}

/// Writes the figures on a rim of cloth, so that a line behind them does not run into them.
pub(crate) fn draw_figures(
    svg: &mut Svg,
    dimensions: &[Dimension<'_>],
    places: &[Area],
    frame: &Frame,
    theme: Theme,
) {
    let (palette, size) = (theme.palette(), figure_size(frame));
    for (dimension, place) in dimensions.iter().zip(places) {
        let words = centred(place.centre, size)
            .text("data-part", "dimension")
            .text("fill", &palette.mark.to_string())
            .text("stroke", &palette.cloth.to_string())
            .number("stroke-width", 0.24 * size)
            .text("stroke-linejoin", "round")
            .text("paint-order", "stroke");
        svg.words("text", &words, dimension.label);
    }
}

fn ends(segment: &Segment) -> Attributes {
    Attributes::new()
        .number("x1", segment.from.x)
        .number("y1", segment.from.y)
        .number("x2", segment.to.x)
        .number("y2", segment.to.y)
}
