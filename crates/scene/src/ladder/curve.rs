//! The odds of the rungs: their band, the line through them, their marks, and where it passes the target.

use longrail_math::Vec2;

use super::axes::Axes;
use super::{LadderChart, RungOdds};
use crate::frame::Style;
use crate::svg::{Attributes, Svg, number};
use crate::table::rhombus;
use crate::text::{self, Anchor};

/// Half the height of a rung's mark, at most.
pub(super) const HALF: f64 = 8.0;

/// Neighbouring rungs that have odds.
fn runs(chart: &LadderChart) -> Vec<Vec<(usize, RungOdds)>> {
    let mut runs: Vec<Vec<(usize, RungOdds)>> = vec![Vec::new()];
    for (index, rung) in chart.rungs.iter().enumerate() {
        match (rung, runs.last_mut()) {
            (Some(odds), Some(run)) => run.push((index, *odds)),
            _ => runs.push(Vec::new()),
        }
    }
    runs.retain(|run| !run.is_empty());
    runs
}

pub(super) fn draw_band(svg: &mut Svg, chart: &LadderChart, axes: &Axes, style: &Style) {
    for run in runs(chart) {
        let upper = run.iter().map(|(rung, odds)| axes.at(*rung, odds.high));
        let lower = run.iter().rev().map(|(rung, odds)| axes.at(*rung, odds.low));
        hatched(svg, &upper.chain(lower).collect::<Vec<_>>(), style);
    }
}

/// A shape filled with lines at 45°, 6 px apart.
pub(super) fn hatched(svg: &mut Svg, outline: &[Vec2], style: &Style) {
    let chalk = style.theme.palette().chalk.to_string();
    let points: Vec<String> =
        outline.iter().map(|point| format!("{},{}", number(point.x), number(point.y))).collect();
    let band = Attributes::new()
        .text("data-part", "band")
        .text("points", &points.join(" "))
        .text("fill", &format!("url(#{})", hatch_name(style)))
        .text("stroke", &chalk)
        .number("stroke-opacity", 0.7)
        .number("stroke-width", 0.8);
    if !svg.has(&hatch_name(style)) {
        svg.open("defs", &Attributes::new());
        let pattern = Attributes::new()
            .text("id", &hatch_name(style))
            .number("width", 6.0)
            .number("height", 6.0)
            .text("patternUnits", "userSpaceOnUse")
            .text("patternTransform", "rotate(45)");
        svg.open("pattern", &pattern);
        let line = Attributes::new()
            .number("x1", 1.0)
            .number("x2", 1.0)
            .number("y1", 0.0)
            .number("y2", 6.0)
            .text("stroke", &chalk)
            .number("stroke-width", 1.4);
        svg.leaf("line", &line);
        svg.close();
        svg.close();
    }
    svg.leaf("polygon", &band);
}

/// Two pictures in one page must not share a hatching of different colours.
fn hatch_name(style: &Style) -> String {
    format!("longrail-hatch-{}", style.theme.name())
}

pub(super) fn dashed(from: Vec2, to: Vec2, style: &Style) -> Attributes {
    Attributes::new()
        .number("x1", from.x)
        .number("y1", from.y)
        .number("x2", to.x)
        .number("y2", to.y)
        .text("stroke", &style.theme.palette().chalk.to_string())
        .number("stroke-width", 2.4)
        .numbers("stroke-dasharray", &[9.0, 4.0])
}

pub(super) fn draw_curve(svg: &mut Svg, chart: &LadderChart, axes: &Axes, style: &Style) {
    for run in runs(chart) {
        let points: Vec<String> = run
            .iter()
            .map(|(rung, odds)| axes.at(*rung, odds.made))
            .map(|at| format!("{},{}", number(at.x), number(at.y)))
            .collect();
        let line = Attributes::new()
            .text("data-part", "curve")
            .text("points", &points.join(" "))
            .text("fill", "none")
            .text("stroke", &style.theme.palette().chalk.to_string())
            .number("stroke-width", 2.4)
            .numbers("stroke-dasharray", &[9.0, 4.0]);
        svg.leaf("polyline", &line);
    }
}

/// A rung's mark: filled with its odds, open where no hit makes it.
pub(super) fn diamond(svg: &mut Svg, at: Vec2, half: f64, filled: bool, style: &Style) {
    let palette = style.theme.palette();
    let shape = rhombus(at, Vec2::new(0.0, 1.0), half)
        .text("data-part", "rung")
        .text("fill", &if filled { palette.chalk } else { palette.room }.to_string())
        .text("stroke", &if filled { palette.room } else { palette.edge }.to_string())
        .number("stroke-width", if filled { 0.15 * half } else { 1.6 });
    svg.leaf("polygon", &shape);
}

/// The rungs with their numbers and per cents below; where they are many, some go unnumbered.
pub(super) fn draw_rungs(svg: &mut Svg, chart: &LadderChart, axes: &Axes, style: &Style) {
    let palette = style.theme.palette();
    let line = text::LEADING * axes.size;
    let wide = text::width("100", axes.size) + 5.0;
    let every = (1..=60_usize).find(|&k| axes.at(k, 0.0).x - axes.at(0, 0.0).x >= wide).unwrap_or(60);
    // Marks of neighbours stay apart.
    let half = (0.7 * (axes.at(1, 0.0).x - axes.at(0, 0.0).x)).clamp(3.0, HALF);
    let heading = |row: f64| Vec2::new(axes.left - 6.0, axes.bottom + 14.0 + (row + 0.5) * line);
    text::write(svg, "rung", heading(0.0), axes.size, Anchor::End, palette.ink2);
    text::write(svg, "%", heading(1.0), axes.size, Anchor::End, palette.ink2);
    for (index, rung) in chart.rungs.iter().enumerate() {
        diamond(svg, axes.at(index, rung.map_or(0.0, |odds| odds.made)), half, rung.is_some(), style);
        if index % every != 0 {
            continue;
        }
        let at = |row: f64| Vec2::new(axes.at(index, 0.0).x, heading(row).y);
        text::write(svg, &(index + 1).to_string(), at(0.0), axes.size, Anchor::Middle, palette.ink);
        if let Some(odds) = rung.filter(|odds| odds.made.is_finite()) {
            let words = number((100.0 * odds.made).round());
            text::write(svg, &words, at(1.0), axes.size, Anchor::Middle, palette.chalk);
        }
    }
}

/// Where the target is passed: a line with an end tick down to the rungs, and its place in words.
pub(super) fn draw_crossing(svg: &mut Svg, chart: &LadderChart, axes: &Axes, style: &Style) {
    let Some(place) = chart.crossing.filter(|place| place.is_finite()) else { return };
    let palette = style.theme.palette();
    let (x, y) = (axes.x(place), axes.y(chart.target));
    let path = format!(
        "M{} {}V{}M{} {}h10",
        number(x),
        number(y - 10.0),
        number(axes.bottom),
        number(x - 5.0),
        number(axes.bottom)
    );
    let mark = Attributes::new()
        .text("data-part", "crossing")
        .text("d", &path)
        .text("fill", "none")
        .text("stroke", &palette.brass.to_string())
        .number("stroke-width", 2.0);
    svg.leaf("path", &mark);
    let words = format!("rung {}", number((10.0 * (place + 1.0)).round() / 10.0));
    let width = text::width(&words, axes.size);
    // Odds fall along a ladder, so there is room above on the right, or else below on the left.
    let right = x + 8.0 + width <= axes.right;
    let at = if right {
        Vec2::new(x + 8.0, y - 0.9 * axes.size)
    } else {
        Vec2::new(x - 8.0 - width, y + 0.9 * axes.size)
    };
    let plate = Attributes::new()
        .number("x", at.x - 2.0)
        .number("y", at.y - 0.6 * axes.size)
        .number("width", width + 4.0)
        .number("height", 1.2 * axes.size)
        .text("fill", &palette.room.to_string());
    svg.leaf("rect", &plate);
    text::write(svg, &words, at, axes.size, Anchor::Start, palette.brass);
}
