//! Points that fill a cube more evenly than random ones do.
//!
//! Sobol's sequence (1967) with hashed Owen scrambling (B. Burley 2020, "Practical Hash-based Owen Scrambling",
//! Journal of Computer Graphics Techniques 9(4)), from the library `sobol_burley`. Each seed gives another scrambling; an
//! average over a power of two of points from one seed is unbiased, and averages from several seeds tell its error.

/// The most points of one scrambling.
pub const MOST_POINTS: u32 = 1 << 16;

/// Coordinate `dimension` (0 to 255) of point `index` (below [`MOST_POINTS`]; a larger one starts again), strictly
/// between 0 and 1.
///
/// ```
/// use longrail_math::quasi::point;
/// // Sixteen points: one in each sixteenth.
/// let mut cells: Vec<u32> = (0..16).map(|i| (16.0 * point(i, 0, 1)) as u32).collect();
/// cells.sort();
/// assert_eq!(cells, (0..16).collect::<Vec<u32>>());
/// ```
pub fn point(index: u32, dimension: u32, seed: u32) -> f64 {
    // The library's numbers are multiples of 2⁻²⁴ from 0: half a step keeps them off the edge.
    f64::from(sobol_burley::sample(index % MOST_POINTS, dimension % 256, seed)) + 0.5 / 16_777_216.0
}
