//! Closing of a gap that is a quadratic in time: rails and facings.

/// The first s ≥ 0 at which g + r s + c s² falls through (or just touches) zero.
///
/// `g` is the gap now, `r` its rate and `c` half its acceleration; any unit. A gap above zero closes at
/// its first root. A gap of zero or below has closed already: what is sought then is the *next* closing,
/// after it has opened again, so `None` if it never opens. Whether something that touches and approaches
/// is in contact now is the caller's to say (see [`super::first_contact`]).
///
/// The roots are taken in the form that never subtracts nearly equal numbers (Goldberg 1991, "What every
/// computer scientist should know about floating-point arithmetic", section 1.4), which also covers
/// c = 0 without a branch.
///
/// ```
/// use longrail_math::roots::first_fall;
/// // A ball 1 m from a rail, at 2 m/s towards it, slowing by 1 m/s²: 1 − 2 s + s²/2.
/// let s = first_fall(1.0, -2.0, 0.5).unwrap_or(f64::NAN);
/// assert!((s - (2.0 - 2f64.sqrt())).abs() < 1e-15);
/// assert_eq!(first_fall(1.0, 2.0, 0.5), None);
/// // Opening now, pulled back later.
/// assert_eq!(first_fall(0.0, 1.0, -2.0), Some(0.5));
/// ```
#[inline]
pub fn first_fall(g: f64, r: f64, c: f64) -> Option<f64> {
    let discriminant = r * r - 4.0 * c * g;
    if discriminant < 0.0 {
        return None;
    }
    let root = discriminant.sqrt();
    if g > 0.0 {
        let denominator = root - r;
        (denominator > 0.0).then(|| 2.0 * g / denominator)
    } else {
        (c < 0.0 && r > 0.0).then(|| (r + root) / (-2.0 * c))
    }
}

#[cfg(test)]
mod tests {
    use super::first_fall;
    use proptest::prelude::*;

    #[test]
    fn a_vanishing_leading_coefficient_does_no_harm() {
        for c in [0.0, 1e-300, -1e-300, 1e-18, -1e-18] {
            let s = first_fall(1.0, -2.0, c).expect("it closes");
            assert!((s - 0.5).abs() < 1e-15, "{c}: {s}");
        }
    }

    #[test]
    fn a_double_root_is_a_touch() {
        assert_eq!(first_fall(1.0, -2.0, 1.0), Some(1.0));
    }

    proptest! {
        /// kurbo (general-purpose curve library) finds the roots; we pick the first at which the gap falls.
        #[test]
        fn agrees_with_kurbo(g in 1e-6f64..10.0, r in -20.0f64..20.0, c in -20.0f64..20.0) {
            let expected = kurbo::common::solve_quadratic(g, r, c)
                .iter().copied().filter(|s| *s >= 0.0).fold(f64::INFINITY, f64::min);
            match first_fall(g, r, c) {
                Some(s) => prop_assert!((s - expected).abs() <= 1e-9 * (1.0 + expected), "{s} {expected}"),
                None => prop_assert!(expected == f64::INFINITY, "missed {expected}"),
            }
        }
    }
}
