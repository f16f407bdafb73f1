//! Colours of chances: one hue in five steps of even lightness, so that the order needs no colour vision.

#![allow(clippy::unreadable_literal, reason = "colours read best as style sheets write them")]

use std::fmt::Write as _;

use longrail_math::Vec2;

use crate::colour::Rgb;
use crate::svg::{Attributes, Svg};
use crate::theme::Theme;

/// Chances between which the colour changes, of the visual language.
pub(crate) const CUTS: [f64; 4] = [0.20, 0.35, 0.50, 0.75];
/// Number of colours.
pub(crate) const BANDS: usize = CUTS.len() + 1;

/// From the darkest up: in a dark room what is likely is lit. Lightness L* 42 to 91, hue of modelled things.
const DARK: [Rgb; BANDS] =
    [Rgb::hex(0x4c667d), Rgb::hex(0x5a86a9), Rgb::hex(0x6ca6d4), Rgb::hex(0x93c6f3), Rgb::hex(0xd4e8fb)];
/// From the lightest down, on bright cloth. Lightness L* 78 to 30.
const LIGHT: [Rgb; BANDS] =
    [Rgb::hex(0xb7c2d3), Rgb::hex(0x8ba5ca), Rgb::hex(0x5b86bb), Rgb::hex(0x1969a8), Rgb::hex(0x004886)];
/// Side of the black square in a cell of paper, as a share of the cell's: its area grows evenly, 0.08 to 0.92.
const SIDES: [f64; BANDS] = [0.28, 0.54, 0.71, 0.84, 0.96];

/// The band of a chance, counted from the least.
pub(crate) fn band(chance: f64) -> usize {
    CUTS.iter().filter(|cut| chance >= **cut).count()
}

/// The colour of a band; on paper all are black and differ by size.
pub(crate) fn colour(band: usize, theme: Theme) -> Rgb {
    let ramp = match theme {
        Theme::Dark => &DARK,
        Theme::Light => &LIGHT,
        Theme::Paper => return theme.palette().ink,
    };
    ramp[band.min(BANDS - 1)]
}

/// The square that stands for a band in a cell: its corner and size.
pub(crate) fn shape(band: usize, (corner, size): (Vec2, Vec2), theme: Theme, gap: f64) -> (Vec2, Vec2) {
    let share = if theme == Theme::Paper { SIDES[band.min(BANDS - 1)] } else { 1.0 };
    let inner = Vec2::new((share * size.x - gap).max(0.3), (share * size.y - gap).max(0.3));
    (corner + (size - inner) * 0.5, inner)
}

/// Lines at 45° through a rectangle: no room for the ball.
pub(crate) fn hatch(svg: &mut Svg, (corner, size): (Vec2, Vec2), step: f64, theme: Theme) {
    let mut path = String::new();
    let number = crate::svg::number;
    // Lines x + y = c in steps, each cut to the rectangle. Multiples of the step, so that cells join.
    let (least, most) = (corner.x + corner.y, corner.x + corner.y + size.x + size.y);
    let mut c = (least / step).ceil() * step;
    while c < most && size.x > 0.0 && size.y > 0.0 {
        let x0 = (c - corner.y - size.y).max(corner.x);
        let x1 = (c - corner.y).min(corner.x + size.x);
        let _ = write!(path, "M{} {}L{} {}", number(x0), number(c - x0), number(x1), number(c - x1));
        c += step;
    }
    if path.is_empty() {
        return;
    }
    let lines = Attributes::new()
        .text("data-part", "no-room")
        .text("d", &path)
        .text("fill", "none")
        .text("stroke", &theme.palette().mark.to_string())
        .number("stroke-width", 0.9);
    svg.leaf("path", &lines);
}

#[cfg(test)]
mod tests {
    use longrail_math::fx;

    use super::*;

    /// CIE lightness L* of a colour (CIE 15, from relative luminance).
    fn lightness(colour: Rgb) -> f64 {
        116.0 * fx::pow(colour.luminance(), 1.0 / 3.0) - 16.0
    }

    #[test]
    fn every_step_of_the_ramp_is_seen_without_colour_vision() {
        for (ramp, sign) in [(&DARK, 1.0), (&LIGHT, -1.0)] {
            for pair in ramp.windows(2) {
                let step = sign * (lightness(pair[1]) - lightness(pair[0]));
                assert!((10.5..=14.5).contains(&step), "{} to {}: {step}", pair[0], pair[1]);
            }
        }
        assert!(SIDES.windows(2).all(|pair| pair[1] * pair[1] - pair[0] * pair[0] > 0.15));
    }

    #[test]
    fn the_least_band_stands_out_from_the_cloth() {
        for theme in [Theme::Dark, Theme::Light] {
            let cloth = lightness(theme.palette().cloth_lit);
            assert!((lightness(colour(0, theme)) - cloth).abs() > 6.0, "{}", theme.name());
        }
    }

    #[test]
    fn the_line_or_its_casing_stands_out_from_every_band() {
        for theme in Theme::ALL {
            let palette = theme.palette();
            for band in 0..BANDS {
                let ground = colour(band, theme);
                let line = palette.mark.contrast(ground).max(crate::map::casing(theme).contrast(ground));
                assert!(line >= 3.0, "band {band}, {}: {line:.2}", theme.name());
            }
        }
    }

    #[test]
    fn a_chance_has_the_band_whose_numbers_stand_in_the_legend() {
        let pairs = [(0.0, 0), (0.199, 0), (0.2, 1), (0.49, 2), (0.5, 3), (0.75, 4), (1.0, 4)];
        for (chance, expected) in pairs {
            assert_eq!(band(chance), expected, "{chance}");
        }
    }
}
