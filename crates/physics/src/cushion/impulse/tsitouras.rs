//! One step of an embedded Runge–Kutta pair of orders 5 and 4.
//!
//! Source: Ch. Tsitouras 2011, "Runge–Kutta pairs of order 5(4) satisfying only the first column simplifying
//! assumption", Computers & Mathematics with Applications 62, 770–775. The coefficients were checked against
//! the 17 conditions of order 5. The equations here are autonomous, so the nodes do not appear.

/// Result of a step.
pub(super) struct Step<const N: usize> {
    /// State at the end.
    pub(super) y: [f64; N],
    /// Rates there; they are the first stage of the next step.
    pub(super) k: [f64; N],
    /// Integral over the step of what the caller wanted integrated.
    pub(super) integral: f64,
    /// Largest difference between the two orders.
    pub(super) error: f64,
}

const A3: [f64; 2] = [-0.008_480_655_492_356_989, 0.335_480_655_492_357];
const A4: [f64; 3] = [2.897_153_057_105_493_5, -6.359_448_489_975_075, 4.362_295_432_869_581_5];
const A5: [f64; 4] =
    [5.325_864_828_439_257, -11.748_883_564_062_828, 7.495_539_342_889_836_5, -0.092_495_066_361_755_25];
const A6: [f64; 5] = [
    5.861_455_442_946_42,
    -12.920_969_317_847_11,
    8.159_367_898_576_159,
    -0.071_584_973_281_401,
    -0.028_269_050_394_068_383,
];
const B: [f64; 6] = [
    0.096_460_766_818_065_23,
    0.01,
    0.479_889_650_414_499_6,
    1.379_008_574_103_742,
    -3.290_069_515_436_081,
    2.324_710_524_099_774,
];
/// The difference of the two orders' weights.
const E: [f64; 7] = [
    -0.001_780_011_052_225_777,
    -0.000_816_434_459_656_746_9,
    0.007_880_878_010_261_995,
    -0.144_711_007_173_262_9,
    0.582_357_165_452_555_2,
    -0.458_082_105_929_187,
    1.0 / 66.0,
];

#[inline(always)]
fn sum<const N: usize, const S: usize>(weights: &[f64; S], k: [&[f64; N]; S], i: usize) -> f64 {
    let mut sum = weights[0] * k[0][i];
    for j in 1..S {
        sum += weights[j] * k[j][i];
    }
    sum
}

#[inline(always)]
fn at<const N: usize, const S: usize>(
    y: &[f64; N],
    h: f64,
    weights: &[f64; S],
    k: [&[f64; N]; S],
) -> [f64; N] {
    let mut next = *y;
    for (i, x) in next.iter_mut().enumerate() {
        *x += h * sum(weights, k, i);
    }
    next
}

/// From `y` with the rates `k1` there, over `h`; `integrand` is integrated along the way.
#[inline(always)]
pub(super) fn step<const N: usize>(
    rates: impl Fn(&[f64; N]) -> [f64; N],
    integrand: impl Fn(&[f64; N]) -> f64,
    y: &[f64; N],
    k1: &[f64; N],
    h: f64,
) -> Step<N> {
    let y2 = at(y, h, &[0.161], [k1]);
    let k2 = rates(&y2);
    let y3 = at(y, h, &A3, [k1, &k2]);
    let k3 = rates(&y3);
    let y4 = at(y, h, &A4, [k1, &k2, &k3]);
    let k4 = rates(&y4);
    let y5 = at(y, h, &A5, [k1, &k2, &k3, &k4]);
    let k5 = rates(&y5);
    let y6 = at(y, h, &A6, [k1, &k2, &k3, &k4, &k5]);
    let k6 = rates(&y6);
    let end = at(y, h, &B, [k1, &k2, &k3, &k4, &k5, &k6]);
    let k7 = rates(&end);
    let mut error: f64 = 0.0;
    for i in 0..N {
        let e = (h * sum(&E, [k1, &k2, &k3, &k4, &k5, &k6, &k7], i)).abs();
        error = if e > error { e } else { error };
    }
    let mut integral = 0.0;
    for (b, y) in B.iter().zip([y, &y2, &y3, &y4, &y5, &y6]) {
        integral += b * integrand(y);
    }
    Step { y: end, k: k7, integral: h * integral, error }
}
