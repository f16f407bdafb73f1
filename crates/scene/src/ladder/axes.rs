//! Where rungs and per cents lie in the chart, and the lines and numbers that say so.

use longrail_math::Vec2;

use super::LadderChart;
use crate::colour::Rgb;
use crate::frame::Style;
use crate::map::percent;
use crate::svg::{Attributes, Svg};
use crate::text::{self, Anchor};

/// Where the axes lie.
pub(super) struct Axes {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
    pub(super) rungs: usize,
    pub(super) size: f64,
}

impl Axes {
    /// Small whole numbers.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn x(&self, rung: f64) -> f64 {
        let inset = 14.0;
        let steps = self.rungs.saturating_sub(1).max(1) as f64;
        self.left + inset + rung / steps * (self.right - self.left - 2.0 * inset)
    }

    pub(super) fn y(&self, chance: f64) -> f64 {
        let chance = if chance.is_finite() { chance.clamp(0.0, 1.0) } else { 0.0 };
        self.bottom - chance * (self.bottom - self.top)
    }

    #[allow(clippy::cast_precision_loss)]
    pub(super) fn at(&self, rung: usize, chance: f64) -> Vec2 {
        Vec2::new(self.x(rung as f64), self.y(chance))
    }
}

/// Hairlines with their per cent, and the dotted line of the target.
pub(super) fn draw(svg: &mut Svg, chart: &LadderChart, axes: &Axes, style: &Style) {
    let palette = style.theme.palette();
    let target = axes.y(chart.target);
    for chance in [0.0, 0.25, 0.5, 0.75, 1.0] {
        let y = axes.y(chance);
        // Between the dots of the target's own line it would look like a second one.
        if (y - target).abs() >= 2.0 {
            svg.leaf("line", &level(axes, y, palette.line, 1.0));
        }
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

fn level(axes: &Axes, y: f64, colour: Rgb, width: f64) -> Attributes {
    Attributes::new()
        .number("x1", axes.left)
        .number("x2", axes.right)
        .number("y1", y)
        .number("y2", y)
        .text("stroke", &colour.to_string())
        .number("stroke-width", width)
}
