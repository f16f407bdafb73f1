//! What was counted on the rungs: a filled disc at the rate, on a bar with ends for its range.

use longrail_math::Vec2;

use super::axes::Axes;
use super::{Counted, LadderChart};
use crate::frame::Style;
use crate::svg::{Attributes, Svg, number};

/// Radius of a disc, and half the width of a bar's end.
const RADIUS: f64 = 5.0;
/// Below so many attempts only the bar is drawn.
const FEWEST: u32 = 5;

pub(super) fn draw(svg: &mut Svg, chart: &LadderChart, axes: &Axes, style: &Style) {
    for counted in chart.counted.iter().filter(|counted| counted.is_sound()) {
        let x = axes.x(counted.rung);
        let rate = f64::from(counted.made) / f64::from(counted.tried.max(1));
        let disc = (counted.tried >= FEWEST).then(|| axes.y(rate));
        mark(svg, x, (axes.y(counted.low), axes.y(counted.high)), disc, style);
    }
}

/// A bar from one height to another, with the disc between.
pub(super) fn mark(svg: &mut Svg, x: f64, (low, high): (f64, f64), disc: Option<f64>, style: &Style) {
    let palette = style.theme.palette();
    let end = |y: f64| format!("M{} {}h{}", number(x - RADIUS), number(y), number(2.0 * RADIUS));
    let path = format!("M{} {}V{}{}{}", number(x), number(low), number(high), end(low), end(high));
    let bar = Attributes::new()
        .text("data-part", "counted")
        .text("d", &path)
        .text("fill", "none")
        .text("stroke", &palette.ink.to_string())
        .number("stroke-width", 1.8);
    svg.leaf("path", &bar);
    if let Some(y) = disc {
        let at = Vec2::new(x, y);
        let disc = Attributes::new()
            .number("cx", at.x)
            .number("cy", at.y)
            .number("r", RADIUS)
            .text("fill", &palette.ink.to_string())
            .text("stroke", &palette.room.to_string())
            .number("stroke-width", 1.2);
        svg.leaf("circle", &disc);
    }
}

impl Counted {
    /// Whether its numbers can be drawn.
    pub(super) fn is_sound(&self) -> bool {
        [self.rung, self.low, self.high].iter().all(|value| value.is_finite()) && self.made <= self.tried
    }
}
