//! The hits at which odds are worked out: standard normal errors in direction, speed and tip.
//!
//! Scrambled Sobol points, in blocks with a scrambling each: the mean over all is the estimate, and the blocks' means
//! tell its error. The same nodes serve neighbouring layouts and hits, so that curves are smooth and a difference is not
//! drowned by chance.

use longrail_math::quasi::{MOST_POINTS, point};
use longrail_math::random::Stream;
use longrail_stats::special::normal_quantile;

/// Purpose of the random stream of plain nodes.
const PLAIN: u64 = 0x0dd5;

/// Errors in standard deviations: direction, speed, tip to the right, tip upwards.
pub type Node = [f64; 4];

/// Scalar product.
pub(crate) fn dot(a: &Node, b: &Node) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// A set of nodes in blocks of equal length.
#[derive(Clone, Debug, PartialEq)]
pub struct Nodes {
    all: Vec<Node>,
    block: usize,
}

impl Nodes {
    /// Blocks for everyday odds.
    pub const BLOCKS: u32 = 8;
    /// Nodes in each of them.
    pub const BLOCK: u32 = 64;

    /// The everyday set: 512 nodes.
    pub fn usual(seed: u32) -> Self {
        Self::sobol(Self::BLOCKS, Self::BLOCK, seed)
    }

    /// `blocks` blocks of `block` points each, all of one scrambled sequence as far as that goes: together they are more even
    /// than any of them, so that the blocks' spread says rather too much about the error of the whole. `block` is best a
    /// power of two.
    pub fn sobol(blocks: u32, block: u32, seed: u32) -> Self {
        let block = block.clamp(1, MOST_POINTS);
        let node = |k: u32| {
            let (scrambling, index) =
                (seed.wrapping_mul(0x9E37_79B9).wrapping_add(k / MOST_POINTS), k % MOST_POINTS);
            // Four dimensions.
            #[allow(clippy::cast_possible_truncation)]
            std::array::from_fn(|dimension| normal_quantile(point(index, dimension as u32, scrambling)))
        };
        Self { all: (0..blocks.max(1).saturating_mul(block)).map(node).collect(), block: block as usize }
    }

    /// `count` independent random nodes, each a block of its own.
    pub fn plain(count: u32, seed: u64) -> Self {
        let mut stream = Stream::new(seed, PLAIN, 0);
        // Off zero by half a step, where the quantile is infinite.
        let mut draw = || normal_quantile(stream.unit() + 0.5 / 9_007_199_254_740_992.0);
        Self { all: (0..count).map(|_| std::array::from_fn(|_| draw())).collect(), block: 1 }
    }

    /// All nodes, block after block.
    pub fn all(&self) -> &[Node] {
        &self.all
    }

    /// The blocks.
    pub fn blocks(&self) -> impl Iterator<Item = &[Node]> {
        self.all.chunks(self.block)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_coordinate_is_standard_normal() {
        // Mean 0 and variance 1; the points are even, so the bounds are tight for 512 of them.
        let nodes = Nodes::usual(3);
        for coordinate in 0..4 {
            let mean = nodes.all().iter().map(|node| node[coordinate]).sum::<f64>() / 512.0;
            let square =
                nodes.all().iter().map(|node| node[coordinate] * node[coordinate]).sum::<f64>() / 512.0;
            assert!(mean.abs() < 0.01 && (square - 1.0).abs() < 0.03, "{coordinate}: {mean} {square}");
        }
    }

    #[test]
    fn another_seed_gives_other_nodes_and_the_same_seed_the_same() {
        assert_eq!(Nodes::usual(1), Nodes::usual(1));
        assert_ne!(Nodes::usual(1), Nodes::usual(2));
    }
}
