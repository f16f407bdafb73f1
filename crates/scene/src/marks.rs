//! Marks on the cloth: where the cue ball meets a ball, where balls stop, touch a rail, land or drop.

use longrail_math::Vec2;
use longrail_physics::table::{PocketId, Rail, Table};

use crate::balls::{circle, disc, outline_weight};
use crate::colour::Rgb;
use crate::frame::Frame;
use crate::goal::Region;
use crate::placement::Wanted;
use crate::svg::{Attributes, Svg};
use crate::table::rhombus;
use crate::tags::{self, Name};
use crate::theme::Theme;

/// Something to be shown on the table besides balls and paths. Places are in metres.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// Where the cue ball stands when it meets an object ball: a dotted circle of true size.
    Ghost {
        /// Centre of the cue ball.
        at: Vec2,
        /// Its radius.
        radius_m: f64,
    },
    /// A touch of a rail: a small sight on the rubber, its tip on the nose.
    Rail {
        /// Centre of the ball, or the point on the nose.
        at: Vec2,
    },
    /// A ball that dropped: it lies in the pocket, filled, because it was made.
    Pocketed {
        /// Index among the balls of the picture.
        ball: usize,
        /// Where its centre crossed the drop edge.
        at: Vec2,
    },
    /// Where a ball that left the bed came down on it: a small cross.
    Landing {
        /// Centre of the ball.
        at: Vec2,
    },
    /// Where a ball left the table: a dashed circle of true size.
    LeftTable {
        /// Index among the balls of the picture.
        ball: usize,
        /// Centre of the ball as it went.
        at: Vec2,
    },
    /// Where a ball is to stop, or to pass: an outline of fine dots, or of dashes.
    Zone {
        /// The part of the table.
        region: Region,
        /// Whether the ball is to pass through it rather than to stop in it.
        passing: bool,
    },
    /// A pocket that a ball is to drop into: a ring round it.
    PocketMeant {
        /// Which.
        pocket: PocketId,
    },
    /// A rail to be touched: its nose is drawn heavy.
    RailMeant {
        /// Which.
        rail: Rail,
    },
    /// A rail not to be touched: its nose is dashed and has the colour of caution.
    RailForbidden {
        /// Which.
        rail: Rail,
    },
    /// How far a ball lies from a rail: a line from the nose to the ball, square to the rail, with a figure beside it.
    /// Nothing is drawn where the ball touches the rail.
    Dimension {
        /// Centre of the ball.
        at: Vec2,
        /// From which rail.
        rail: Rail,
        /// The figure.
        label: String,
    },
}

/// Dots of even spacing round a circle: dash and gap, starting from about the wanted period.
pub(crate) fn even_dots(radius: f64, dot: f64, period: f64) -> [f64; 2] {
    let around = std::f64::consts::TAU * radius;
    let count = (around / period).round().max(6.0);
    let step = around / count;
    let dot = dot.min(0.6 * step);
    [dot, step - dot]
}

pub(crate) fn open_circle(at: Vec2, radius: f64, colour: Rgb, width: f64) -> Attributes {
    circle(at, radius).text("fill", "none").text("stroke", &colour.to_string()).number("stroke-width", width)
}

/// Draws the marks that lie over the paths, without the balls that dropped.
pub(crate) fn draw(svg: &mut Svg, marks: &[Mark], radii: &[f64], table: &Table, frame: &Frame, theme: Theme) {
    let (palette, weight) = (theme.palette(), frame.weight());
    for mark in marks {
        match mark {
            Mark::Ghost { at, radius_m } if at.is_finite() => {
                let radius = radius_m * frame.scale();
                let ghost = open_circle(frame.to_picture(*at), radius, palette.mark, 1.1 * weight)
                    .text("data-part", "ghost")
                    .numbers("stroke-dasharray", &even_dots(radius, 1.2 * weight, 3.0 * weight));
                svg.leaf("circle", &ghost);
            }
            Mark::Rail { at } if at.is_finite() => rail_touch(svg, *at, table, frame, palette.mark),
            Mark::Landing { at } if at.is_finite() => {
                let (centre, arm) = (frame.to_picture(*at), 3.2 * weight);
                let cross = format!(
                    "M{} {}l{arm2} {arm2}m0 -{arm2}l-{arm2} {arm2}",
                    crate::svg::number(centre.x - arm),
                    crate::svg::number(centre.y - arm),
                    arm2 = crate::svg::number(2.0 * arm),
                );
                let lines = Attributes::new()
                    .text("d", &cross)
                    .text("data-part", "landing")
                    .text("fill", "none")
                    .text("stroke", &palette.mark.to_string())
                    .number("stroke-width", 1.2 * weight);
                svg.leaf("path", &lines);
            }
            Mark::LeftTable { ball, at } if at.is_finite() => {
                let Some(radius) = radii.get(*ball) else { continue };
                left_table(svg, frame.to_picture(*at), *radius, frame, theme);
            }
            _ => {}
        }
    }
}

/// A dashed circle, kept whole inside the picture, on a rim that sets it off from the wood.
fn left_table(svg: &mut Svg, at: Vec2, radius: f64, frame: &Frame, theme: Theme) {
    let (palette, weight) = (theme.palette(), frame.weight());
    let (width, height) = frame.size();
    let reach = radius + 2.0 * weight;
    let within = |value: f64, end: f64| value.min(end - reach).max(reach);
    let centre = Vec2::new(within(at.x, width), within(at.y, height));
    svg.leaf("circle", &open_circle(centre, radius, palette.wall, 3.2 * weight));
    let gone = open_circle(centre, radius, palette.coral, 1.4 * weight)
        .text("data-part", "left-table")
        .numbers("stroke-dasharray", &even_dots(radius, 3.0 * weight, 5.0 * weight));
    svg.leaf("circle", &gone);
}

/// A rhombus on the rubber of the nearest rail, its tip on the nose. A touch inside a pocket has none:
/// there the line says enough.
fn rail_touch(svg: &mut Svg, at: Vec2, table: &Table, frame: &Frame, colour: Rgb) {
    let (length, width) = (table.spec().length_m, table.spec().width_m);
    let distances =
        [(Rail::Head, at.x), (Rail::Foot, length - at.x), (Rail::Right, at.y), (Rail::Left, width - at.y)];
    let Some((rail, distance)) = distances.into_iter().min_by(|a, b| a.1.total_cmp(&b.1)) else { return };
    let nose = at + rail.outward() * distance;
    let outside = |value: f64, end: f64| value < 0.0 || value > end;
    if outside(nose.x, length) || outside(nose.y, width) {
        return;
    }
    let half = (0.011 * frame.scale()).max(2.0);
    let axis = frame.turned(rail.outward());
    let centre = frame.to_picture(nose) + axis * half;
    let touch = rhombus(centre, axis, half).text("data-part", "rail-touch").text("fill", &colour.to_string());
    svg.leaf("polygon", &touch);
}

/// An open circle of true size where a ball comes to rest.
pub(crate) fn draw_rest(
    svg: &mut Svg,
    at: Vec2,
    radius: f64,
    colour: Rgb,
    casing: Option<Rgb>,
    frame: &Frame,
) {
    let weight = frame.weight();
    if let Some(casing) = casing {
        svg.leaf("circle", &open_circle(at, radius, casing, 2.8 * weight));
    }
    svg.leaf("circle", &open_circle(at, radius, colour, 1.4 * weight).text("data-part", "rest"));
}

/// Draws the balls that dropped, each lying in its hole; those in the same hole lie beside each other.
pub(crate) fn draw_pocketed(
    svg: &mut Svg,
    marks: &[Mark],
    names: &[Name],
    table: &Table,
    frame: &Frame,
    theme: Theme,
) {
    let mut fallen = [0_u8; 6];
    for mark in marks {
        let Mark::Pocketed { ball, at } = mark else { continue };
        let Some(name) = names.get(*ball) else { continue };
        let radius_m = name.wanted.radius / frame.scale();
        let distance = |centre: Vec2| (centre - *at).norm();
        let nearest = table
            .pockets()
            .iter()
            .zip(&mut fallen)
            .min_by(|a, b| distance(a.0.drop_centre).total_cmp(&distance(b.0.drop_centre)));
        let Some((pocket, count)) = nearest else { continue };
        // As far from the middle as the hole lets it lie, and a third of a turn on for each ball before.
        let room = (pocket.drop_radius - radius_m - outline_weight(frame) / frame.scale()).max(0.0);
        let from_middle = *at - pocket.drop_centre;
        let length = from_middle.norm();
        let direction = if length > 0.0 && length.is_finite() { from_middle / length } else { -pocket.axis };
        let turn = Vec2::from_angle(f64::from(*count) * std::f64::consts::TAU / 3.0);
        let turned = Vec2::new(
            direction.x * turn.x - direction.y * turn.y,
            direction.x * turn.y + direction.y * turn.x,
        );
        *count = count.saturating_add(1);
        let centre = frame.to_picture(pocket.drop_centre + turned * room);
        svg.open("g", &Attributes::new().text("data-part", "pocketed"));
        let fallen = Name { wanted: Wanted { at: centre, ..name.wanted }, ..name.clone() };
        disc(svg, frame, theme, fallen.look, centre, fallen.wanted.radius);
        tags::draw_in_ball(svg, &fallen, theme);
        svg.close();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dots_close_the_circle_without_a_seam() {
        for radius in [3.2, 7.0, 60.0] {
            let [dot, gap] = even_dots(radius, 1.2, 3.0);
            let count = std::f64::consts::TAU * radius / (dot + gap);
            assert!((count - count.round()).abs() < 1e-9 && gap > 0.0, "{radius}");
        }
    }
}
