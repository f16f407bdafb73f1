//! The normal distribution.

use longrail_math::fx;
use std::f64::consts::{SQRT_2, TAU};

/// Density of the standard normal distribution.
pub fn normal_density(z: f64) -> f64 {
    fx::exp(-0.5 * z * z) / TAU.sqrt()
}

/// Chance that a standard normal number is at most `z`. Relative error below 10⁻¹⁵·(1 + z²), lower tail included.
///
/// ```
/// use longrail_stats::special::normal_cdf;
/// assert_eq!(normal_cdf(0.0), 0.5);
/// ```
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * fx::erfc(-z / SQRT_2)
}

/// Where the lower tail of the standard normal distribution is `p`; relative error below 10⁻¹⁴.
///
/// Wichura, "Algorithm AS 241", Applied Statistics 37 (1988), PPND16.
///
/// ```
/// use longrail_stats::special::normal_quantile;
/// // Any table of the normal distribution.
/// assert!((normal_quantile(0.975) - 1.959_963_984_540_054).abs() < 1e-14);
/// ```
pub fn normal_quantile(p: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) {
        return f64::NAN;
    }
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180_625 - q * q;
        return q * ratio(r, &CENTRE);
    }
    let tail = if q < 0.0 { p } else { 1.0 - p };
    if tail == 0.0 {
        return f64::INFINITY.copysign(q);
    }
    let r = (-fx::ln(tail)).sqrt();
    let z = if r <= 5.0 { ratio(r - 1.6, &MIDDLE) } else { ratio(r - 5.0, &FAR) };
    z.copysign(q)
}

/// Ratio of two polynomials, coefficients from the constant upwards.
fn ratio(x: f64, [numerator, denominator]: &[[f64; 8]; 2]) -> f64 {
    let value = |coefficients: &[f64; 8]| coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c);
    value(numerator) / value(denominator)
}

// Coefficients of the paper, as printed there.
#[allow(clippy::excessive_precision)]
const CENTRE: [[f64; 8]; 2] = [
    [
        3.387_132_872_796_366_608_0,
        1.331_416_678_917_843_774_5e2,
        1.971_590_950_306_551_442_7e3,
        1.373_169_376_550_946_112_5e4,
        4.592_195_393_154_987_145_7e4,
        6.726_577_092_700_870_085_3e4,
        3.343_057_558_358_812_810_5e4,
        2.509_080_928_730_122_672_7e3,
    ],
    [
        1.0,
        4.231_333_070_160_091_125_2e1,
        6.871_870_074_920_579_082_8e2,
        5.394_196_021_424_751_107_7e3,
        2.121_379_430_158_659_586_7e4,
        3.930_789_580_009_271_061_0e4,
        2.872_908_573_572_194_267_4e4,
        5.226_495_278_852_854_561_0e3,
    ],
];
#[allow(clippy::excessive_precision)]
const MIDDLE: [[f64; 8]; 2] = [
    [
        1.423_437_110_749_683_577_34,
        4.630_337_846_156_545_295_90,
        5.769_497_221_460_691_405_50,
        3.647_848_324_763_204_605_04,
        1.270_458_252_452_368_382_58,
        2.417_807_251_774_506_117_70e-1,
        2.272_384_498_926_918_458_33e-2,
        7.745_450_142_783_414_076_40e-4,
    ],
    [
        1.0,
        2.053_191_626_637_758_821_87,
        1.676_384_830_183_803_849_40,
        6.897_673_349_851_000_045_50e-1,
        1.481_039_764_274_800_745_90e-1,
        1.519_866_656_361_645_719_66e-2,
        5.475_938_084_995_344_946_00e-4,
        1.050_750_071_644_416_843_24e-9,
    ],
];
#[allow(clippy::excessive_precision)]
const FAR: [[f64; 8]; 2] = [
    [
        6.657_904_643_501_103_777_20,
        5.463_784_911_164_114_369_90,
        1.784_826_539_917_291_335_80,
        2.965_605_718_285_048_912_30e-1,
        2.653_218_952_657_612_309_30e-2,
        1.242_660_947_388_078_438_60e-3,
        2.711_555_568_743_487_578_15e-5,
        2.010_334_399_292_288_132_65e-7,
    ],
    [
        1.0,
        5.998_322_065_558_879_376_90e-1,
        1.369_298_809_227_358_053_10e-1,
        1.487_536_129_085_061_485_25e-2,
        7.868_691_311_456_132_591_00e-4,
        1.846_318_317_510_054_681_80e-5,
        1.421_511_758_316_445_888_70e-7,
        2.044_263_103_389_939_785_64e-15,
    ],
];
