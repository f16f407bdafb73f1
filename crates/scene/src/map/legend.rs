//! What the colours and the line of a map mean, under the table.

use std::fmt::Write as _;

use longrail_math::Vec2;

use super::field::Place;
use super::ramp::{self, BANDS, CUTS};
use super::{OddsMap, line_pair, percent};
use crate::frame::Style;
use crate::svg::{Attributes, Svg, number};
use crate::text::{self, Anchor};
use crate::theme::Theme;

/// Distance of the lines that hatch a place without room, in pixels along an edge.
pub(super) const HATCH_PX: f64 = 5.0;

/// Space round the legend.
const MARGIN: f64 = 10.0;
/// The widest ramp.
const WIDEST: f64 = 360.0;
/// Width of a sample.
const SAMPLE: f64 = 26.0;

/// One sample with its words.
enum Sample {
    Line,
    Bare,
    Hatched,
}

/// A legend, laid out for its width.
pub(super) struct Legend {
    theme: Theme,
    width: f64,
    size: f64,
    reading: String,
    samples: Vec<(Sample, String)>,
    captions: Vec<String>,
}

impl Legend {
    pub(super) fn of(map: &OddsMap<'_>, style: &Style, width: f64) -> Self {
        let field = &map.field;
        let holds = |wanted: fn(Place) -> bool| {
            (0..field.across).any(|across| (0..field.along).any(|along| wanted(field.place(along, across))))
        };
        let share = percent(map.target);
        let (all, above) = field.count(map.target);
        let line = if above == 0 {
            format!("nowhere {share} or more")
        } else if above == all {
            format!("everywhere {share} or more")
        } else {
            format!("{share}, the line")
        };
        let mut samples = vec![(Sample::Line, line)];
        if holds(|place| place == Place::NoHit) {
            samples.push((Sample::Bare, "no hit makes it".to_owned()));
        }
        if holds(|place| place == Place::Unknown) {
            samples.push((Sample::Hatched, "no room for the ball, or not computed".to_owned()));
        } else if holds(|place| place.chance().is_none()) {
            samples.push((Sample::Hatched, "no room for the ball".to_owned()));
        }
        Self {
            theme: style.theme,
            width,
            size: text::size_for(width),
            reading: map.reading.clone(),
            samples,
            captions: map.captions.clone(),
        }
    }

    fn room(&self) -> f64 {
        self.width - 2.0 * MARGIN
    }

    fn line_height(&self) -> f64 {
        text::LEADING * self.size
    }

    /// Height of the ramp with its heading and its numbers.
    fn ramp_height(&self) -> f64 {
        2.0 * self.line_height() + self.size + 4.0
    }

    /// Where the samples stand, from the top of their rows.
    fn places(&self) -> Vec<Vec2> {
        let widths = self.samples.iter().map(|(_, words)| SAMPLE + 8.0 + text::width(words, self.size));
        text::rows(widths, self.room(), self.size)
    }

    fn samples_height(&self) -> f64 {
        self.places().last().map_or(0.0, |last| last.y) + self.line_height() + 4.0
    }

    /// Height of the sentence and the space below it.
    fn reading_height(&self) -> f64 {
        let height = text::height(&self.reading, self.room(), text::reading_size_for(self.width));
        if height > 0.0 { height + 8.0 } else { 0.0 }
    }

    pub(super) fn height(&self) -> f64 {
        let captions: f64 =
            self.captions.iter().map(|words| text::height(words, self.room(), self.size) + 4.0).sum();
        2.0 * MARGIN + self.reading_height() + self.ramp_height() + 6.0 + self.samples_height() + captions
    }

    pub(super) fn draw(&self, svg: &mut Svg, top: f64) {
        svg.open("g", &Attributes::new().text("data-part", "legend"));
        let mut y = top + MARGIN;
        let (size, ink) = (text::reading_size_for(self.width), self.theme.palette().ink);
        text::paragraph(svg, &self.reading, Vec2::new(MARGIN, y), self.room(), size, ink);
        y += self.reading_height();
        self.draw_ramp(svg, y);
        y += self.ramp_height() + 6.0;
        let middle = 0.5 * self.line_height();
        for ((sample, words), place) in self.samples.iter().zip(self.places()) {
            let at = Vec2::new(MARGIN + place.x, y + place.y + middle);
            self.draw_sample(svg, sample, at);
            let words_at = Vec2::new(at.x + SAMPLE + 8.0, at.y);
            text::write(svg, words, words_at, self.size, Anchor::Start, self.theme.palette().ink);
        }
        y += self.samples_height();
        for words in &self.captions {
            let corner = Vec2::new(MARGIN, y);
            y = text::paragraph(svg, words, corner, self.room(), self.size, self.theme.palette().ink2) + 4.0;
        }
        svg.close();
    }

    fn draw_ramp(&self, svg: &mut Svg, top: f64) {
        let palette = self.theme.palette();
        let heading = Vec2::new(MARGIN + 24.0, top + 0.5 * self.line_height());
        waves(svg, Vec2::new(MARGIN, heading.y), palette.chalk);
        text::write(svg, "modelled chance, in %", heading, self.size, Anchor::Start, palette.chalk);
        // Half a number stands out on either side.
        let inset = 0.5 * text::width("100", self.size);
        #[allow(clippy::cast_precision_loss)] // five
        let step = (self.room() - 2.0 * inset).min(WIDEST) / BANDS as f64;
        let (left, bar) = (MARGIN + inset, top + self.line_height());
        let numbers = bar + self.size + 4.0 + 0.5 * self.line_height();
        let edges = [0.0].into_iter().chain(CUTS).chain([1.0]);
        #[allow(clippy::cast_precision_loss)]
        for (index, chance) in edges.enumerate() {
            let x = left + step * index as f64;
            if index < BANDS {
                self.draw_band(svg, index, (Vec2::new(x, bar), Vec2::new(step, self.size)));
            }
            let words = number(100.0 * chance);
            text::write(svg, &words, Vec2::new(x, numbers), self.size, Anchor::Middle, palette.ink);
        }
    }

    /// A band as it fills cells.
    fn draw_band(&self, svg: &mut Svg, band: usize, (corner, size): (Vec2, Vec2)) {
        // Cells of one colour need not be told apart; black squares are known by their size.
        let cells = if self.theme == Theme::Paper { (size.x / size.y).round().max(1.0) } else { 1.0 };
        let side = Vec2::new(size.x / cells, size.y);
        let mut at = corner;
        let mut path = String::new();
        while at.x < corner.x + size.x - 0.5 * side.x {
            let (place, extent) = ramp::shape(band, (at, side), self.theme, 0.8);
            let [x, y, w, h] = [place.x, place.y, extent.x, extent.y].map(number);
            let _ = write!(path, "M{x} {y}h{w}v{h}h-{w}z");
            at.x += side.x;
        }
        let fill = ramp::colour(band, self.theme).to_string();
        svg.leaf(
            "path",
            &Attributes::new().text("data-band", &band.to_string()).text("d", &path).text("fill", &fill),
        );
    }

    fn draw_sample(&self, svg: &mut Svg, sample: &Sample, at: Vec2) {
        let palette = self.theme.palette();
        let size = Vec2::new(SAMPLE, self.size);
        let corner = Vec2::new(at.x, at.y - 0.5 * size.y);
        if !matches!(sample, Sample::Line) {
            let cloth = Attributes::new()
                .number("x", corner.x)
                .number("y", corner.y)
                .number("width", size.x)
                .number("height", size.y)
                .text("fill", &palette.cloth_lit.to_string())
                .text("stroke", &palette.edge.to_string())
                .number("stroke-width", 0.8);
            svg.leaf("rect", &cloth);
        }
        match sample {
            Sample::Line => {
                let path = format!("M{} {}h{}", number(at.x), number(at.y), number(SAMPLE));
                line_pair(svg, &path, 1.0, self.theme);
            }
            Sample::Hatched => ramp::hatch(svg, (corner, size), HATCH_PX, self.theme),
            Sample::Bare => {}
        }
    }
}

/// The sign of what is modelled: two waves.
pub(crate) fn waves(svg: &mut Svg, at: Vec2, colour: crate::colour::Rgb) {
    let wave = |y: f64| format!("M{} {}q4 -5 8 0t8 0", number(at.x), number(at.y + y));
    let sign = Attributes::new()
        .text("data-part", "modelled")
        .text("d", &format!("{}{}", wave(-3.0), wave(3.5)))
        .text("fill", "none")
        .text("stroke", &colour.to_string())
        .number("stroke-width", 2.0)
        .text("stroke-linecap", "round");
    svg.leaf("path", &sign);
}
