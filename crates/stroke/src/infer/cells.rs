//! How the errors of aim and speed are cut into cells, and where within them a surface's shots lie.

use longrail_math::quasi;
use longrail_stats::special::{normal_cdf, normal_quantile};

/// How cells are laid out; part of a surface's key.
pub(super) const CELLS: Cells = Cells {
    narrowest_deg: 0.02,
    widening: 1.1,
    farthest_deg: 8.0,
    speeds: [0.015, 0.04, 0.07, 0.11, 0.16, 0.23, 0.33],
    nodes: 16,
    fine_deg: 0.06,
    nodes_beyond: 4,
    outlying: 1.5,
};

/// See [`CELLS`].
#[derive(Debug)]
pub(super) struct Cells {
    /// Width of the middle cell of aim, in degrees, by how much each is wider than the one before, outwards, and the last
    /// edge.
    narrowest_deg: f64,
    widening: f64,
    farthest_deg: f64,
    /// Edges of the cells of speed above the intended one, as shares of it; below they are the same.
    speeds: [f64; 7],
    /// Shots in a cell: their errors of aim and speed lie in it as [`Within`] says, those of the tip as the stroke's do.
    nodes: u32,
    /// Beyond this width of a cell of aim, in degrees, fewer do: a stroke that comes so far out has many cells there.
    fine_deg: f64,
    nodes_beyond: u32,
    /// Within a cell errors are spread as by a stroke for which it lies so many standard deviations out. Evenly spread ones
    /// would lie too far out, and outcomes change where a stroke's errors are rare but not too rare.
    outlying: f64,
}

/// Scrambling of the nodes: one sequence for all cells, so that together they are more even than any of them.
const SCRAMBLING: u32 = 7;

/// Edges of the cells of aim: narrow around the intended aim, wider outwards.
pub(super) fn aim_edges() -> Vec<f64> {
    let mut outwards = vec![0.5 * CELLS.narrowest_deg];
    let mut width = CELLS.narrowest_deg;
    while outwards[outwards.len() - 1] + width < CELLS.farthest_deg {
        outwards.push(outwards[outwards.len() - 1] + width);
        width *= CELLS.widening;
    }
    mirrored(&outwards)
}

/// Edges of the cells of speed.
pub(super) fn speed_edges() -> Vec<f64> {
    mirrored(&CELLS.speeds)
}

/// The same on the other side of 0.
fn mirrored(outwards: &[f64]) -> Vec<f64> {
    outwards.iter().rev().map(|edge| -edge).chain(outwards.iter().copied()).collect()
}

/// Where errors lie within one cell.
#[derive(Clone, Copy, Debug)]
pub(super) struct Within {
    low: f64,
    width: f64,
    /// Of the normal distribution that they follow; `None` in the middle cell, where they are spread evenly.
    sd: Option<f64>,
    /// Its shares below the cell and within it.
    below: f64,
    inside: f64,
}

impl Within {
    /// Those of all cells between these edges; the first and the last cell reach to infinity.
    pub(super) fn all(edges: &[f64]) -> Vec<Self> {
        let mut bounds = vec![f64::NEG_INFINITY];
        bounds.extend(edges);
        bounds.push(f64::INFINITY);
        bounds.windows(2).map(|pair| Self::new(pair[0], pair[1])).collect()
    }

    /// Between two edges, of which one may be infinite.
    fn new(low: f64, high: f64) -> Self {
        let outwards = if low.is_infinite() || high.is_infinite() {
            low.abs().min(high.abs())
        } else {
            (0.5 * (low + high)).abs()
        };
        let sd = (low * high >= 0.0).then_some(outwards / CELLS.outlying);
        let up_to = |edge: f64| sd.map_or(0.0, |sd| normal_cdf(edge / sd));
        Self { low, width: high - low, sd, below: up_to(low), inside: up_to(high) - up_to(low) }
    }

    /// Shots of each cell of speed, where these are errors of aim.
    pub(super) fn shots(&self) -> u32 {
        if self.width <= CELLS.fine_deg { CELLS.nodes } else { CELLS.nodes_beyond }
    }

    /// The error below which this share of them lies, 0 to 1.
    pub(super) fn at(&self, share: f64) -> f64 {
        match self.sd {
            None => self.low + share * self.width,
            Some(sd) => sd * normal_quantile(self.below + share * self.inside),
        }
    }
}

/// Shares of the errors of aim and speed within a cell, and standard normal errors of the tip.
pub(super) fn node(k: u32) -> [f64; 4] {
    let at = |dimension| quasi::point(k, dimension, SCRAMBLING);
    [at(0), at(1), normal_quantile(at(2)), normal_quantile(at(3))]
}

#[cfg(test)]
mod tests {
    use super::Within;

    #[test]
    fn errors_lie_in_their_cell_as_a_normal_distribution_cut_off_at_its_ends() {
        // The mean of a normal distribution of standard deviation s between a and b is s·(φ(a/s) − φ(b/s))/(Φ(b/s) − Φ(a/s)),
        // and beyond a alone s·φ(a/s)/(1 − Φ(a/s)) (Johnson, Kotz, Balakrishnan 1994, Continuous Univariate Distributions 1,
        // 13.10). With the middle 1.5 standard deviations out, [0.9, 1.1] has s = 2/3: z 1.35 and 1.65, φ .16038 and .10226,
        // Φ .91149 and .95053; [1.5, ∞) has s = 1: φ .12952, Φ .93319 (any table).
        let mean = |within: &Within| {
            (0..1000).map(|k| within.at((f64::from(k) + 0.5) / 1000.0)).sum::<f64>() / 1000.0
        };
        let (inner, outer) = (Within::new(0.9, 1.1), Within::new(1.5, f64::INFINITY));
        assert!((mean(&inner) - 2.0 / 3.0 * (0.16038 - 0.10226) / (0.95053 - 0.91149)).abs() < 3e-4);
        assert!((mean(&outer) - 0.12952 / (1.0 - 0.93319)).abs() < 2e-3);
        // The other side is its mirror image, and around the middle errors are spread evenly.
        let (left, middle) = (Within::new(-1.1, -0.9), Within::new(-0.5, 0.5));
        assert!((mean(&left) + mean(&inner)).abs() < 1e-9 && mean(&middle).abs() < 1e-12);
        assert!((middle.at(0.25) + 0.25).abs() < 1e-12);
        for within in [inner, left, middle] {
            assert!((within.at(1.0) - within.at(0.0) - within.width).abs() < 1e-9);
            assert!((within.at(0.0) - within.low).abs() < 1e-9);
        }
        assert!(outer.at(1.0 - 1e-9).is_finite() && outer.at(1e-9) >= 1.5);
    }
}
