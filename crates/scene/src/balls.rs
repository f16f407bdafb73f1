//! Balls as discs of their true size, in the trade's colours.

#![allow(clippy::unreadable_literal, reason = "colours read best as style sheets write them")]

use longrail_math::Vec2;

use crate::colour::Rgb;
use crate::frame::Frame;
use crate::svg::{Attributes, Svg, number};
use crate::theme::Theme;

/// The white of a cue ball and of a stripe's body: ivory, to glare less in a dark room.
pub(crate) const IVORY: Rgb = Rgb::hex(0xfbf7ec);
/// White behind a number.
pub(crate) const WHITE: Rgb = Rgb::hex(0xffffff);
/// Figures on white.
pub(crate) const FIGURE: Rgb = Rgb::hex(0x111111);
/// A ball whose id is not one of the trade's.
const NEUTRAL: Rgb = Rgb::hex(0x8f9a95);
/// Half the width of a stripe's band as a part of the ball's radius.
const BAND: f64 = 0.56;

/// Colour of the solid balls 1 to 8; a stripe has the colour of the solid eight below it.
const COLOURS: [Rgb; 8] = [
    Rgb::hex(0xf2c02c),
    Rgb::hex(0x2f63c0),
    Rgb::hex(0xd8392b),
    Rgb::hex(0x6f45a8),
    Rgb::hex(0xee7f22),
    Rgb::hex(0x1e8a4c),
    Rgb::hex(0x8a2f2b),
    Rgb::hex(0x111111),
];

/// The trade's colour of ball `number`, 1 to 15; a stripe's is that of its band. `None` for any other.
pub fn trade_colour(number: u8) -> Option<Rgb> {
    let index = match number {
        1..=8 => number - 1,
        9..=15 => number - 9,
        _ => return None,
    };
    COLOURS.get(usize::from(index)).copied()
}

/// How a ball looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Look {
    /// The cue ball, the one ball without a number.
    Cue,
    /// One colour all over.
    Solid(Rgb),
    /// A coloured band on a white body.
    Stripe(Rgb),
    /// A ball of no known set.
    Neutral,
}

impl Look {
    /// The look of the ball called `id`: `cue`, `1` to `15`, or anything else.
    pub(crate) fn of(id: &str) -> Self {
        if id == "cue" {
            return Self::Cue;
        }
        // "01" and "+1" are names of something else.
        match id.parse::<u8>() {
            Ok(number) if number.to_string() == id => match (number, trade_colour(number)) {
                (1..=8, Some(colour)) => Self::Solid(colour),
                (_, Some(colour)) => Self::Stripe(colour),
                (_, None) => Self::Neutral,
            },
            _ => Self::Neutral,
        }
    }

    /// The ball's one colour in a theme: of its disc, its ring and its path. Paper knows black only.
    pub(crate) fn colour(self, theme: Theme) -> Rgb {
        match (self, theme) {
            (Self::Cue, Theme::Paper) => WHITE,
            (Self::Cue, _) => IVORY,
            (_, Theme::Paper) => theme.palette().mark,
            (Self::Solid(colour) | Self::Stripe(colour), _) => colour,
            (Self::Neutral, _) => NEUTRAL,
        }
    }

    /// The body of the ball: its colour, or the white under a stripe.
    pub(crate) fn body(self, theme: Theme) -> Rgb {
        match (self, theme) {
            (Self::Stripe(_), Theme::Paper) => WHITE,
            (Self::Stripe(_), _) => IVORY,
            _ => self.colour(theme),
        }
    }

    pub(crate) fn is_stripe(self) -> bool {
        matches!(self, Self::Stripe(_))
    }
}

/// What is written on a ball or its tag: nothing on the cue ball; the first two characters of an id, or of several words their
/// first letters: "b1" for "blocker 1".
pub(crate) fn label(id: &str) -> String {
    if id == "cue" {
        String::new()
    } else if id.contains(' ') {
        id.split(' ').filter_map(|word| word.chars().next()).take(2).collect()
    } else {
        id.chars().take(2).collect()
    }
}

/// Attributes of a circle.
pub(crate) fn circle(at: Vec2, radius: f64) -> Attributes {
    Attributes::new().number("cx", at.x).number("cy", at.y).number("r", radius)
}

/// Draws a disc of true size with an outline whose middle is the ball's edge.
pub(crate) fn disc(svg: &mut Svg, frame: &Frame, theme: Theme, look: Look, at: Vec2, radius: f64) {
    let palette = theme.palette();
    let heavy = theme == Theme::Paper && look == Look::Cue;
    // A copier would else leave the open cue ball and the circle where it stops alike.
    let outline = outline_weight(frame) * if heavy { 1.9 } else { 1.0 };
    svg.leaf(
        "circle",
        &circle(at, radius).text("data-part", "ball").text("fill", &look.body(theme).to_string()),
    );
    if look.is_stripe() {
        svg.leaf("path", &band(at, radius).text("fill", &look.colour(theme).to_string()));
    }
    // On paper a black ball in a rack or in a hole is set off by white, any other by black.
    let black_on_paper = theme == Theme::Paper && look.body(theme) == palette.mark;
    let colour = if black_on_paper { WHITE } else { palette.mark };
    let rim = circle(at, radius)
        .text("data-part", "outline")
        .text("fill", "none")
        .text("stroke", &colour.to_string())
        .number("stroke-width", outline);
    svg.leaf("circle", &rim);
}

pub(crate) fn outline_weight(frame: &Frame) -> f64 {
    0.9 * frame.weight()
}

/// The band of a stripe: the disc without the two caps above and below.
fn band(at: Vec2, radius: f64) -> Attributes {
    let height = BAND * radius;
    let half = (radius * radius - height * height).sqrt();
    let [left, right, up, down, r] =
        [at.x - half, at.x + half, at.y - height, at.y + height, radius].map(number);
    Attributes::new().text(
        "d",
        &format!("M{left} {up}H{right}A{r} {r} 0 0 1 {right} {down}H{left}A{r} {r} 0 0 1 {left} {up}Z"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_of_the_trade_have_their_looks_and_others_are_neutral() {
        assert_eq!(Look::of("cue"), Look::Cue);
        assert_eq!(Look::of("1"), Look::Solid(COLOURS[0]));
        assert_eq!(Look::of("8"), Look::Solid(COLOURS[7]));
        assert_eq!(Look::of("9"), Look::Stripe(COLOURS[0]));
        assert_eq!(Look::of("15"), Look::Stripe(COLOURS[6]));
        for id in ["0", "16", "01", "+1", "Cue", "", "red", "256"] {
            assert_eq!(Look::of(id), Look::Neutral, "{id}");
        }
    }

    #[test]
    fn a_label_is_a_number_or_two_characters() {
        assert_eq!(label("cue"), "");
        assert_eq!(label("15"), "15");
        assert_eq!(label("object"), "ob");
        assert_eq!(label("é<ß"), "é<");
    }

    #[test]
    fn there_are_fifteen_numbered_balls() {
        assert_eq!((0..=255).filter(|number| trade_colour(*number).is_some()).count(), 15);
    }
}
