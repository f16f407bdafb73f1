//! Sessions of 50 attempts at three tasks, lapse 2 % (study of progression, 3.3 and 4.1).

use super::normal;
use longrail_math::fx;
use longrail_math::random::Stream;
use longrail_stats::fit::binomial;
use longrail_stats::trend::{Grid, Session};
use longrail_stats::window::Scatter;
use longrail_stats::{Count, StatsError};

/// Half-widths in units of the starting spread: chances .5, .68 and .85 without lapses (study of progression, 3.3).
const HALF_WIDTHS: [f64; 3] = [0.6745, 1.0, 1.4395];
const ATTEMPTS: [u32; 3] = [17, 17, 16];
const LAPSE: f64 = 0.02;

/// One session: what was made of the attempts at each task, as a likelihood of ln spread. `day_form` is the standard
/// deviation of the day's form on ln spread; `days` have passed since the session before.
///
/// # Errors
/// If a number is not finite.
pub fn session(
    grid: &Grid,
    stream: &mut Stream,
    ln_spread: f64,
    day_form: f64,
    days: f64,
) -> Result<Session, StatsError> {
    let today = fx::exp(ln_spread + day_form * normal(stream));
    let mut counts = [Count::default(); 3];
    for ((count, width), attempts) in counts.iter_mut().zip(HALF_WIDTHS).zip(ATTEMPTS) {
        let chance = Scatter::new(today, 0.0, LAPSE)?.chance(width)?;
        let made = (0..attempts).filter(|_| stream.unit() < chance).count();
        *count = Count::new(u32::try_from(made).unwrap_or(0), attempts)?;
    }
    grid.session(days, |x| {
        let Ok(scatter) = Scatter::new(fx::exp(x), 0.0, LAPSE) else { return f64::NAN };
        let chance = |width| scatter.chance(width).unwrap_or(f64::NAN);
        counts.iter().zip(HALF_WIDTHS).map(|(count, width)| binomial(*count, chance(width))).sum()
    })
}
