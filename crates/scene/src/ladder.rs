//! The chart of a ladder: modelled odds from rung to rung, and where they pass a target.

use longrail_math::Vec2;

use crate::frame::Style;
use crate::map::{percent, waves};
use crate::root;
use crate::svg::{Attributes, Svg, number};
use crate::table::rhombus;
use crate::text::{self, Anchor};

/// Modelled odds of a rung.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RungOdds {
    /// The chance, 0 to 1.
    pub made: f64,
    /// Lower end of what it may be.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// What the chart of a ladder shows.
#[derive(Clone, Debug, PartialEq)]
pub struct LadderChart {
    /// The rungs from the first on; `None` where no hit makes it.
    pub rungs: Vec<Option<RungOdds>>,
    /// The chance that is looked for, 0 to 1.
    pub target: f64,
    /// Where the odds pass it, counted from the first rung as 0, if they do.
    pub crossing: Option<f64>,
    /// What the band from `low` to `high` is.
    pub band: String,
    /// The picture's name, for whoever hears it.
    pub title: String,
    /// A sentence that says the picture's numbers.
    pub description: String,
    /// The sentence over the chart.
    pub reading: String,
    /// What stands under the chart, a paragraph each: what moves from rung to rung, and what the odds rest on.
    pub captions: Vec<String>,
}

/// Space round the chart, in pixels.
const MARGIN: f64 = 12.0;
/// Width of a sample in the legend.
const SAMPLE: f64 = 26.0;
/// Half the height of a rung's mark, at most.
const HALF: f64 = 8.0;

/// Where the axes lie.
struct Axes {
    left: f64,
    right: f64,
    top: f64,
    bottom: f64,
    rungs: usize,
    size: f64,
}

impl Axes {
    /// Small whole numbers.
    #[allow(clippy::cast_precision_loss)]
    fn x(&self, rung: f64) -> f64 {
        let inset = 14.0;
        let steps = self.rungs.saturating_sub(1).max(1) as f64;
        self.left + inset + rung / steps * (self.right - self.left - 2.0 * inset)
    }

    fn y(&self, chance: f64) -> f64 {
        let chance = if chance.is_finite() { chance.clamp(0.0, 1.0) } else { 0.0 };
        self.bottom - chance * (self.bottom - self.top)
    }

    #[allow(clippy::cast_precision_loss)]
    fn at(&self, rung: usize, chance: f64) -> Vec2 {
        Vec2::new(self.x(rung as f64), self.y(chance))
    }
}

/// The chart as SVG text, as wide as asked for; how the table lies does not matter.
pub fn ladder_svg(chart: &LadderChart, style: &Style) -> String {
    let width = if style.width_px.is_finite() { style.width_px.clamp(160.0, 8000.0) } else { 320.0 };
    let size = text::size_for(width);
    let line = text::LEADING * size;
    let reading_size = text::reading_size_for(width);
    let reading = text::height(&chart.reading, width - 2.0 * MARGIN, reading_size);
    let legend_top = MARGIN + reading + if reading > 0.0 { 8.0 } else { 0.0 };
    let legend = legend(chart);
    let rows = rows(&legend, width - 2.0 * MARGIN, size);
    let legend_height = rows.last().map_or(0.0, |last| last.y) + line;
    let top = legend_top + legend_height + 14.0;
    let axes = Axes {
        left: MARGIN + text::width("100 %", size) + 6.0,
        right: width - MARGIN,
        top,
        bottom: top + (0.52 * width).clamp(170.0, 420.0),
        rungs: chart.rungs.len(),
        size,
    };
    let below = axes.bottom + 14.0 + 2.0 * line + 8.0;
    let room = width - 2.0 * MARGIN;
    let captions: f64 = chart.captions.iter().map(|words| text::height(words, room, size) + 4.0).sum();
    let mut svg = Svg::new();
    let extent = (width, below + captions + MARGIN);
    let title = if chart.title.is_empty() { "Odds along a ladder" } else { &chart.title };
    root::open(&mut svg, extent, style, false, title, &chart.description);
    root::ground(&mut svg, extent, style.theme.palette().room);
    let ink = style.theme.palette().ink;
    text::paragraph(&mut svg, &chart.reading, Vec2::new(MARGIN, MARGIN), room, reading_size, ink);
    draw_legend(&mut svg, &legend, &rows, (legend_top, size), style);
    draw_scale(&mut svg, chart, &axes, style);
    draw_band(&mut svg, chart, &axes, style);
    draw_curve(&mut svg, chart, &axes, style);
    draw_rungs(&mut svg, chart, &axes, style);
    draw_crossing(&mut svg, chart, &axes, style);
    let mut y = below;
    for words in &chart.captions {
        y = text::paragraph(&mut svg, words, Vec2::new(MARGIN, y), room, size, style.theme.palette().ink2)
            + 4.0;
    }
    svg.finish()
}

/// What a sample of the legend shows.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sample {
    Modelled,
    Band,
    NoHit,
}

fn legend(chart: &LadderChart) -> Vec<(Sample, String)> {
    let mut legend = vec![(Sample::Modelled, "modelled odds".to_owned())];
    if !chart.band.is_empty() {
        legend.push((Sample::Band, chart.band.clone()));
    }
    if chart.rungs.iter().any(Option::is_none) {
        legend.push((Sample::NoHit, "no hit makes it".to_owned()));
    }
    legend
}

/// Width of a sample with its space: the modelled one has a wave sign before it.
fn sample_width(sample: Sample) -> f64 {
    if sample == Sample::Modelled { SAMPLE + 30.0 } else { SAMPLE + 8.0 }
}

/// Where the entries of the legend begin, as many in a row as fit.
fn rows(legend: &[(Sample, String)], room: f64, size: f64) -> Vec<Vec2> {
    let (mut x, mut y) = (0.0, 0.0);
    let mut places = Vec::new();
    for (sample, words) in legend {
        let width = sample_width(*sample) + text::width(words, size);
        if x > 0.0 && x + width > room {
            (x, y) = (0.0, y + text::LEADING * size + 4.0);
        }
        places.push(Vec2::new(x, y));
        x += width + 18.0;
    }
    places
}

fn draw_legend(
    svg: &mut Svg,
    legend: &[(Sample, String)],
    rows: &[Vec2],
    (top, size): (f64, f64),
    style: &Style,
) {
    let palette = style.theme.palette();
    for ((sample, words), place) in legend.iter().zip(rows) {
        let at = Vec2::new(MARGIN + place.x, top + place.y + 0.5 * text::LEADING * size);
        let end = Vec2::new(at.x + SAMPLE, at.y);
        let middle = (at + end) * 0.5;
        match sample {
            Sample::Modelled => {
                svg.leaf("line", &dashed(at, end, style));
                diamond(svg, middle, HALF, true, style);
                waves(svg, Vec2::new(end.x + 6.0, at.y), palette.chalk);
            }
            Sample::Band => {
                let half = 0.5 * size;
                let outline = [
                    Vec2::new(at.x, at.y - half),
                    Vec2::new(end.x, at.y - half),
                    Vec2::new(end.x, at.y + half),
                    Vec2::new(at.x, at.y + half),
                ];
                hatched(svg, &outline, style);
            }
            Sample::NoHit => diamond(svg, middle, HALF, false, style),
        }
        let words_at = Vec2::new(at.x + sample_width(*sample), at.y);
        text::write(svg, words, words_at, size, Anchor::Start, palette.ink);
    }
}

/// Hairlines with their per cent, and the dotted line of the target.
fn draw_scale(svg: &mut Svg, chart: &LadderChart, axes: &Axes, style: &Style) {
    let palette = style.theme.palette();
    let target = axes.y(chart.target);
    for chance in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let y = axes.y(chance);
        svg.leaf("line", &level(axes, y, palette.line, 1.0));
        // The target's own number stands there.
        if (y - target).abs() >= text::LEADING * axes.size {
            let at = Vec2::new(axes.left - 6.0, y);
            text::write(svg, &percent(chance), at, axes.size, Anchor::End, palette.ink2);
        }
    }
    let line = level(axes, target, palette.ink, 1.8).text("data-part", "target");
    svg.leaf("line", &line.numbers("stroke-dasharray", &[2.0, 5.0]));
    let at = Vec2::new(axes.left - 6.0, target);
    text::write(svg, &percent(chart.target), at, axes.size, Anchor::End, palette.ink);
}

fn level(axes: &Axes, y: f64, colour: crate::colour::Rgb, width: f64) -> Attributes {
    Attributes::new()
        .number("x1", axes.left)
        .number("x2", axes.right)
        .number("y1", y)
        .number("y2", y)
        .text("stroke", &colour.to_string())
        .number("stroke-width", width)
}

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

fn draw_band(svg: &mut Svg, chart: &LadderChart, axes: &Axes, style: &Style) {
    for run in runs(chart) {
        let upper = run.iter().map(|(rung, odds)| axes.at(*rung, odds.high));
        let lower = run.iter().rev().map(|(rung, odds)| axes.at(*rung, odds.low));
        hatched(svg, &upper.chain(lower).collect::<Vec<_>>(), style);
    }
}

/// A shape filled with lines at 45°, 6 px apart.
fn hatched(svg: &mut Svg, outline: &[Vec2], style: &Style) {
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

fn dashed(from: Vec2, to: Vec2, style: &Style) -> Attributes {
    Attributes::new()
        .number("x1", from.x)
        .number("y1", from.y)
        .number("x2", to.x)
        .number("y2", to.y)
        .text("stroke", &style.theme.palette().chalk.to_string())
        .number("stroke-width", 2.4)
        .numbers("stroke-dasharray", &[9.0, 4.0])
}

fn draw_curve(svg: &mut Svg, chart: &LadderChart, axes: &Axes, style: &Style) {
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
fn diamond(svg: &mut Svg, at: Vec2, half: f64, filled: bool, style: &Style) {
    let palette = style.theme.palette();
    let shape = rhombus(at, Vec2::new(0.0, 1.0), half)
        .text("data-part", "rung")
        .text("fill", &if filled { palette.chalk } else { palette.room }.to_string())
        .text("stroke", &if filled { palette.room } else { palette.edge }.to_string())
        .number("stroke-width", if filled { 1.2 } else { 1.6 });
    svg.leaf("polygon", &shape);
}

/// The rungs with their numbers and per cents below; where they are many, some go unnumbered.
fn draw_rungs(svg: &mut Svg, chart: &LadderChart, axes: &Axes, style: &Style) {
    let palette = style.theme.palette();
    let line = text::LEADING * axes.size;
    let wide = text::width("100", axes.size) + 5.0;
    let every = (1..=60_usize).find(|&k| axes.at(k, 0.0).x - axes.at(0, 0.0).x >= wide).unwrap_or(60);
    // Marks of neighbours stay apart.
    let half = (0.7 * (axes.at(1, 0.0).x - axes.at(0, 0.0).x)).clamp(2.5, HALF);
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
fn draw_crossing(svg: &mut Svg, chart: &LadderChart, axes: &Axes, style: &Style) {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theme::Theme;

    fn chart(made: &[Option<f64>], crossing: Option<f64>) -> LadderChart {
        let rung = |made: f64| RungOdds { made, low: made - 0.02, high: made + 0.02 };
        LadderChart {
            rungs: made.iter().map(|made| made.map(rung)).collect(),
            target: 0.5,
            crossing,
            band: "80 %".to_owned(),
            title: String::new(),
            description: "a < b".to_owned(),
            reading: "Even at rung 2".to_owned(),
            captions: vec!["Each rung: the 1 goes ¼ diamond & more".to_owned()],
        }
    }

    /// The numbers of an attribute of the first element that is such a part.
    fn numbers(text: &str, part: &str, name: &str) -> Vec<f64> {
        let line = text.lines().find(|line| line.contains(&format!("data-part=\"{part}\""))).expect("a part");
        let value = line.split(&format!("{name}=\"")).nth(1).and_then(|rest| rest.split('"').next());
        value.expect("an attribute").split([' ', ',']).filter_map(|word| word.parse().ok()).collect()
    }

    #[test]
    fn odds_halfway_lie_halfway_between_the_rungs_and_the_per_cents() {
        let text = ladder_svg(&chart(&[Some(1.0), Some(0.5), Some(0.0)], None), &Style::default());
        let curve = numbers(&text, "curve", "points");
        assert!((curve[2] - 0.5 * (curve[0] + curve[4])).abs() < 0.011, "{curve:?}");
        assert!((curve[3] - 0.5 * (curve[1] + curve[5])).abs() < 0.011, "{curve:?}");
        assert!((numbers(&text, "target", "y1")[0] - curve[3]).abs() < 0.011);
    }

    #[test]
    fn a_rung_without_a_hit_parts_the_curve() {
        let rungs = [Some(0.9), Some(0.7), None, Some(0.3), Some(0.2)];
        let text = ladder_svg(&chart(&rungs, None), &Style::default());
        assert_eq!(text.matches("data-part=\"curve\"").count(), 2);
        assert!(text.contains("no hit makes it"));
    }

    #[test]
    fn the_place_of_the_crossing_is_counted_from_one() {
        let text = ladder_svg(&chart(&[Some(0.9), Some(0.6), Some(0.4)], Some(1.5)), &Style::default());
        assert!(text.contains(">rung 2.5<"), "{text}");
    }

    #[test]
    fn words_are_escaped_and_nonsense_is_drawn_all_the_same() {
        let rungs = [Some(f64::NAN), None, Some(7.0)];
        for theme in Theme::ALL {
            let text = ladder_svg(
                &chart(&rungs, Some(f64::NAN)),
                &Style { theme, width_px: f64::NAN, ..Style::default() },
            );
            assert!(text.contains("a &lt; b") && text.contains("&amp; more") && !text.contains("NaN"));
            assert!(text.ends_with("</svg>\n"));
        }
        let none = LadderChart { rungs: Vec::new(), ..chart(&[], None) };
        assert!(ladder_svg(&none, &Style::default()).ends_with("</svg>\n"));
    }
}
