//! What the marks of the chart mean, over it.

use longrail_math::Vec2;

use super::curve::{HALF, dashed, diamond, hatched};
use super::{LadderChart, MARGIN, counted};
use crate::frame::Style;
use crate::map::waves;
use crate::svg::Svg;
use crate::text::{self, Anchor};

/// Width of a sample.
const SAMPLE: f64 = 26.0;

/// What a sample of the legend shows.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Sample {
    Modelled,
    Band,
    NoHit,
    Counted,
}

/// What there is to be explained.
pub(super) fn of(chart: &LadderChart) -> Vec<(Sample, String)> {
    let mut legend = vec![(Sample::Modelled, "modelled odds".to_owned())];
    if !chart.band.is_empty() {
        legend.push((Sample::Band, chart.band.clone()));
    }
    if chart.rungs.iter().any(Option::is_none) {
        legend.push((Sample::NoHit, "no hit makes it".to_owned()));
    }
    if !chart.counted.is_empty() {
        legend.push((Sample::Counted, "counted".to_owned()));
    }
    legend
}

/// Width of a sample with its space: the modelled one has a wave sign before it.
fn sample_width(sample: Sample) -> f64 {
    if sample == Sample::Modelled { SAMPLE + 30.0 } else { SAMPLE + 8.0 }
}

/// Where the entries of the legend begin.
pub(super) fn rows(legend: &[(Sample, String)], room: f64, size: f64) -> Vec<Vec2> {
    let widths = legend.iter().map(|(sample, words)| sample_width(*sample) + text::width(words, size));
    text::rows(widths, room, size)
}

pub(super) fn draw(
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
            Sample::Counted => {
                let half = 0.5 * size;
                counted::mark(svg, middle.x, (at.y + half, at.y - half), Some(at.y), style);
            }
        }
        let words_at = Vec2::new(at.x + sample_width(*sample), at.y);
        text::write(svg, words, words_at, size, Anchor::Start, palette.ink);
    }
}
