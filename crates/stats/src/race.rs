//! Races: first to N wins of independent games, each won with chance p, against M for the other side.
//!
//! Pr(win) = Iₚ(N, M), the regularised incomplete beta function (a negative binomial tail). Study of progression,
//! section 7. That games are independent with one chance is an assumption.

use crate::StatsError;
use crate::error::{chance, check, open_chance};
use crate::special::beta::{quantile_pair, tails};
use longrail_math::fx;

/// A race: how many wins each side needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Race {
    own: u32,
    other: u32,
}

impl Race {
    /// Most wins that a side may need.
    pub const MOST: u32 = 10_000;

    /// `own` wins needed here, `other` there; unequal numbers are a handicap.
    ///
    /// ```
    /// use longrail_stats::race::Race;
    /// // Study of progression, section 7: at 40 % a race to 7 is won 23 % of the time.
    /// let race = Race::new(7, 7)?;
    /// assert!((race.win(0.4)? - 0.228_844).abs() < 1e-6);
    /// assert!((race.expected_games(0.4)? - 10.706).abs() < 1e-3);
    /// # Ok::<(), longrail_stats::StatsError>(())
    /// ```
    ///
    /// # Errors
    /// If one of them is not from 1 to [`Race::MOST`].
    pub fn new(own: u32, other: u32) -> Result<Self, StatsError> {
        let fits = |v: f64| (1.0..=f64::from(Self::MOST)).contains(&v);
        check("games to win", f64::from(own), "from 1 to 10000", fits)?;
        check("games for the other side", f64::from(other), "from 1 to 10000", fits)?;
        Ok(Self { own, other })
    }

    /// Wins needed on either side: own, other.
    pub const fn needed(self) -> (u32, u32) {
        (self.own, self.other)
    }

    fn shapes(self) -> (f64, f64) {
        (f64::from(self.own), f64::from(self.other))
    }

    /// Chance to win the race when a game is won with chance `p`.
    ///
    /// # Errors
    /// If `p` is not from 0 to 1.
    pub fn win(self, p: f64) -> Result<f64, StatsError> {
        let p = chance("chance to win a game", p)?;
        let (n, m) = self.shapes();
        Ok(tails(n, m, p, 1.0 - p).below)
    }

    /// Games that the race is expected to last: (N/p) Iₚ(N+1, M) + (M/q) I_q(M+1, N) with q = 1 − p.
    ///
    /// # Errors
    /// If `p` is not from 0 to 1.
    pub fn expected_games(self, p: f64) -> Result<f64, StatsError> {
        let p = chance("chance to win a game", p)?;
        let (n, m) = self.shapes();
        let q = 1.0 - p;
        let won = if p > 0.0 { n / p * tails(n + 1.0, m, p, q).below } else { 0.0 };
        let lost = if q > 0.0 { m / q * tails(m + 1.0, n, q, p).below } else { 0.0 };
        Ok(won + lost)
    }

    /// Chance per game at which the race is won with chance `wanted`.
    ///
    /// # Errors
    /// If `wanted` is not greater than 0 and less than 1.
    pub fn rate_for(self, wanted: f64) -> Result<f64, StatsError> {
        let wanted = open_chance("wanted chance", wanted)?;
        let (n, m) = self.shapes();
        Ok(quantile_pair(n, m, wanted, 1.0 - wanted).0)
    }

    /// Chance per game at which the race is even.
    pub fn even_rate(self) -> f64 {
        let (n, m) = self.shapes();
        if self.own == self.other { 0.5 } else { quantile_pair(n, m, 0.5, 0.5).0 }
    }
}

/// The constant chance of each of `steps` parts that gives `whole` for all of them in a row: `whole` to the power
/// 1/`steps`. For 9 parts and an even whole, 0.92587.
///
/// # Errors
/// If `steps` is 0 or `whole` is not from 0 to 1.
pub fn chance_per_step(steps: u32, whole: f64) -> Result<f64, StatsError> {
    check("steps", f64::from(steps), "1 or more", |v| v >= 1.0)?;
    chance("chance of the whole", whole)?;
    Ok(fx::pow(whole, 1.0 / f64::from(steps)))
}
