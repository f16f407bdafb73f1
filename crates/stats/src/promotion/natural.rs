//! Whole numbers of any size, as far as exact evidence needs them.

use std::cmp::Ordering;

/// A whole number, zero or greater.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Natural {
    /// Lowest first; no leading zeros.
    limbs: Vec<u32>,
}

impl Natural {
    /// From a machine number.
    pub fn new(mut value: u64) -> Self {
        let mut limbs = Vec::new();
        while value > 0 {
            limbs.push(low(value));
            value >>= 32;
        }
        Self { limbs }
    }

    /// `self` × `factor`.
    #[must_use]
    pub fn times(mut self, factor: u32) -> Self {
        let mut carry = 0_u64;
        for limb in &mut self.limbs {
            let product = u64::from(*limb) * u64::from(factor) + carry;
            *limb = low(product);
            carry = product >> 32;
        }
        if carry > 0 {
            self.limbs.push(low(carry));
        }
        if factor == 0 {
            self.limbs.clear();
        }
        self
    }

    /// `self` × `factor` to the power `exponent`.
    #[must_use]
    pub fn times_power(mut self, factor: u32, exponent: u32) -> Self {
        for _ in 0..exponent {
            self = self.times(factor);
        }
        self
    }

    /// `self` + `other`.
    #[must_use]
    pub fn plus(mut self, other: &Self) -> Self {
        let mut carry = 0_u64;
        for place in 0..self.limbs.len().max(other.limbs.len()) {
            let mine = self.limbs.get(place).copied().unwrap_or(0);
            let theirs = other.limbs.get(place).copied().unwrap_or(0);
            let sum = u64::from(mine) + u64::from(theirs) + carry;
            carry = sum >> 32;
            match self.limbs.get_mut(place) {
                Some(limb) => *limb = low(sum),
                None => self.limbs.push(low(sum)),
            }
        }
        if carry > 0 {
            self.limbs.push(low(carry));
        }
        self
    }
}

impl Ord for Natural {
    fn cmp(&self, other: &Self) -> Ordering {
        let by_length = self.limbs.len().cmp(&other.limbs.len());
        by_length.then_with(|| self.limbs.iter().rev().cmp(other.limbs.iter().rev()))
    }
}

impl PartialOrd for Natural {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

fn low(value: u64) -> u32 {
    // The mask leaves 32 bits.
    #[allow(clippy::cast_possible_truncation)]
    let limb = (value & 0xffff_ffff) as u32;
    limb
}

#[cfg(test)]
mod tests {
    use super::Natural;

    #[test]
    fn products_and_sums_agree_with_machine_arithmetic() {
        // 7 · 12⁹ · 5 and the sum below fit 64 bits, where the processor is exact.
        let product = Natural::new(7).times_power(12, 9).times(5);
        assert_eq!(product, Natural::new(7 * 12_u64.pow(9) * 5));
        let sum = Natural::new(u64::MAX / 2).plus(&Natural::new(12_345));
        assert_eq!(sum, Natural::new(u64::MAX / 2 + 12_345));
        assert_eq!(product.times(0), Natural::new(0));
    }

    #[test]
    fn order_is_by_size() {
        let large = Natural::new(1).times_power(10, 40);
        assert!(large > Natural::new(u64::MAX));
        assert!(large.clone().plus(&Natural::new(1)) > large);
    }
}
