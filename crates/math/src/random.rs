//! Random streams that give the same numbers everywhere and for ever.
//!
//! A stream is named by a seed, a purpose and an index, so that two uses never share numbers by
//! accident and any single draw can be repeated alone. The generator is PCG64 (O'Neill 2014, "PCG: A
//! Family of Simple Fast Space-Efficient Statistically Good Algorithms for Random Number Generation").

use rand_core::Rng;
use rand_pcg::Pcg64;

/// A stream of random numbers.
#[derive(Clone, Debug)]
pub struct Stream(Pcg64);

impl Stream {
    /// The stream named by `seed`, `purpose` (any constant that its user picks) and `index`.
    pub fn new(seed: u64, purpose: u64, index: u64) -> Self {
        let state = (u128::from(seed) << 64) | u128::from(index);
        Self(Pcg64::new(state, u128::from(purpose)))
    }

    /// A number from 0 (included) to 1 (excluded), on a grid of 2⁻⁵³.
    pub fn unit(&mut self) -> f64 {
        // 53 bits fill the mantissa exactly.
        #[allow(clippy::cast_precision_loss)]
        let mantissa = (self.0.next_u64() >> 11) as f64;
        mantissa / 9_007_199_254_740_992.0
    }

    /// A number from `low` (included) to `high` (excluded).
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A whole number below `count`; 0 if `count` is 0.
    pub fn below(&mut self, count: u32) -> u32 {
        let wide = (self.0.next_u64() >> 32) * u64::from(count);
        // The product of two numbers below 2³², shifted by 32, is below 2³².
        #[allow(clippy::cast_possible_truncation)]
        let draw = (wide >> 32) as u32;
        draw
    }
}

#[cfg(test)]
mod tests {
    use super::Stream;

    #[test]
    fn a_stream_repeats_and_its_neighbours_differ() {
        let draw = |index| Stream::new(7, 1, index).unit();
        assert_eq!(draw(3), draw(3));
        assert_ne!(draw(3), draw(4));
    }

    #[test]
    fn draws_fill_the_unit_interval_evenly() {
        // Mean and variance of the uniform distribution are 1/2 and 1/12 (any textbook); six standard
        // errors either way.
        let mut stream = Stream::new(11, 2, 0);
        let n = 100_000;
        let draws: Vec<f64> = (0..n).map(|_| stream.unit()).collect();
        let mean = draws.iter().sum::<f64>() / f64::from(n);
        let variance = draws.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / f64::from(n);
        assert!((mean - 0.5).abs() < 6.0 * 0.000_913);
        assert!((variance - 1.0 / 12.0).abs() < 6.0 * 0.000_236);
        assert!((0..1000).all(|_| stream.below(6) < 6));
    }
}
