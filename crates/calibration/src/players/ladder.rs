//! A ladder of straight shots: a rung is a quarter diamond. Study of progression, 3.1.

use longrail_math::fx;
use longrail_stats::StatsError;
use longrail_stats::window::Scatter;

/// Ball diameter, mm (study of progression, 3.1).
const BALL_MM: f64 = 57.15;
/// Clear half-opening of the pocket, mm (an assumption there, to be measured per table).
const HALF_OPENING_MM: f64 = 28.0;
/// A diamond of a 9-ft bed, mm.
pub const DIAMOND_MM: f64 = 317.5;
/// From object ball to pocket, diamonds.
const TO_POCKET: f64 = 1.5;

/// Half of the window for the aim of a straight shot, degrees, when the cue ball lies `diamonds` from the object ball.
pub fn half_window_deg(diamonds: f64) -> f64 {
    let angle = fx::atan(HALF_OPENING_MM / (TO_POCKET * DIAMOND_MM));
    (angle / (diamonds * DIAMOND_MM / BALL_MM - 1.0)).to_degrees()
}

/// Chance of a make at a distance for an aim of this spread, degrees, without bias or lapse.
///
/// # Errors
/// If the spread is not greater than 0 or the distance so small that the balls overlap.
pub fn chance(diamonds: f64, spread_deg: f64) -> Result<f64, StatsError> {
    Scatter::new(spread_deg, 0.0, 0.0)?.chance(half_window_deg(diamonds))
}

/// The spread, degrees, at which the chance is even at this distance: window over Φ⁻¹(¾).
pub fn spread_for_even(diamonds: f64) -> f64 {
    half_window_deg(diamonds) / longrail_stats::special::normal_quantile(0.75)
}

#[cfg(test)]
mod tests {
    use super::{chance, spread_for_even};

    #[test]
    fn chances_are_those_of_the_study() {
        // Study of progression, 3.1: σ = 0.25 degrees on 9 ft; 1.5: a player who is even at two diamonds.
        let published = [
            (1.5, 0.934),
            (2.0, 0.817),
            (2.5, 0.704),
            (3.0, 0.610),
            (3.5, 0.534),
            (4.0, 0.474),
            (5.0, 0.385),
        ];
        for (diamonds, expected) in published {
            let ours = chance(diamonds, 0.25).unwrap();
            assert!((ours - expected).abs() < 0.000_51, "{diamonds}: {ours}");
        }
        // "For a straight shot at p = .5 the next rung has p = …" (1.5). The study's .465 at three diamonds is .46446 by
        // scipy.stats.norm from the same formulas, a unit of the last digit less; so is ours.
        let next = [(2.0, 2.25, 0.447), (3.0, 3.25, 0.464_46), (4.0, 5.0, 0.407), (5.0, 6.0, 0.424)];
        for (even, next, expected) in next {
            let ours = chance(next, spread_for_even(even)).unwrap();
            assert!((ours - expected).abs() < 0.000_51, "{even}: {ours}");
        }
    }
}
