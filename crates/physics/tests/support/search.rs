//! Where an outcome changes: bisection and the like on functions that play a shot at every call.

/// The last value from `low` for which `holds`, by bisection to the last bit.
///
/// `low` must hold and `high` must not; with several changes in between, one of them is found.
pub(crate) fn edge(low: f64, high: f64, mut holds: impl FnMut(f64) -> bool) -> f64 {
    assert!(holds(low), "{low} does not hold");
    assert!(!holds(high), "{high} holds");
    let (mut low, mut high) = (low, high);
    loop {
        let middle = 0.5 * (low + high);
        if middle == low || middle == high {
            return low;
        }
        if holds(middle) { low = middle } else { high = middle }
    }
}

/// Where `f` changes sign between `low` and `high`.
pub(crate) fn root(low: f64, high: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    let sign = f(low) > 0.0;
    edge(low, high, |x| (f(x) > 0.0) == sign)
}

/// Where `f`, which rises and then falls from `low` to `high`, is greatest; good to about the square root of
/// the rounding of `f`.
pub(crate) fn greatest(low: f64, high: f64, mut f: impl FnMut(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low, high);
    for _ in 0..100 {
        let (left, right) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if f(left) < f(right) { low = left } else { high = right }
    }
    0.5 * (low + high)
}
