//! Lines of the balls' courses: told apart by pattern, so that no path depends on colour.

use longrail_math::Vec2;

use crate::balls::{IVORY, Look};
use crate::colour::Rgb;
use crate::frame::Frame;
use crate::geometry::Segment;
use crate::svg::{Attributes, Svg, number};
use crate::theme::Theme;
use crate::tracks::{Stretch, Track};

/// Clear cloth on each side of a line that passes over another, at weight 1.
pub(crate) const CLEARANCE: f64 = 1.2;
/// Width of a flight as a part of the same ball's width on the bed.
const FLIGHT: f64 = 0.6;
/// Contrast that a coloured line has against its casing: the first object ball's, then the finer ones'.
const LEAST_CONTRAST: [f64; 2] = [4.0, 5.5];

/// Dashes of a ball in flight.
const FLYING: [f64; 2] = [1.2, 3.2];

/// How one ball's course is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pen {
    pub(crate) width: f64,
    dashes: &'static [f64],
    pub(crate) colour: Rgb,
    casing: Option<Rgb>,
    /// How much casing shows on each side.
    rim: f64,
    weight: f64,
    arrows: bool,
}

impl Pen {
    /// The pen of the cue ball (`order` is `None`) or of the object ball that moves `order`-th, from 0.
    pub(crate) fn new(order: Option<usize>, look: Look, theme: Theme, frame: &Frame) -> Self {
        let (palette, weight) = (theme.palette(), frame.weight());
        let Some(order) = order else {
            let width = 2.2 * weight;
            return Self {
                width,
                dashes: &[],
                colour: palette.mark,
                casing: None,
                rim: 0.0,
                weight,
                arrows: true,
            };
        };
        let (width, dashes): (f64, &'static [f64]) = match order {
            0 => (2.4, &[7.0, 5.5]),
            1 => (2.0, &[9.0, 4.0, 1.5, 4.0]),
            _ => (1.9, &[2.0, 4.4]),
        };
        // In daylight a dark rim is the strongest line of the picture, so it is kept finer there.
        let rim = if theme == Theme::Light { 0.55 } else { 0.9 } * if order < 2 { 1.0 } else { 0.75 };
        let on_paper = theme == Theme::Paper;
        let colour = look.colour(theme);
        let lifted = if on_paper {
            palette.mark
        } else {
            colour.lifted(IVORY, palette.ring, LEAST_CONTRAST[order.min(1)])
        };
        Self {
            width: width * weight,
            dashes,
            colour: lifted,
            casing: (!on_paper).then_some(palette.ring),
            rim: rim * weight,
            weight,
            arrows: false,
        }
    }

    /// What lies under the line to set it off from the cloth.
    pub(crate) fn casing(&self) -> Option<Rgb> {
        self.casing
    }

    fn width_of(&self, flying: bool) -> f64 {
        if flying { self.width * FLIGHT } else { self.width }
    }

    /// Draws what is visible of a track.
    pub(crate) fn draw(&self, svg: &mut Svg, track: &Track, id: &str) {
        let pieces = track.pieces();
        if pieces.is_empty() {
            return;
        }
        let group = Attributes::new()
            .text("data-part", "path")
            .text("data-ball", id)
            .text("fill", "none")
            .text("stroke-linejoin", "round");
        svg.open("g", &group);
        if let Some(casing) = self.casing {
            for piece in &pieces {
                let rim = if piece.flying { FLIGHT * self.rim } else { self.rim };
                self.stroke(svg, track, piece, casing, rim);
            }
        }
        for piece in &pieces {
            self.stroke(svg, track, piece, self.colour, 0.0);
        }
        svg.close();
    }

    /// One piece, `grown` on every side: a casing is as much longer than its dash as it is wider.
    fn stroke(&self, svg: &mut Svg, track: &Track, piece: &Stretch, colour: Rgb, grown: f64) {
        let mut line = Attributes::new()
            .text("d", &polyline(&track.points_of(piece)))
            .text("stroke", &colour.to_string())
            .number("stroke-width", self.width_of(piece.flying) + 2.0 * grown);
        let dashes = if piece.flying { &FLYING[..] } else { self.dashes };
        if !dashes.is_empty() {
            let scaled: Vec<f64> = dashes
                .iter()
                .enumerate()
                .map(|(index, part)| part * self.weight + if index % 2 == 0 { 2.0 } else { -2.0 } * grown)
                .collect();
            let period: f64 = scaled.iter().sum();
            // Gaps cut a line without moving its dashes.
            let offset = (piece.from + grown) % period;
            line = line.numbers("stroke-dasharray", &scaled);
            if offset > 0.0 {
                line = line.number("stroke-dashoffset", offset);
            }
        }
        svg.leaf("path", &line);
    }

    /// Draws an arrow on each leg of the cue ball that is long enough, as near its middle as it is clear
    /// of `discs` and of other lines.
    pub(crate) fn draw_arrows(&self, svg: &mut Svg, track: &Track, discs: &[(Vec2, f64)], ground: Rgb) {
        if !self.arrows {
            return;
        }
        let size = 4.2 * self.width;
        for leg in track.legs.iter().filter(|leg| leg.to - leg.from > 3.5 * size) {
            let clear = |at: f64| {
                let off_lines = track.crossings.iter().all(|crossing| (crossing - at).abs() > size);
                let off_discs = track.at(at).is_some_and(|(point, _)| {
                    discs.iter().all(|(centre, radius)| (point - *centre).norm() > radius + 0.7 * size)
                });
                off_lines && off_discs
            };
            let middle = |part: f64| leg.from + (leg.to - leg.from) * part;
            let places = [0.5, 0.57, 0.43, 0.64, 0.36, 0.72, 0.28].map(middle);
            let at = places.into_iter().find(|at| clear(*at)).unwrap_or(places[0]);
            let Some((tip, direction)) = track.at(at + size / 2.0) else { continue };
            let back = tip - direction * size;
            let side = direction.turned_left() * (0.4 * size);
            let notch = tip - direction * (0.85 * size);
            let head = Attributes::new()
                .text("d", &format!("{}Z", polyline(&[tip, back + side, notch, back - side])))
                .text("data-part", "arrow")
                .text("fill", &self.colour.to_string())
                .text("stroke", &ground.to_string())
                .number("stroke-width", 0.8 * self.weight)
                .text("paint-order", "stroke");
            svg.leaf("path", &head);
        }
    }
}

fn polyline(points: &[Vec2]) -> String {
    let mut text = String::new();
    for (index, point) in points.iter().enumerate() {
        text.push(if index == 0 { 'M' } else { 'L' });
        text.push_str(&number(point.x));
        text.push(' ');
        text.push_str(&number(point.y));
    }
    text
}

/// What tags keep clear of: the segments of a track that are drawn.
pub(crate) fn visible_segments(track: &Track) -> Vec<Segment> {
    track
        .pieces()
        .iter()
        .flat_map(|piece| {
            let points = track.points_of(piece);
            points.windows(2).map(|pair| Segment::new(pair[0], pair[1])).collect::<Vec<_>>()
        })
        .collect()
}
