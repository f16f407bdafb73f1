//! The table without balls: rails, bed, pockets, rubber, noses, sights, head string, spots.

use longrail_math::Vec2;
use longrail_physics::table::{Pocket, PocketId, Rail, Table};

use crate::balls::circle;
use crate::frame::Frame;
use crate::svg::{Attributes, Svg, number};
use crate::theme::{Palette, Theme};

/// Width of a rail behind the nose, rubber included, in metres; more where a pocket needs it.
pub const RAIL_M: f64 = 0.140;
/// Depth of the rubber behind the nose, in metres (2 in).
pub const RUBBER_M: f64 = 0.0508;
/// Distance of a sight's centre behind the nose, in metres (3 11/16 in).
pub const SIGHT_BEHIND_NOSE_M: f64 = 0.093_66;

/// Half the long diagonal of a sight, in metres: 1⅜ in over all.
const SIGHT_HALF_M: f64 = 0.0175;
/// Short diagonal of a sight over its long one.
const SIGHT_SLIMNESS: f64 = 0.6;
/// Wood left behind the deepest pocket, in metres.
const BEHIND_POCKET_M: f64 = 0.012;
/// The leather or plastic round a pocket, in metres.
const LINER_M: f64 = 0.009;

/// Width of the rails that are drawn, in metres: [`RAIL_M`], or more if a pocket reaches further.
pub(crate) fn rail_width(table: &Table) -> f64 {
    let spec = table.spec();
    let depth = |pocket: &Pocket| {
        let (c, r) = (pocket.drop_centre, pocket.drop_radius);
        (r - c.x).max(c.x + r - spec.length_m).max(r - c.y).max(c.y + r - spec.width_m)
    };
    table.pockets().iter().map(|pocket| depth(pocket) + LINER_M + BEHIND_POCKET_M).fold(RAIL_M, f64::max)
}

/// Centres of the 18 sights, in metres, each with its rail: three between neighbouring pockets of a long
/// rail, three on a short one, none at pockets.
pub fn sights(table: &Table) -> Vec<(Rail, Vec2)> {
    let (spec, behind) = (table.spec(), SIGHT_BEHIND_NOSE_M);
    let mut all = Vec::with_capacity(18);
    for (rail, y) in [(Rail::Right, -behind), (Rail::Left, spec.width_m + behind)] {
        for diamonds in [1.0, 2.0, 3.0, 5.0, 6.0, 7.0] {
            all.push((rail, Vec2::new(diamonds * spec.diamond_m(), y)));
        }
    }
    for (rail, x) in [(Rail::Head, -behind), (Rail::Foot, spec.length_m + behind)] {
        for diamonds in [1.0, 2.0, 3.0] {
            all.push((rail, Vec2::new(x, diamonds * spec.diamond_across_m())));
        }
    }
    all
}

/// Draws the table, and what `on_cloth` draws between the cloth and the holes.
pub(crate) fn draw(
    svg: &mut Svg,
    table: &Table,
    frame: &Frame,
    theme: Theme,
    on_cloth: impl FnOnce(&mut Svg),
) {
    let palette = theme.palette();
    svg.open("g", &Attributes::new().text("data-part", "table"));
    wood(svg, table, frame, palette);
    if theme != Theme::Paper {
        liners(svg, table, frame, palette);
    }
    bed(svg, frame, theme);
    lines_on_cloth(svg, table, frame, palette);
    on_cloth(svg);
    pockets(svg, table, frame, palette);
    cushions(svg, table, frame, palette);
    for (rail, at) in sights(table) {
        sight(svg, frame, palette, rail, at);
    }
    svg.close();
}

fn rectangle(corner: Vec2, size: Vec2) -> Attributes {
    Attributes::new()
        .number("x", corner.x)
        .number("y", corner.y)
        .number("width", size.x)
        .number("height", size.y)
}

fn wood(svg: &mut Svg, table: &Table, frame: &Frame, palette: &Palette) {
    let (corner, size) = frame.surface(rail_width(table));
    let shape = rectangle(corner, size)
        .text("data-part", "rails")
        .number("rx", 0.07 * frame.scale())
        .text("fill", &palette.wood.to_string())
        .text("stroke", &palette.wood_edge.to_string())
        .number("stroke-width", frame.weight());
    svg.leaf("rect", &shape);
}

/// The rims of the pockets as far as they show on the wood: the cloth is drawn over the rest.
fn liners(svg: &mut Svg, table: &Table, frame: &Frame, palette: &Palette) {
    for pocket in table.pockets() {
        let at = frame.to_picture(pocket.drop_centre);
        let rim = circle(at, (pocket.drop_radius + LINER_M) * frame.scale())
            .text("data-part", "liner")
            .text("fill", &palette.wood_edge.to_string())
            .number("fill-opacity", 0.6);
        svg.leaf("circle", &rim);
    }
}

/// The cloth, which runs on under the rubber and into the pockets; lit from above except on paper.
fn bed(svg: &mut Svg, frame: &Frame, theme: Theme) {
    let palette = theme.palette();
    let lit = theme != Theme::Paper;
    // Two pictures in one page must not share a lamp of different colours.
    let lamp = format!("longrail-lamp-{}", theme.name());
    if lit {
        svg.open("defs", &Attributes::new());
        let gradient = Attributes::new().text("id", &lamp).text("cx", "50%").text("cy", "50%");
        svg.open("radialGradient", &gradient.text("r", "72%"));
        for (offset, colour) in [("0", palette.cloth_lit), ("1", palette.cloth)] {
            let stop = Attributes::new().text("offset", offset).text("stop-color", &colour.to_string());
            svg.leaf("stop", &stop);
        }
        svg.close();
        svg.close();
    }
    let fill = if lit { format!("url(#{lamp})") } else { palette.cloth.to_string() };
    let (corner, size) = frame.surface(RUBBER_M);
    svg.leaf("rect", &rectangle(corner, size).text("data-part", "cloth").text("fill", &fill));
    let (corner, size) = frame.surface(0.0);
    svg.leaf("rect", &rectangle(corner, size).text("data-part", "surface").text("fill", "none"));
}

/// Head string and the two spots.
fn lines_on_cloth(svg: &mut Svg, table: &Table, frame: &Frame, palette: &Palette) {
    let (spec, mark) = (table.spec(), palette.mark.to_string());
    let place = |along, across| {
        let (x, y) = spec.from_diamonds(along, across);
        frame.to_picture(Vec2::new(x, y))
    };
    let (from, to) = (place(2.0, 0.0), place(2.0, 4.0));
    let string = Attributes::new()
        .text("data-part", "head-string")
        .number("x1", from.x)
        .number("y1", from.y)
        .number("x2", to.x)
        .number("y2", to.y)
        .text("stroke", &mark)
        .number("stroke-opacity", palette.string_opacity)
        .number("stroke-width", 0.8 * frame.weight());
    svg.leaf("line", &string);
    for spot in [place(2.0, 2.0), place(6.0, 2.0)] {
        let disc = circle(spot, (0.007 * frame.scale()).max(1.1))
            .text("data-part", "spot")
            .text("fill", &mark)
            .number("fill-opacity", palette.spot_opacity);
        svg.leaf("circle", &disc);
    }
}

/// The holes. They lie on the drop edge, so a ball is down when its centre is over the dark.
fn pockets(svg: &mut Svg, table: &Table, frame: &Frame, palette: &Palette) {
    for pocket in table.pockets() {
        let at = frame.to_picture(pocket.drop_centre);
        let hole = circle(at, pocket.drop_radius * frame.scale())
            .text("data-part", "pocket")
            .text("data-pocket", pocket.id.name())
            .text("fill", &palette.hole.to_string())
            .text("stroke", &palette.wood_edge.to_string())
            .number("stroke-width", 0.8 * frame.weight());
        svg.leaf("circle", &hole);
    }
}

/// The six cushions as they are cut: from facing to facing round the nose.
pub(crate) fn cushion_outlines(table: &Table) -> [[Vec2; 4]; 6] {
    use PocketId::{FootLeft, FootRight, HeadLeft, HeadRight, SideLeft, SideRight};
    let ends = [
        (HeadRight, SideRight, Rail::Right),
        (SideRight, FootRight, Rail::Right),
        (FootRight, FootLeft, Rail::Foot),
        (FootLeft, SideLeft, Rail::Left),
        (SideLeft, HeadLeft, Rail::Left),
        (HeadLeft, HeadRight, Rail::Head),
    ];
    ends.map(|(first, second, rail)| {
        let (a, a_back) = jaw_towards(table, first, second, rail);
        let (b, b_back) = jaw_towards(table, second, first, rail);
        [a_back, a, b, b_back]
    })
}

/// The jaw point of `pocket` on `rail` that is nearest to pocket `other`, and the end of its facing at the
/// back of the rubber.
fn jaw_towards(table: &Table, pocket: PocketId, other: PocketId, rail: Rail) -> (Vec2, Vec2) {
    let goal = table.pocket(other).mouth;
    let jaws = &table.pocket(pocket).jaws;
    let nose = match rail {
        Rail::Head | Rail::Right => 0.0,
        Rail::Foot => table.spec().length_m,
        Rail::Left => table.spec().width_m,
    };
    // A corner has one jaw on this rail; a side pocket has both, and then the nearer one counts.
    let strangeness = |point: Vec2| 10.0 * (point.dot(rail.outward()) - nose).abs() + (point - goal).norm();
    let jaw = if strangeness(jaws[0].point) <= strangeness(jaws[1].point) { &jaws[0] } else { &jaws[1] };
    let depth = jaw.along.dot(rail.outward()).max(0.2);
    (jaw.point, jaw.point + jaw.along * (RUBBER_M / depth))
}

fn cushions(svg: &mut Svg, table: &Table, frame: &Frame, palette: &Palette) {
    for outline in cushion_outlines(table) {
        let points = outline
            .map(|point| {
                let at = frame.to_picture(point);
                format!("{},{}", number(at.x), number(at.y))
            })
            .join(" ");
        let rubber = Attributes::new()
            .text("data-part", "rubber")
            .text("points", &points)
            .text("fill", &palette.cushion.to_string());
        svg.leaf("polygon", &rubber);
        let nose = Attributes::new()
            .text("data-part", "nose")
            .text("points", &points)
            .text("fill", "none")
            .text("stroke", &palette.mark.to_string())
            .number("stroke-opacity", palette.nose_opacity)
            .number("stroke-width", frame.weight())
            .text("stroke-linejoin", "round");
        svg.leaf("polyline", &nose);
    }
}

fn sight(svg: &mut Svg, frame: &Frame, palette: &Palette, rail: Rail, at: Vec2) {
    let half = (SIGHT_HALF_M * frame.scale()).max(2.3);
    let shape = rhombus(frame.to_picture(at), frame.turned(rail.outward()), half)
        .text("data-part", "sight")
        .text("fill", &palette.sight.to_string());
    svg.leaf("polygon", &shape);
}

/// A rhombus round `centre` whose long axis lies along the unit vector `axis`.
pub(crate) fn rhombus(centre: Vec2, axis: Vec2, half: f64) -> Attributes {
    let (long, short) = (axis * half, axis.turned_left() * (half * SIGHT_SLIMNESS));
    let points = [centre + long, centre + short, centre - long, centre - short]
        .map(|point| format!("{},{}", number(point.x), number(point.y)))
        .join(" ");
    Attributes::new().text("points", &points)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_cushion_runs_along_its_nose_and_ends_at_the_back_of_the_rubber() {
        let table = Table::default();
        let (length, width) = (table.spec().length_m, table.spec().width_m);
        for [a_back, a, b, b_back] in cushion_outlines(&table) {
            let on_nose = |p: Vec2, q: Vec2| {
                [(p.x, q.x, 0.0), (p.x, q.x, length), (p.y, q.y, 0.0), (p.y, q.y, width)].into_iter().any(
                    |(first, second, line)| (first - line).abs() < 1e-12 && (second - line).abs() < 1e-12,
                )
            };
            assert!(on_nose(a, b), "{a:?} to {b:?}");
            let outside = |p: Vec2| (-p.x).max(p.x - length).max(-p.y).max(p.y - width);
            assert!((outside(a_back) - RUBBER_M).abs() < 1e-9);
            assert!((outside(b_back) - RUBBER_M).abs() < 1e-9);
            // The facing opens the rubber: its back is longer than its nose.
            assert!((a_back - b_back).norm() > (a - b).norm());
        }
    }

    #[test]
    fn wood_is_left_behind_every_pocket() {
        let table = Table::default();
        assert_eq!(rail_width(&table), RAIL_M);
    }
}
