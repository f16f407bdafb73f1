//! Form that clusters: the same chance on average, but good and bad runs of it.

use super::{logistic, logit, normal};
use longrail_math::random::Stream;

/// How makes and misses hang together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// They do not.
    Even,
    /// Each session of this many attempts has its own form: normal on the logit, with this standard deviation, around
    /// the logit of the chance.
    Session {
        /// Standard deviation on the logit. Study of progression, 1.4: 0.4.
        sd: f64,
        /// Attempts of a session.
        attempts: u32,
    },
    /// A make follows a make more often than it follows a miss: Markov's chain with this lag-1 correlation.
    Markov {
        /// Correlation of neighbours, from 0 to below 1. Study of progression, 1.4: 0.2.
        correlation: f64,
    },
}

impl Form {
    /// In words.
    pub fn text(self) -> String {
        match self {
            Self::Even => "even form".to_owned(),
            Self::Session { sd, attempts } => format!("form of sd {sd} per session of {attempts}"),
            Self::Markov { correlation } => format!("lag-1 correlation {correlation}"),
        }
    }

    /// The long-run share of makes of a player with chance `p`: the truth for an interval. For session form it is the
    /// mean of logistic(logit p + form), by the trapezoid rule over eight standard deviations.
    pub fn long_run(self, p: f64) -> f64 {
        match self {
            Self::Even | Self::Markov { .. } => p,
            Self::Session { sd, .. } => {
                let (mut sum, mut mass) = (0.0, 0.0);
                for i in -80..=80 {
                    let z = f64::from(i) * 0.1;
                    let weight = longrail_math::fx::exp(-0.5 * z * z);
                    sum += weight * logistic(logit(p) + sd * z);
                    mass += weight;
                }
                sum / mass
            }
        }
    }
}

/// A player who shoots attempt after attempt.
#[derive(Clone, Copy, Debug)]
pub struct Shooter {
    form: Form,
    attempt: u32,
    /// Form of this session on the logit.
    today: f64,
    last: Option<bool>,
}

impl Shooter {
    /// Before the first attempt.
    pub const fn new(form: Form) -> Self {
        Self { form, attempt: 0, today: 0.0, last: None }
    }

    /// The session that the next attempt belongs to; 0 where there are none.
    pub const fn session(&self) -> u32 {
        match self.form {
            Form::Session { attempts, .. } if attempts > 0 => self.attempt / attempts,
            _ => 0,
        }
    }

    /// The next attempt, of chance `p` but for form.
    pub fn shoot(&mut self, p: f64, stream: &mut Stream) -> bool {
        let chance = match self.form {
            Form::Even => p,
            Form::Session { sd, attempts } => {
                if self.attempt.is_multiple_of(attempts.max(1)) {
                    self.today = sd * normal(stream);
                }
                logistic(logit(p) + self.today)
            }
            Form::Markov { correlation } => match self.last {
                None => p,
                Some(true) => p + correlation * (1.0 - p),
                Some(false) => p - correlation * p,
            },
        };
        let made = stream.unit() < chance;
        self.attempt += 1;
        self.last = Some(made);
        made
    }
}

#[cfg(test)]
mod tests {
    use super::{Form, Shooter};
    use longrail_math::random::Stream;

    #[test]
    fn a_chain_has_the_rate_and_the_correlation_that_it_names() {
        let mut stream = Stream::new(1, 1, 1);
        let mut shooter = Shooter::new(Form::Markov { correlation: 0.2 });
        let made: Vec<f64> =
            (0..200_000).map(|_| f64::from(u8::from(shooter.shoot(0.45, &mut stream)))).collect();
        let mean = made.iter().sum::<f64>() / 200_000.0;
        let product: f64 = made.windows(2).map(|w| (w[0] - mean) * (w[1] - mean)).sum();
        let correlation = product / made.iter().map(|m| (m - mean) * (m - mean)).sum::<f64>();
        // Six standard errors: √(.45·.55·(1+.2)/(1−.2)/200 000) = .00136, 1/√200 000 = .0022.
        assert!((mean - 0.45).abs() < 0.0082, "{mean}");
        assert!((correlation - 0.2).abs() < 0.0134, "{correlation}");
    }

    #[test]
    fn the_long_run_of_session_form_is_even_at_even_chances_and_less_extreme_elsewhere() {
        let form = Form::Session { sd: 0.4, attempts: 25 };
        assert!((form.long_run(0.5) - 0.5).abs() < 1e-12);
        // scipy.integrate.quad of norm.pdf(z)·expit(logit(.7) + .4 z): 0.69366015.
        assert!((form.long_run(0.7) - 0.693_660_1).abs() < 1e-6, "{}", form.long_run(0.7));
    }
}
