//! Colours and the contrast between them.

#![allow(clippy::unreadable_literal, reason = "colours read best as style sheets write them")]

use std::fmt;

use longrail_math::fx;

/// A colour of the sRGB space, eight bits a channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rgb(pub u8, pub u8, pub u8);

impl Rgb {
    /// The colour written `#rrggbb` as a number, so that colours read as they do in style sheets.
    pub const fn hex(value: u32) -> Self {
        let [_, red, green, blue] = value.to_be_bytes();
        Self(red, green, blue)
    }

    /// Relative luminance, 0 to 1, as WCAG 2.2 defines it.
    pub fn luminance(self) -> f64 {
        let linear = |channel: u8| {
            let value = f64::from(channel) / 255.0;
            if value <= 0.040_45 { value / 12.92 } else { fx::pow((value + 0.055) / 1.055, 2.4) }
        };
        0.2126 * linear(self.0) + 0.7152 * linear(self.1) + 0.0722 * linear(self.2)
    }

    /// Contrast ratio to another colour, 1 to 21, as WCAG 2.2 defines it.
    pub fn contrast(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    /// This colour, moved by tenths towards `other` until it stands out from `ground` by `ratio`.
    ///
    /// Thin lines need more contrast than discs do; a maroon or black ball would else leave a path that
    /// nobody sees.
    #[must_use]
    pub fn lifted(self, other: Self, ground: Self, ratio: f64) -> Self {
        (0..=10)
            .map(|tenths| self.mixed(other, tenths))
            .find(|colour| colour.contrast(ground) >= ratio)
            .unwrap_or(other)
    }

    fn mixed(self, other: Self, tenths: u16) -> Self {
        let mix = |a: u8, b: u8| {
            let sum = u16::from(a) * (10 - tenths) + u16::from(b) * tenths;
            u8::try_from(sum / 10).unwrap_or(u8::MAX)
        };
        Self(mix(self.0, other.0), mix(self.1, other.1), mix(self.2, other.2))
    }
}

impl fmt::Display for Rgb {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn black_and_white_are_as_far_apart_as_colours_get() {
        let (black, white) = (Rgb::hex(0), Rgb::hex(0x00ff_ffff));
        assert!((black.contrast(white) - 21.0).abs() < 1e-9);
        assert!((white.contrast(white) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_colour_is_written_as_style_sheets_write_it() {
        assert_eq!(Rgb::hex(0x0d_13_02).to_string(), "#0d1302");
    }

    #[test]
    fn black_is_lifted_off_black() {
        let lifted = Rgb::hex(0x11_11_11).lifted(Rgb::hex(0xf4_ef_e4), Rgb::hex(0x0d_13_12), 3.0);
        assert!(lifted.contrast(Rgb::hex(0x0d_13_12)) >= 3.0);
    }
}
