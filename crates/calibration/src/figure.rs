//! Figures: what was measured, and what stands beside it.

use crate::tally::{Counts, Estimate, wide};

/// How many standard errors a figure may be from a published one and still agree. Among the hundred or so figures that
/// have one beside them, chance alone passes this once in a hundred and fifty calibrations.
pub(crate) const ERRORS: f64 = 4.0;

/// What a value is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A share, from 0 to 1.
    Share,
    /// A number of attempts; nothing is "more than the horizon".
    Attempts,
    /// Any other quantity, in the unit that the name tells.
    Quantity,
}

/// A published or exact value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reference {
    /// Where it stands.
    pub source: &'static str,
    /// The value.
    pub value: f64,
    /// Its own standard error: 0 for exact ones. For a median, in shares.
    pub error: f64,
    /// Half a unit of the last digit that was published.
    pub rounding: f64,
}

impl Reference {
    /// An exact value, published with `digits` decimals.
    pub fn exact(source: &'static str, value: f64, digits: u8) -> Self {
        Self { source, value, error: 0.0, rounding: half_unit(digits) }
    }

    /// A share that was itself simulated with `runs` players.
    pub fn simulated(source: &'static str, value: f64, digits: u8, runs: f64) -> Self {
        Self { source, value, error: (value * (1.0 - value) / runs).sqrt(), rounding: half_unit(digits) }
    }

    /// A median that was itself simulated with `runs` players.
    pub fn median(source: &'static str, value: f64, runs: f64) -> Self {
        Self { source, value, error: 0.5 / runs.sqrt(), rounding: 0.5 }
    }

    /// A mean of known standard error.
    pub fn mean(source: &'static str, value: f64, digits: u8, error: f64) -> Self {
        Self { source, value, error, rounding: half_unit(digits) }
    }
}

fn half_unit(digits: u8) -> f64 {
    (0..digits).fold(0.5, |unit, _| unit / 10.0)
}

/// Does it agree with what stands beside it?
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Agreement {
    /// Within four standard errors of the published value, or inside the range that is promised.
    Yes,
    /// Not so.
    No,
    /// Nothing stands beside it, or there is no value.
    Nothing,
}

/// One measured figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Heading under which it stands.
    pub section: &'static str,
    /// What it is, of which player.
    pub name: String,
    /// What kind of value.
    pub kind: Kind,
    /// The value, its simulation error, and its runs.
    pub estimate: Estimate,
    /// A published or exact value.
    pub reference: Option<Reference>,
    /// The range that the project promises.
    pub promised: Option<(f64, f64)>,
    /// Does it agree?
    pub agrees: Agreement,
}

impl Figure {
    /// A share or quantity with nothing beside it: published as it is.
    pub fn new(section: &'static str, name: impl Into<String>, kind: Kind, estimate: Estimate) -> Self {
        Self {
            section,
            name: name.into(),
            kind,
            estimate,
            reference: None,
            promised: None,
            agrees: Agreement::Nothing,
        }
    }

    /// A share.
    pub fn share(section: &'static str, name: impl Into<String>, estimate: Estimate) -> Self {
        Self::new(section, name, Kind::Share, estimate)
    }

    /// The same, held against a published or exact value.
    #[must_use]
    pub fn beside(mut self, reference: Reference) -> Self {
        if let Some(value) = self.estimate.value {
            let error =
                (self.estimate.error * self.estimate.error + reference.error * reference.error).sqrt();
            let far = (value - reference.value).abs() > ERRORS * error + reference.rounding;
            self.agrees = if far { Agreement::No } else { Agreement::Yes };
        }
        self.reference = Some(reference);
        self
    }

    /// A share with a promise: it agrees if the range can be reached within four standard errors.
    #[must_use]
    pub fn promised(mut self, low: f64, high: f64) -> Self {
        if let Some(value) = self.estimate.value {
            let slack = ERRORS * self.estimate.error;
            let holds = low - slack <= value && value <= high + slack;
            self.agrees = if holds { Agreement::Yes } else { Agreement::No };
        }
        self.promised = Some((low, high));
        self
    }

    /// A median number of attempts, beside a published one if there is one. It agrees if the published one lies between
    /// the quantiles that four standard errors of both simulations leave open.
    pub fn median(
        section: &'static str,
        name: impl Into<String>,
        counts: &Counts,
        horizon: i64,
        reference: Option<Reference>,
    ) -> Self {
        let mut figure = Self::new(section, name, Kind::Attempts, counts.median(horizon));
        if let Some(reference) = reference
            && counts.runs() > 0
        {
            let own = 0.25 / wide(counts.runs());
            let step = ERRORS * (own + reference.error * reference.error).sqrt();
            // Attempts: far below 2⁵³; "never" is larger than any.
            #[allow(clippy::cast_precision_loss)]
            let at = |q: f64| counts.quantile(q).map_or(f64::INFINITY, |v| v as f64);
            let low = at(0.5 - step) - reference.rounding;
            let high = at(0.5 + step) + reference.rounding;
            let inside = low <= reference.value && reference.value <= high;
            figure.agrees = if inside { Agreement::Yes } else { Agreement::No };
            figure.reference = Some(reference);
        }
        figure
    }
}

#[cfg(test)]
mod tests {
    use super::{Agreement, Counts, Figure, Reference};
    use crate::Estimate;

    fn share(value: f64) -> Figure {
        Figure::share("a", "b", Estimate { value: Some(value), error: 0.01, runs: 100 })
    }

    #[test]
    fn four_errors_agree_and_five_do_not() {
        let exact = Reference::exact("by hand", 0.5, 4);
        assert_eq!(share(0.539).beside(exact).agrees, Agreement::Yes);
        assert_eq!(share(0.551).beside(exact).agrees, Agreement::No);
        assert_eq!(share(0.70).promised(0.77, 0.84).agrees, Agreement::No);
        assert_eq!(share(0.80).promised(0.77, 0.84).agrees, Agreement::Yes);
        assert_eq!(share(0.5).agrees, Agreement::Nothing);
    }

    #[test]
    fn a_median_beyond_the_horizon_is_no_value_and_disagrees_with_a_published_one_within() {
        let mut counts = Counts::default();
        (0..1000).for_each(|i| counts.add(if i < 100 { 10 } else { i64::MAX }));
        let reference = Reference::median("by hand", 10.0, 20_000.0);
        let figure = Figure::median("a", "b", &counts, 400, Some(reference));
        assert_eq!((figure.estimate.value, figure.agrees), (None, Agreement::No));
    }
}
