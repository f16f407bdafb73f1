//! What a shot is for: zones to stop in or to pass, the pocket meant, rails to touch and to avoid.

use longrail_math::Vec2;
use longrail_physics::table::{Rail, Table};

use crate::balls::circle;
use crate::frame::Frame;
use crate::marks::{Mark, even_dots, open_circle};
use crate::svg::{Attributes, Svg, number};
use crate::table::cushion_outlines;
use crate::theme::Theme;

/// A part of the table, in metres.
#[derive(Clone, Debug, PartialEq)]
pub enum Region {
    /// A circle.
    Circle {
        /// Its centre.
        at: Vec2,
        /// Its radius.
        radius_m: f64,
    },
    /// A polygon.
    Polygon {
        /// Its corners in order.
        corners: Vec<Vec2>,
    },
}

impl Region {
    fn is_known(&self) -> bool {
        match self {
            Self::Circle { at, radius_m } => at.is_finite() && radius_m.is_finite(),
            Self::Polygon { corners } => corners.len() > 1 && corners.iter().all(|corner| corner.is_finite()),
        }
    }
}

/// Distance of the ring from the rim of its pocket, in metres.
const RING_M: f64 = 0.010;

/// Rings round the pockets that are meant, to be drawn under the holes and the cushions.
pub(crate) fn draw_pockets(svg: &mut Svg, marks: &[Mark], table: &Table, frame: &Frame, theme: Theme) {
    for mark in marks {
        let Mark::PocketMeant { pocket } = mark else { continue };
        let pocket = table.pocket(*pocket);
        let radius = (pocket.drop_radius + RING_M) * frame.scale();
        let ring = circle(frame.to_picture(pocket.drop_centre), radius)
            .text("data-part", "pocket-meant")
            .text("data-pocket", pocket.id.name())
            .text("fill", "none")
            .text("stroke", &theme.palette().sight.to_string())
            .number("stroke-width", 2.4 * frame.weight());
        svg.leaf("circle", &ring);
    }
}

/// Zones and rails, which lie under balls and paths.
pub(crate) fn draw(svg: &mut Svg, marks: &[Mark], table: &Table, frame: &Frame, theme: Theme) {
    for mark in marks {
        match mark {
            Mark::Zone { region, passing } if region.is_known() => zone(svg, region, *passing, frame, theme),
            Mark::RailMeant { rail } => nose(svg, *rail, false, table, frame, theme),
            Mark::RailForbidden { rail } => nose(svg, *rail, true, table, frame, theme),
            _ => {}
        }
    }
}

fn zone(svg: &mut Svg, region: &Region, passing: bool, frame: &Frame, theme: Theme) {
    let weight = frame.weight();
    let (dash, period) = if passing { (7.0 * weight, 11.0 * weight) } else { (2.0 * weight, 6.0 * weight) };
    let colour = theme.palette().mark;
    let part = if passing { "zone-to-pass" } else { "zone" };
    match region {
        Region::Circle { at, radius_m } => {
            let radius = radius_m * frame.scale();
            let ring = open_circle(frame.to_picture(*at), radius, colour, 1.3 * weight)
                .text("data-part", part)
                .numbers("stroke-dasharray", &even_dots(radius, dash, period));
            svg.leaf("circle", &ring);
        }
        Region::Polygon { corners } => {
            let points: Vec<String> = corners
                .iter()
                .map(|corner| frame.to_picture(*corner))
                .map(|at| format!("{},{}", number(at.x), number(at.y)))
                .collect();
            let outline = Attributes::new()
                .text("points", &points.join(" "))
                .text("fill", "none")
                .text("stroke", &colour.to_string())
                .number("stroke-width", 1.3 * weight)
                .text("data-part", part)
                .numbers("stroke-dasharray", &[dash, period - dash]);
            svg.leaf("polygon", &outline);
        }
    }
}

/// The noses of a rail: two on a long one.
fn nose(svg: &mut Svg, rail: Rail, forbidden: bool, table: &Table, frame: &Frame, theme: Theme) {
    let (palette, weight) = (theme.palette(), frame.weight());
    let spec = table.spec();
    let on_rail = |point: Vec2| match rail {
        Rail::Head => point.x.abs(),
        Rail::Foot => (point.x - spec.length_m).abs(),
        Rail::Right => point.y.abs(),
        Rail::Left => (point.y - spec.width_m).abs(),
    };
    for [_, a, b, _] in cushion_outlines(table) {
        if on_rail(a) > 1e-9 || on_rail(b) > 1e-9 {
            continue;
        }
        let (from, to) = (frame.to_picture(a), frame.to_picture(b));
        let line = Attributes::new()
            .text("data-part", if forbidden { "rail-forbidden" } else { "rail-meant" })
            .text("data-rail", rail.name())
            .number("x1", from.x)
            .number("y1", from.y)
            .number("x2", to.x)
            .number("y2", to.y)
            .text("stroke", &if forbidden { palette.coral } else { palette.mark }.to_string())
            .number("stroke-width", 3.2 * weight);
        let line =
            if forbidden { line.numbers("stroke-dasharray", &[6.0 * weight, 5.0 * weight]) } else { line };
        svg.leaf("line", &line);
    }
}

#[cfg(test)]
mod tests {
    use longrail_physics::table::PocketId;

    use super::*;
    use crate::{ShotPicture, Style, shot_svg};

    fn drawn(mark: Mark) -> String {
        let table = Table::default();
        shot_svg(&ShotPicture { marks: vec![mark], ..ShotPicture::of(&table) }, &Style::default())
    }

    #[test]
    fn a_long_rail_has_two_noses_and_a_short_one_has_one() {
        for (rail, noses) in [(Rail::Head, 1), (Rail::Foot, 1), (Rail::Right, 2), (Rail::Left, 2)] {
            assert_eq!(drawn(Mark::RailMeant { rail }).matches("\"rail-meant\"").count(), noses);
            assert_eq!(drawn(Mark::RailForbidden { rail }).matches("\"rail-forbidden\"").count(), noses);
        }
    }

    #[test]
    fn a_ring_lies_under_the_hole_of_the_pocket_meant() {
        let text = drawn(Mark::PocketMeant { pocket: PocketId::FootLeft });
        let ring = text.find("pocket-meant").expect("a ring");
        assert!(ring < text.find("data-part=\"pocket\"").expect("a hole"));
    }

    #[test]
    fn a_polygon_has_its_corners_where_the_table_has_them() {
        let table = Table::default();
        let frame = Frame::new(&table, &Style::default());
        let corners = vec![Vec2::new(0.1, 0.2), Vec2::new(0.9, 0.2), Vec2::new(0.5, 1.0)];
        let first = frame.to_picture(corners[0]);
        let text = drawn(Mark::Zone { region: Region::Polygon { corners }, passing: true });
        assert!(text.contains(&format!("points=\"{},{} ", number(first.x), number(first.y))), "{text}");
        assert!(text.contains("zone-to-pass"));
    }

    #[test]
    fn what_is_meant_and_what_is_forbidden_can_be_seen() {
        for theme in Theme::ALL {
            let p = theme.palette();
            // The ring lies on the wood, the noses between rubber and cloth.
            for (line, ground) in [
                (p.sight, p.wood),
                (p.mark, p.cloth),
                (p.mark, p.cushion),
                (p.coral, p.cloth),
                (p.coral, p.cushion),
            ] {
                assert!(line.contrast(ground) >= 3.0, "{}: {line} on {ground}", theme.name());
            }
        }
    }
}
