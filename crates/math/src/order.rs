//! Sorting in little code: the standard library's sort is compiled anew for each type, some four kilobytes that a browser
//! has to load, each time.

use std::cmp::Ordering;

/// The numbers 0 to `count` in the order that `compare` says; equals stay as they are.
///
/// ```
/// use longrail_math::order;
/// let sizes = [3, 1, 2, 1];
/// assert_eq!(order::of(4, &mut |a, b| sizes[a].cmp(&sizes[b])), [1, 3, 2, 0]);
/// ```
pub fn of(count: usize, compare: &mut dyn FnMut(usize, usize) -> Ordering) -> Vec<usize> {
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|a, b| compare(*a, *b));
    order
}

/// Sorts; equals stay in their order.
///
/// ```
/// let mut words = ["three", "two", "one"];
/// longrail_math::order::sort_by(&mut words, |a, b| a.len().cmp(&b.len()));
/// assert_eq!(words, ["two", "one", "three"]);
/// ```
pub fn sort_by<T>(items: &mut [T], mut compare: impl FnMut(&T, &T) -> Ordering) {
    let mut order = of(items.len(), &mut |a, b| compare(&items[a], &items[b]));
    // Each round of places that take from each other, one after the other.
    for first in 0..order.len() {
        let mut at = first;
        loop {
            let from = std::mem::replace(&mut order[at], at);
            if from == first {
                break;
            }
            items.swap(at, from);
            at = from;
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_sorts_as_the_standard_library_does(keys in prop::collection::vec(0_u8..20, 0..200)) {
            let mut items: Vec<(u8, usize)> = keys.into_iter().zip(0..).collect();
            let mut expected = items.clone();
            expected.sort_by_key(|(key, _)| *key);
            super::sort_by(&mut items, |a, b| a.0.cmp(&b.0));
            prop_assert_eq!(items, expected);
        }
    }
}
