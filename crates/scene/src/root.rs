//! The outermost element of a picture, with its name and its sentence for whoever hears it.

use crate::colour::Rgb;
use crate::frame::Style;
use crate::svg::{Attributes, Svg, number};

/// Opens the picture. Only one that shows a table says how it lies.
pub(crate) fn open(
    svg: &mut Svg,
    (width, height): (f64, f64),
    style: &Style,
    has_table: bool,
    title: &str,
    sentence: &str,
) {
    let root = Attributes::new()
        .text("xmlns", "http://www.w3.org/2000/svg")
        .text("viewBox", &format!("0 0 {} {}", number(width), number(height)))
        .number("width", width)
        .number("height", height)
        .text("role", "img")
        .text("data-theme", style.theme.name());
    let root = if has_table { root.text("data-lie", style.lie.name()) } else { root };
    svg.open("svg", &root);
    svg.words("title", &Attributes::new(), title);
    svg.words("desc", &Attributes::new(), sentence);
}

/// Fills the whole picture: text needs a ground of its own.
pub(crate) fn ground(svg: &mut Svg, (width, height): (f64, f64), colour: Rgb) {
    let ground = Attributes::new()
        .text("data-part", "ground")
        .number("width", width)
        .number("height", height)
        .text("fill", &colour.to_string());
    svg.leaf("rect", &ground);
}
