//! Evidence that a rate lies above (or below) a line, valid however often it is looked at.
//!
//! With s makes and f misses counted, line p₀ and alternatives pⱼ = p₀ + cⱼ (1 − p₀) of weight wⱼ,
//!
//! ```text
//! E(s, f) = Σ wⱼ (pⱼ/p₀)ˢ (1 − cⱼ)ᶠ
//! ```
//!
//! If the chance of a make, given all before, never exceeds p₀, each factor has mean at most 1: E is a non-negative
//! supermartingale that starts at 1, and reaches 1/α ever with chance at most α (Ville's inequality). It needs no
//! independence. Mixture form: Robbins 1970; Howard, Ramdas, McAuliffe & Sekhon, Annals of Statistics 49(2), 2021.
//! Study of progression, sections 1.1 and 1.6.

use super::Natural;
use crate::StatsError;
use crate::error::{check, open_chance};
use longrail_math::fx;

/// One alternative of the mixture: what share of the way from the line to certainty it lies, and its weight, both in
/// whole tenths so that evidence can be computed exactly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Alternative {
    tenths_of_the_way: u8,
    tenths_of_weight: u8,
}

/// Study of progression 1.1: fractions 0.2, 0.4, 0.6; weights 0.5, 0.3, 0.2 (chosen there by simulation).
const MIXTURE: [Alternative; 3] = [
    Alternative { tenths_of_the_way: 2, tenths_of_weight: 5 },
    Alternative { tenths_of_the_way: 4, tenths_of_weight: 3 },
    Alternative { tenths_of_the_way: 6, tenths_of_weight: 2 },
];

/// How far the computed ln E may be from the true one for up to [`crate::Count::MOST`] tries on lines from 0.01 to
/// 0.99: three logarithms of relative error 2⁻⁵², each times at most 10⁷ tries and 4.7; the test against exact
/// arithmetic finds less than a thousandth of it on a sheet.
const ROUNDING: f64 = 1e-7;
/// On a sheet, where counts stay below 1,000.
const ROUNDING_SHEET: f64 = 1e-11;

/// Which side of the line is to be shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// That the rate lies above it.
    Above,
    /// That the rate lies below it.
    Below,
}

/// The evidence for one side of one line.
///
/// ```
/// use longrail_stats::promotion::Evidence;
/// let evidence = Evidence::above(0.5)?;
/// assert_eq!(evidence.ln_e(0, 0), 0.0);
/// // Check value S38: mpmath, 30 digits.
/// assert!((evidence.ln_e(13, 3) - 2.613_512_78).abs() < 1e-7);
/// # Ok::<(), longrail_stats::StatsError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evidence {
    side: Side,
    line: f64,
    /// The line as a fraction seen from the side: p₀, or 1 − q₀, over 10⁶; nothing if it has more decimals.
    millionths: Option<u32>,
    ln_weight: [f64; 3],
    ln_for: [f64; 3],
    ln_against: [f64; 3],
}

impl Evidence {
    /// Evidence that the rate lies above `line`: what promotion asks for.
    ///
    /// # Errors
    /// If the line is not from 0.01 to 0.99.
    pub fn above(line: f64) -> Result<Self, StatsError> {
        Self::new(Side::Above, line)
    }

    /// Evidence that the rate lies below `line`: what a step back asks for. Makes and misses change places, and the
    /// line becomes 1 − `line`.
    ///
    /// # Errors
    /// If the line is not from 0.01 to 0.99.
    pub fn below(line: f64) -> Result<Self, StatsError> {
        Self::new(Side::Below, line)
    }

    fn new(side: Side, line: f64) -> Result<Self, StatsError> {
        let line = check("target rate", line, "from 0.01 to 0.99", |v| (0.01..=0.99).contains(&v))?;
        let scaled = (line * 1e6).round();
        let exact = (scaled / 1e6 - line).abs() <= 4.0 * f64::EPSILON * line;
        // Between 10 000 and 990 000.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let scaled = scaled as u32;
        let millionths = exact.then_some(match side {
            Side::Above => scaled,
            Side::Below => 1_000_000 - scaled,
        });
        let seen = match (millionths, side) {
            (Some(count), _) => f64::from(count) / 1e6,
            (None, Side::Above) => line,
            (None, Side::Below) => 1.0 - line,
        };
        let tenth = |tenths: u8| f64::from(tenths) / 10.0;
        Ok(Self {
            side,
            line,
            millionths,
            ln_weight: MIXTURE.map(|a| fx::ln(tenth(a.tenths_of_weight))),
            ln_for: MIXTURE.map(|a| fx::log1p(tenth(a.tenths_of_the_way) * (1.0 - seen) / seen)),
            ln_against: MIXTURE.map(|a| fx::log1p(-tenth(a.tenths_of_the_way))),
        })
    }

    /// Which side it is about.
    pub const fn side(&self) -> Side {
        self.side
    }

    /// The line.
    pub const fn line(&self) -> f64 {
        self.line
    }

    /// ln E after these makes and misses; 0 before the first. Absolute error below 10⁻¹¹ up to 1,000 tries.
    pub fn ln_e(&self, made: u32, missed: u32) -> f64 {
        let (for_it, against) = self.seen(made, missed);
        if for_it == 0 && against == 0 {
            return 0.0;
        }
        let (s, f) = (f64::from(for_it), f64::from(against));
        let part = |j: usize| self.ln_weight[j] + s * self.ln_for[j] + f * self.ln_against[j];
        let parts = [part(0), part(1), part(2)];
        let top = parts[0].max(parts[1]).max(parts[2]);
        top + fx::ln(parts.iter().map(|p| fx::exp(p - top)).sum())
    }

    /// Does E reach 1/α? Exact for lines and α of at most six decimals, on which rounding has no say; for others, a case
    /// within rounding of the threshold does not count as reached, which keeps the guarantee.
    pub fn reaches(&self, alpha: Alpha, made: u32, missed: u32) -> bool {
        let distance = self.ln_e(made, missed) - alpha.ln_threshold();
        let small = made.max(missed) < 1000;
        if distance.abs() > if small { ROUNDING_SHEET } else { ROUNDING } {
            return distance > 0.0;
        }
        match self.exact(made, missed) {
            Some(e) if small => {
                // E ≥ 1/α, with α in millionths.
                e.numerator.times(alpha.millionths) >= e.denominator.times(1_000_000)
            }
            _ => false,
        }
    }

    /// E as an exact fraction; nothing if the line has more than six decimals.
    ///
    /// With p₀ = N/D, D = 10⁶ and cⱼ = Cⱼ/10:
    /// E = Σ Wⱼ (10 N + Cⱼ (D − N))ˢ (10 − Cⱼ)ᶠ / (10 (10 N)ˢ 10ᶠ).
    pub fn exact(&self, made: u32, missed: u32) -> Option<Fraction> {
        let n = self.millionths?;
        let (s, f) = self.seen(made, missed);
        let mut numerator = Natural::new(0);
        for a in MIXTURE {
            let c = u32::from(a.tenths_of_the_way);
            let part = Natural::new(u64::from(a.tenths_of_weight))
                .times_power(10 * n + c * (1_000_000 - n), s)
                .times_power(10 - c, f);
            numerator = numerator.plus(&part);
        }
        let denominator = Natural::new(10).times_power(10 * n, s).times_power(10, f);
        Some(Fraction { numerator, denominator })
    }

    /// Tries that speak for the side, and tries that speak against it.
    const fn seen(&self, made: u32, missed: u32) -> (u32, u32) {
        match self.side {
            Side::Above => (made, missed),
            Side::Below => (missed, made),
        }
    }
}

/// A quotient of whole numbers, not reduced.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fraction {
    /// Above the line.
    pub numerator: Natural,
    /// Below the line.
    pub denominator: Natural,
}

/// How often evidence may reach its threshold although nothing is there, at most.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Alpha {
    millionths: u32,
    ln_threshold: f64,
}

impl Alpha {
    /// Any α from 0.0001 to 0.5; it is rounded down to a millionth, so the promise is kept or bettered.
    ///
    /// # Errors
    /// If α is outside this range.
    pub fn new(alpha: f64) -> Result<Self, StatsError> {
        open_chance("alpha", alpha)?;
        check("alpha", alpha, "from 0.0001 to 0.5", |v| (0.0001..=0.5).contains(&v))?;
        // Between 100 and 500 000; what is a whole number of millionths but for rounding is taken as one.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let millionths = (alpha * 1e6 * (1.0 + 4.0 * f64::EPSILON)).floor() as u32;
        Ok(Self { millionths, ln_threshold: -fx::ln(f64::from(millionths) / 1e6) })
    }

    /// α itself.
    pub fn value(self) -> f64 {
        f64::from(self.millionths) / 1e6
    }

    /// ln(1/α): 2.302585… for 0.10, 2.995732… for 0.05.
    pub const fn ln_threshold(self) -> f64 {
        self.ln_threshold
    }
}
