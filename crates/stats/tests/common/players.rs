//! Simulated players for the rule that names a trend: three tasks, 50 attempts a session, day form, lapse 2 %.
#![allow(dead_code, reason = "each user needs a part")]

use longrail_math::random::Stream;
use longrail_stats::fit::binomial;
use longrail_stats::special::normal_quantile;
use longrail_stats::trend::{Grid, Session};
use longrail_stats::window::Scatter;
use longrail_stats::{Count, StatsError};

/// Half-widths in units of the starting spread: chances .5, .68 and .85 without lapses (study of progression, 3.3).
const HALF_WIDTHS: [f64; 3] = [0.6745, 1.0, 1.4395];
const ATTEMPTS: [u32; 3] = [17, 17, 16];
const LAPSE: f64 = 0.02;

/// How the player's ln spread moves, relative to its start.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Truth {
    /// It does not.
    Steady,
    /// It drops at once by this much at this session.
    Step(f64, usize),
    /// It changes evenly by this much from the first to the last session.
    Ramp(f64),
}

impl Truth {
    /// ln spread at a session of `count`.
    pub(crate) fn at(self, session: usize, count: usize) -> f64 {
        match self {
            Self::Steady => 0.0,
            Self::Step(by, at) => f64::from(u8::from(session >= at)) * by,
            #[allow(clippy::cast_precision_loss)]
            Self::Ramp(by) => by * session as f64 / count.max(1) as f64,
        }
    }
}

/// A standard normal number.
pub(crate) fn normal(stream: &mut Stream) -> f64 {
    // Never exactly 0.
    normal_quantile((stream.unit() + 1e-18).min(1.0 - 1e-16))
}

/// One session: what was made of the attempts at each task, as a likelihood of ln spread.
pub(crate) fn session(
    grid: &Grid,
    stream: &mut Stream,
    ln_spread: f64,
    day_form: f64,
    days: f64,
) -> Result<Session, StatsError> {
    let today = longrail_math::fx::exp(ln_spread + day_form * normal(stream));
    let mut counts = [Count::default(); 3];
    for ((count, width), attempts) in counts.iter_mut().zip(HALF_WIDTHS).zip(ATTEMPTS) {
        let chance = Scatter::new(today, 0.0, LAPSE)?.chance(width)?;
        let made = (0..attempts).filter(|_| stream.unit() < chance).count();
        *count = Count::new(u32::try_from(made).unwrap_or(0), attempts)?;
    }
    grid.session(days, |x| {
        let Ok(scatter) = Scatter::new(longrail_math::fx::exp(x), 0.0, LAPSE) else { return f64::NAN };
        let chance = |width| scatter.chance(width).unwrap_or(f64::NAN);
        counts.iter().zip(HALF_WIDTHS).map(|(count, width)| binomial(*count, chance(width))).sum()
    })
}
