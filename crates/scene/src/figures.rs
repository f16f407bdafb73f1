//! Where the figures of dimensions go: beside their lines, over no ball and no other figure, and where it can be over
//! no course.
//!
//! As with tags, every figure has candidate places with a cost each, and figures are placed again as long as the sum of
//! costs falls.

use longrail_math::{Vec2, order};

use crate::dimensions::Dimension;
use crate::geometry::{Area, Segment};
use crate::placement::{FORBIDDEN, GAP, Obstacles, SWEEPS, outside};
use crate::text;

/// Clear cloth between a figure and its line, as a part of its size.
const BESIDE: f64 = 0.22;
/// How far apart the candidate places lie, as a part of the size.
const STEP: f64 = 0.4;
/// Rows of candidate places on each side of a line.
const ROWS: u32 = 5;
/// Most places in half a row.
const REACH: i32 = 40;
/// Most orders in which figures are placed.
const MOST_ORDERS: usize = 16;

/// The areas of the figures of that size, in the order of `dimensions`.
pub(crate) fn place(dimensions: &[Dimension<'_>], obstacles: &Obstacles, size: f64) -> Vec<Area> {
    let options: Vec<Vec<(Area, f64)>> =
        (0..dimensions.len()).map(|index| candidates(index, dimensions, obstacles, size)).collect();
    // Who comes first has the best place, so everybody is first once.
    let mut least = (f64::INFINITY, Vec::new());
    for first in 0..dimensions.len().min(MOST_ORDERS) {
        let (cost, chosen) = placed(&options, first);
        if cost < least.0 {
            least = (cost, chosen);
        }
    }
    least.1
}

/// Every figure at the best place that the others leave it, beginning with the `first`, and the sum of costs.
fn placed(options: &[Vec<(Area, f64)>], first: usize) -> (f64, Vec<Area>) {
    let order: Vec<usize> = (first..options.len()).chain(0..first).collect();
    let mut chosen: Vec<Option<(Area, f64)>> = vec![None; options.len()];
    for _ in 0..SWEEPS {
        let before = chosen.clone();
        for index in &order {
            chosen[*index] = None;
            chosen[*index] = best(&options[*index], &chosen);
        }
        if chosen == before {
            break;
        }
    }
    let areas: Vec<Area> = chosen.iter().flatten().map(|(area, _)| *area).collect();
    let fixed: f64 = chosen.iter().flatten().map(|(_, fixed)| fixed).sum();
    let shared: f64 =
        areas.iter().enumerate().map(|(index, area)| shared_cost(area, areas[..index].iter())).sum();
    (fixed + shared, areas)
}

/// The place that costs least beside the `others`, with its own cost.
fn best(options: &[(Area, f64)], others: &[Option<(Area, f64)>]) -> Option<(Area, f64)> {
    let mut least = (f64::INFINITY, None);
    for (area, fixed) in options {
        // The cheapest come first, and from here on costs only rise.
        if *fixed >= least.0 {
            break;
        }
        let cost = fixed + shared_cost(area, others.iter().flatten().map(|(other, _)| other));
        if cost < least.0 {
            least = (cost, Some((*area, *fixed)));
        }
    }
    least.1
}

/// The cost of a place with regard to other figures.
fn shared_cost<'a>(area: &Area, others: impl Iterator<Item = &'a Area>) -> f64 {
    others
        .map(|other| area.overlap(other, GAP))
        .filter(|overlap| *overlap > 1e-9)
        .map(|overlap| FORBIDDEN + 100.0 * overlap)
        .sum()
}

/// Half the width and height of a figure: digits are about 0.72 of their size high.
fn half_of(label: &str, size: f64) -> Vec2 {
    Vec2::new(0.5 * text::width(label, size), 0.37 * size)
}

/// Places for a figure, the cheapest first.
fn candidates(
    index: usize,
    dimensions: &[Dimension<'_>],
    obstacles: &Obstacles,
    size: f64,
) -> Vec<(Area, f64)> {
    let (line, half) = (dimensions[index].line, half_of(dimensions[index].label, size));
    // A line without length is not laid.
    let length = line.length();
    let along = (line.to - line.from) / length;
    let aside = along.turned_left();
    let extent = |axis: Vec2| axis.x.abs() * half.x + axis.y.abs() * half.y;
    let middle = (line.from + line.to) * 0.5;
    let step = STEP * size;
    // So far from the middle the figure still stands beside its line.
    let beside = (0.5 * length - extent(along)).max(0.0);
    let furthest = 0.5 * length + extent(along) + 2.0 * size;
    let mut all = Vec::new();
    for side in [1.0, -1.0] {
        let less_room =
            room(middle, aside * side, obstacles.bed) < room(middle, aside * -side, obstacles.bed);
        for row in 0..ROWS {
            let off = extent(aside) + BESIDE * size + f64::from(row) * step;
            for place in -REACH..=REACH {
                let from_middle = f64::from(place) * step;
                if from_middle.abs() > furthest {
                    continue;
                }
                let centre = middle + along * from_middle + aside * (side * off);
                let area = Area { centre, half };
                let beyond = (from_middle.abs() - beside).max(0.0);
                let cost = if less_room { 6.0 } else { 0.0 }
                    + 5.0 * f64::from(row)
                    + 0.08 * from_middle.abs()
                    + 1.2 * beyond
                    + fixed_cost(index, &area, dimensions, obstacles);
                all.push((area, cost));
            }
        }
    }
    order::sort_by(&mut all, |a, b| a.1.total_cmp(&b.1));
    all
}

/// From `at` to the edge of the bed.
fn room(at: Vec2, direction: Vec2, (corner, size): (Vec2, Vec2)) -> f64 {
    let (near, far) = (at - corner, corner + size - at);
    let way = |step: f64, near: f64, far: f64| if step > 0.0 { step * far } else { -step * near };
    way(direction.x, near.x, far.x) + way(direction.y, near.y, far.y)
}

/// The cost of a place as far as it does not depend on other figures.
fn fixed_cost(index: usize, area: &Area, dimensions: &[Dimension<'_>], obstacles: &Obstacles) -> f64 {
    let mut cost = outside(area.centre, area.half, obstacles.bed);
    for (centre, radius) in &obstacles.discs {
        let short = radius + GAP - area.distance(*centre);
        if short > 0.0 {
            cost += FORBIDDEN + 100.0 * short;
        }
    }
    for (centre, radius) in &obstacles.circles {
        let short = radius + GAP - area.distance(*centre);
        if short > 0.0 {
            cost += 60.0 + 5.0 * short;
        }
    }
    for path in &obstacles.paths {
        cost += crossed(path, &area.grown(GAP), 14.0, 1.2);
    }
    let own = dimensions[index].line.distance(area.centre);
    for (other, dimension) in dimensions.iter().enumerate() {
        cost += crossed(&dimension.segments(), &area.grown(1.0), 30.0, 3.0);
        // It would be read as the other line's.
        if other != index && dimension.line.distance(area.centre) < own + 1.0 {
            cost += 40.0;
        }
    }
    cost
}

/// The cost of standing over lines: a fee and so much a pixel.
fn crossed(lines: &[Segment], area: &Area, fee: f64, per_pixel: f64) -> f64 {
    let inside: f64 = lines.iter().map(|line| line.length_in(area)).sum();
    if inside > 0.0 { fee + per_pixel * inside } else { 0.0 }
}
