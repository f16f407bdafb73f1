//! How likely all attempts of a session are, for every possible stroke of a grid.
//!
//! A logarithm for every point, lapse and outcome would be most of the work. Powers by repeated squaring take its place: the
//! chances are divided by the shares that were seen, so that no product leaves the range of numbers, and one logarithm is taken
//! of all tallies together.

use longrail_math::fx;

use super::offset::VALUES;
use super::outcome::{Seen, Shares, Tally, chance, chance_of_lapse};
use super::prior::LAPSES;
use super::response::{LEAST, Response};

/// Attempts up to which the product of a tally stays within the range of numbers: six outcomes' chances over their shares are
/// at most e^(n ln 6).
const MOST_BY_POWERS: u32 = 128;

/// A product below this is put away as its logarithm.
const SMALL: f64 = 1e-140;

/// The least that a tally's product counts as: two of them stay within the range.
const SMALLEST: f64 = 1e-160;

/// The chance of what was seen, by point and then lapse: products, and logarithms of what became too small for them.
pub(super) struct Likely {
    products: Vec<[f64; LAPSES]>,
    /// Empty while there are none.
    ln: Vec<[f64; LAPSES]>,
}

impl Likely {
    /// Of nothing yet, for so many weights.
    pub(super) fn new(weights: usize) -> Self {
        Self { products: vec![[1.0; LAPSES]; weights / LAPSES], ln: Vec::new() }
    }

    /// The chance of all attempts of a tally; factors that are the same everywhere are left out.
    pub(super) fn take(&mut self, response: &Response, tally: &Tally, lapses: &[f64; LAPSES]) {
        let tried = tally.tried();
        let seen: Vec<(Seen, u32, f64, f64)> = tally
            .seen()
            .map(|(seen, count)| {
                let share = f64::from(count) / f64::from(tried);
                (seen, count, chance_of_lapse(seen, response.pots), 1.0 / share)
            })
            .collect();
        let chances = |shares: &Shares, &(seen, _, of_lapse, over): &(Seen, u32, f64, f64)| {
            let attended = chance(shares, seen);
            lapses.map(|lapse| ((1.0 - lapse) * attended + lapse * of_lapse).max(LEAST) * over)
        };
        if tried > MOST_BY_POWERS {
            let all = self.products.len();
            self.ln.resize(all, [0.0; LAPSES]);
            for (shares, ln) in response.shares.iter().zip(&mut self.ln) {
                for one in &seen {
                    for (ln, chance) in ln.iter_mut().zip(chances(shares, one)) {
                        *ln += f64::from(one.1) * fx::ln(chance);
                    }
                }
            }
            return;
        }
        let mut small = false;
        for (shares, products) in response.shares.iter().zip(&mut self.products) {
            let mut here = [1.0; LAPSES];
            for one in &seen {
                power(chances(shares, one), one.1, &mut here);
            }
            for (product, here) in products.iter_mut().zip(here) {
                *product *= here.max(SMALLEST);
                small |= *product < SMALL;
            }
        }
        if small {
            self.put_away();
        }
    }

    /// Puts the small products away as logarithms.
    fn put_away(&mut self) {
        self.ln.resize(self.products.len(), [0.0; LAPSES]);
        for (product, ln) in self.products.as_flattened_mut().iter_mut().zip(self.ln.as_flattened_mut()) {
            if *product < SMALL {
                *ln += fx::ln(*product);
                *product = 1.0;
            }
        }
    }

    /// Takes attempts under an offset, likely as `by_value` says for each of its values: their mean over the values, whose
    /// `chances` at every point become those after the attempts.
    pub(super) fn take_offset(&mut self, chances: &mut [Vec<f64>; VALUES], by_value: [Self; VALUES]) {
        let logarithms = by_value.iter().any(|likely| !likely.ln.is_empty());
        if logarithms {
            for (values, likely) in chances.iter_mut().zip(by_value) {
                let ln = values.iter().map(|chance| fx::ln(chance.max(SMALLEST))).collect();
                *values = likely.added(ln);
            }
            self.ln.resize(self.products.len(), [0.0; LAPSES]);
        } else {
            for (values, likely) in chances.iter_mut().zip(&by_value) {
                for (chance, product) in values.iter_mut().zip(likely.products.as_flattened()) {
                    *chance *= product;
                }
            }
        }
        let mut sums = vec![0.0; self.products.len() * LAPSES];
        if logarithms {
            for (k, (sum, ln)) in sums.iter_mut().zip(self.ln.as_flattened_mut()).enumerate() {
                let most = chances.iter().map(|values| values[k]).fold(f64::NEG_INFINITY, f64::max);
                for values in chances.iter_mut() {
                    values[k] = fx::exp(values[k] - most);
                    *sum += values[k];
                }
                *ln += most;
            }
        } else {
            for values in chances.iter() {
                for (sum, chance) in sums.iter_mut().zip(values) {
                    *sum += chance;
                }
            }
        }
        for values in chances {
            for (chance, sum) in values.iter_mut().zip(&sums) {
                *chance /= sum;
            }
        }
        let mut small = false;
        for (product, sum) in self.products.as_flattened_mut().iter_mut().zip(&sums) {
            *product *= sum.max(SMALLEST);
            small |= *product < SMALL;
        }
        if small {
            self.put_away();
        }
    }

    /// ln of weights with the logarithms of all added.
    pub(super) fn added(self, mut ln: Vec<f64>) -> Vec<f64> {
        for (ln, product) in ln.iter_mut().zip(self.products.as_flattened()) {
            if *product != 1.0 {
                *ln += fx::ln(*product);
            }
        }
        for (ln, more) in ln.iter_mut().zip(self.ln.as_flattened()) {
            *ln += more;
        }
        ln
    }

    /// These weights times the chance; none if that needs logarithms.
    pub(super) fn times(&self, weights: &[f64]) -> Option<Vec<f64>> {
        if !self.ln.is_empty() {
            return None;
        }
        let weights: Vec<f64> = weights
            .iter()
            .zip(self.products.as_flattened())
            .map(|(weight, product)| weight * product)
            .collect();
        (weights.iter().sum::<f64>() > SMALL).then_some(weights)
    }
}

/// Multiplies `product` by `base` to the power of `count`.
fn power(mut base: [f64; LAPSES], mut count: u32, product: &mut [f64; LAPSES]) {
    while count > 0 {
        if count & 1 == 1 {
            for (product, base) in product.iter_mut().zip(&base) {
                *product *= base;
            }
        }
        for base in &mut base {
            *base *= *base;
        }
        count >>= 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::infer::Surface;
    use crate::infer::axis::Axis;
    use crate::infer::offset::values;

    const POINTS: usize = 15;
    const LAPSED: [f64; LAPSES] = [0.0, 0.02, 0.05, 0.10];

    fn response(more: f64) -> Response {
        let axes = [Axis::between(-1.3, 0.0, 5), Axis::between(-0.2, 0.2, 3), Axis::idle(-2.3)];
        Response::new(&Surface::window(0.4), &axes, more)
    }

    /// Logarithms of the chances, by the formula and up to what is the same everywhere.
    fn assert_same(likely: Likely, other: &[f64]) {
        let ln = likely.added(vec![0.0; POINTS * LAPSES]);
        for (a, b) in ln.iter().zip(other) {
            assert!(((a - ln[0]) - (b - other[0])).abs() < 1e-9 * (b - other[0]).abs().max(1.0), "{a} {b}");
        }
    }

    fn by_formula(tally: &Tally, more: f64) -> Vec<f64> {
        let mut ln = vec![0.0; POINTS * LAPSES];
        for (seen, count) in tally.seen() {
            for (ln, chance) in ln.iter_mut().zip(response(more).chances(seen, &LAPSED)) {
                *ln += f64::from(count) * fx::ln(chance.max(LEAST));
            }
        }
        ln
    }

    #[test]
    fn products_and_logarithms_say_the_same() {
        // Few attempts, many, and so many at once that products are put away on the way.
        for (tally, times) in [
            (Tally::sided(13, 5, 2), 1),
            (Tally::sided(300, 120, 80), 1),
            (Tally::sided(9, 3, 8), 30),
            (Tally::of(1, 20), 3),
        ] {
            let mut likely = Likely::new(POINTS * LAPSES);
            for _ in 0..times {
                likely.take(&response(0.0), &tally, &LAPSED);
            }
            let all = by_formula(&tally, 0.0).iter().map(|ln| f64::from(times) * ln).collect::<Vec<_>>();
            assert_same(likely, &all);
        }
    }

    #[test]
    fn an_offset_is_averaged_over_alike_with_products_and_with_logarithms() {
        for tally in [Tally::sided(13, 5, 2), Tally::sided(130, 50, 20)] {
            let mut chances: [Vec<f64>; VALUES] = values().map(|(_, weight)| vec![weight; POINTS * LAPSES]);
            let by_value = values().map(|(z, _)| {
                let mut likely = Likely::new(POINTS * LAPSES);
                likely.take(&response(0.3 * z), &tally, &LAPSED);
                likely
            });
            let mut likely = Likely::new(POINTS * LAPSES);
            likely.take_offset(&mut chances, by_value);
            let each = values().map(|(z, weight)| (weight, by_formula(&tally, 0.3 * z)));
            let top = |k: usize| each.iter().map(|(_, ln)| ln[k]).fold(f64::NEG_INFINITY, f64::max);
            let mean =
                |k: usize| each.iter().map(|(weight, ln)| weight * fx::exp(ln[k] - top(k))).sum::<f64>();
            let all: Vec<f64> = (0..POINTS * LAPSES).map(|k| top(k) + fx::ln(mean(k))).collect();
            for (values, (weight, ln)) in chances.iter().zip(&each) {
                for (k, chance) in values.iter().enumerate() {
                    let expected = weight * fx::exp(ln[k] - top(k)) / mean(k);
                    assert!((chance - expected).abs() < 1e-6, "{k}: {chance} {expected}");
                }
            }
            assert_same(likely, &all);
        }
    }
}
