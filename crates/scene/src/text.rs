//! Lines of text in a picture: how wide they are at most, where they break, how they are written.
//!
//! A picture names fonts and has none, so widths are estimated on the wide side.

use longrail_math::Vec2;

use crate::FONT_STACK;
use crate::colour::Rgb;
use crate::svg::{Attributes, Svg};

/// Height of a line as a multiple of the size of its text.
pub(crate) const LEADING: f64 = 1.35;

/// Size of text in a picture that is `width` pixels wide; smaller text is not read from a phone.
pub(crate) fn size_for(width: f64) -> f64 {
    if width < 260.0 { 12.0 } else { 14.0 }
}

/// Size of the sentence that says what a picture shows.
pub(crate) fn reading_size_for(width: f64) -> f64 {
    if width < 260.0 { 13.0 } else { 17.0 }
}

/// Width of `text` at most, in pixels: the heaviest cut of the project's own font and some on top, for fonts that
/// stand in for it.
pub(crate) fn width(text: &str, size: f64) -> f64 {
    let ems = |character: char| match character {
        ' ' | '.' | ',' | ':' | ';' | '\'' | 'i' | 'l' | 'j' | '(' | ')' | '|' | '!' => 0.35,
        't' | 'f' | 'r' | 'I' | '-' | '/' => 0.43,
        'm' | 'M' | 'W' | '%' | '½' | '¼' | '¾' => 0.97,
        'w' | 'A'..='Z' => 0.75,
        _ => 0.63,
    };
    1.05 * size * text.chars().map(ems).sum::<f64>()
}

/// `text` in lines of at most `room` pixels; a word that is longer has a line of its own.
pub(crate) fn wrapped(text: &str, size: f64, room: f64) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    // A number and its sign stay together.
    let joined = text.replace(" %", "\u{a0}%");
    for word in joined.split(' ').filter(|word| !word.is_empty()) {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if !line.is_empty() && width(&longer, size) > room {
            lines.push(std::mem::replace(&mut line, word.to_owned()));
        } else {
            line = longer;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines.into_iter().map(|line| line.replace('\u{a0}', " ")).collect()
}

/// Where the entries of a legend begin that are so wide, as many in a row as fit.
pub(crate) fn rows(widths: impl Iterator<Item = f64>, room: f64, size: f64) -> Vec<Vec2> {
    let (mut x, mut y) = (0.0, 0.0);
    let mut places = Vec::new();
    for width in widths {
        if x > 0.0 && x + width > room {
            (x, y) = (0.0, y + LEADING * size + 4.0);
        }
        places.push(Vec2::new(x, y));
        x += width + 18.0;
    }
    places
}

/// At which end of the text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// Writes one line whose middle height is at `at`.
pub(crate) fn write(svg: &mut Svg, text: &str, at: Vec2, size: f64, anchor: Anchor, colour: Rgb) {
    let anchor = match anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let place = Attributes::new()
        .number("x", at.x)
        // Figures and capitals are about 0.7 of the size high.
        .number("y", at.y + 0.35 * size)
        .text("text-anchor", anchor)
        .text("font-family", FONT_STACK)
        .number("font-size", size)
        .text("font-weight", "600")
        .text("fill", &colour.to_string());
    svg.words("text", &place, text);
}

/// Writes `text` in lines from `top` down, and returns where they end.
pub(crate) fn paragraph(svg: &mut Svg, text: &str, corner: Vec2, room: f64, size: f64, colour: Rgb) -> f64 {
    let mut y = corner.y;
    for line in wrapped(text, size, room) {
        write(svg, &line, Vec2::new(corner.x, y + 0.5 * LEADING * size), size, Anchor::Start, colour);
        y += LEADING * size;
    }
    y
}

/// Height of [`paragraph`].
pub(crate) fn height(text: &str, room: f64, size: f64) -> f64 {
    // Lines are few.
    #[allow(clippy::cast_precision_loss)]
    let lines = wrapped(text, size, room).len() as f64;
    lines * LEADING * size
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_fill_lines_and_none_is_lost() {
        let text = "From 120 of 540 positions this stroke makes it 50.0 % of the time or more.";
        for room in [60.0, 150.0, 900.0] {
            let lines = wrapped(text, 14.0, room);
            assert_eq!(lines.join(" "), text, "{room}");
            let longest = |line: &&String| line.contains(' ') && !line.starts_with("50.0 %");
            assert!(lines.iter().filter(longest).all(|line| width(line, 14.0) <= room), "{lines:?}");
        }
        assert_eq!(wrapped("  ", 14.0, 100.0), Vec::<String>::new());
    }

    #[test]
    fn a_row_takes_what_fits_and_the_next_begins_on_the_left() {
        let at = |x, y| Vec2::new(x, y);
        let places = rows([100.0, 100.0, 300.0].into_iter(), 250.0, 10.0);
        assert_eq!(places, vec![at(0.0, 0.0), at(118.0, 0.0), at(0.0, 17.5)]);
    }

    #[test]
    fn a_number_is_not_parted_from_its_sign() {
        assert!(wrapped("a b 50 % c", 14.0, 30.0).contains(&"50 %".to_owned()));
    }
}
