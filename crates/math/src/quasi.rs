//! Points that fill a cube of four dimensions more evenly than random ones do.
//!
//! Sobol's sequence (1967) in the directions of S. Joe and F. Y. Kuo (2008, "Constructing Sobol sequences with better
//! two-dimensional projections", SIAM J. Sci. Comput. 30), with hashed Owen scrambling (B. Burley 2020, "Practical Hash-based
//! Owen Scrambling", Journal of Computer Graphics Techniques 9(4)). Each seed gives another scrambling; an average over a
//! power of two of points from one seed is unbiased, and averages from several seeds tell its error.
//!
//! Hashes and scrambling are those of the library `sobol_burley`, whose points these are, bit for bit. Only its table stays
//! out: directions for 256 dimensions are 5.6 kB, compressed, that a browser has to load for the four in use.

use sobol_burley::parts::{hash, owen_scramble_rev, u32_to_f32_norm};

/// The most points of one scrambling.
pub const MOST_POINTS: u32 = 1 << 16;

/// Dimensions of a point.
pub const DIMENSIONS: u32 = 4;

/// Directions of a dimension, one for each bit of a point's index, all with their bits reversed.
type Directions = [u32; 16];

/// Of each dimension: degree, inner coefficients and first numbers of its primitive polynomial (Joe and Kuo, file
/// `new-joe-kuo-6`). The first dimension, van der Corput's sequence, needs none.
const DIRECTIONS: [Directions; DIMENSIONS as usize] = [
    directions(0, 0, [1; 3]),
    directions(1, 0, [1; 3]),
    directions(2, 1, [1, 3, 1]),
    directions(3, 1, [1, 3, 1]),
];

/// Owen scrambling is seeded apart in each dimension.
const SCRAMBLES: [u32; DIMENSIONS as usize] = [0x912f_69ba, 0x174f_18ab, 0x691e_72ca, 0xb40c_c1b8];

/// Directions from a primitive polynomial of this `degree`, by the recurrence of Bratley and Fox (1988, ACM Trans. Math.
/// Softw. 14).
const fn directions(degree: usize, inner: u32, first: [u32; 3]) -> Directions {
    let mut directions = [0_u32; 16];
    let mut bit = 0;
    while bit < 16 {
        directions[bit] = if degree == 0 {
            1 << (31 - bit)
        } else if bit < degree {
            first[bit] << (31 - bit)
        } else {
            let mut next = directions[bit - degree] ^ (directions[bit - degree] >> degree);
            let mut term = 1;
            while term < degree {
                if inner >> (degree - 1 - term) & 1 == 1 {
                    next ^= directions[bit - term];
                }
                term += 1;
            }
            next
        };
        bit += 1;
    }
    let mut bit = 0;
    while bit < 16 {
        directions[bit] = directions[bit].reverse_bits();
        bit += 1;
    }
    directions
}

/// Coordinate `dimension` (below [`DIMENSIONS`]; a larger one starts again) of point `index` (below [`MOST_POINTS`], likewise),
/// strictly between 0 and 1.
///
/// ```
/// use longrail_math::quasi::point;
/// // Sixteen points: one in each sixteenth.
/// let mut cells: Vec<u32> = (0..16).map(|i| (16.0 * point(i, 0, 1)) as u32).collect();
/// cells.sort();
/// assert_eq!(cells, (0..16).collect::<Vec<u32>>());
/// ```
pub fn point(index: u32, dimension: u32, seed: u32) -> f64 {
    let dimension = (dimension % DIMENSIONS) as usize;
    // The index is shuffled, so that sequences from different seeds go through the points in different orders.
    let shuffled = owen_scramble_rev((index % MOST_POINTS).reverse_bits(), hash(seed ^ 0x79c6_8e4a));
    let (mut reversed, mut left) = (0, shuffled & 0xffff_0000);
    while left != 0 {
        let bit = left.leading_zeros();
        reversed ^= DIRECTIONS[dimension][bit as usize];
        left ^= 1 << (31 - bit);
    }
    let scramble = hash(seed.wrapping_mul(0x9c8f_2d3b) ^ SCRAMBLES[dimension]);
    let scrambled = owen_scramble_rev(reversed, scramble).reverse_bits();
    // These numbers are multiples of 2⁻²³ from 0: a quarter of a step keeps them off the edge.
    f64::from(u32_to_f32_norm(scrambled)) + 0.5 / 16_777_216.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Against the library `sobol_burley`, which has the whole table.
        #[test]
        fn points_are_those_of_the_library(index in 0..MOST_POINTS, dimension in 0..DIMENSIONS, seed: u32) {
            let expected = f64::from(sobol_burley::sample(index, dimension, seed)) + 0.5 / 16_777_216.0;
            prop_assert_eq!(point(index, dimension, seed).to_bits(), expected.to_bits());
        }
    }

    #[test]
    fn every_dimension_of_256_points_has_one_in_each_256th() {
        for dimension in 0..DIMENSIONS {
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
            let mut cells: Vec<u32> = (0..256).map(|k| (256.0 * point(k, dimension, 9)) as u32).collect();
            cells.sort_unstable();
            assert!(cells.into_iter().eq(0..256), "dimension {dimension}");
        }
    }
}
