//! The plan: scenarios cut into units that may be worked off in any order.

use crate::scenario::{Fault, Record, Scenario};
use crate::{Figure, Tally, scenarios};
use longrail_math::random::Stream;

/// Aim for a unit of work, in microseconds by the scenarios' own estimates: short enough that a stop is prompt.
const UNIT_US: u64 = 200_000;
/// Fewest runs of a scenario, whatever the scale.
const FEWEST: u64 = 4;
/// Scale of a short calibration.
pub const SHORT: f64 = 0.04;

/// Everything that is to be simulated.
pub struct Plan {
    seed: u64,
    scenarios: Vec<Box<dyn Scenario>>,
    units: Vec<Unit>,
}

/// Runs `from` to `to` (excluded) of a scenario.
#[derive(Clone, Copy, Debug)]
struct Unit {
    scenario: usize,
    from: u64,
    to: u64,
}

/// What a unit found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Done {
    scenario: usize,
    runs: u64,
    tally: Tally,
}

impl Plan {
    /// The whole calibration, each scenario with `scale` times its usual number of runs (but at least 4).
    ///
    /// # Errors
    /// If statistics or engine refuse a constant of a scenario: a fault of this crate.
    pub fn new(seed: u64, scale: f64) -> Result<Self, Fault> {
        Ok(Self::of(seed, scale, scenarios::all()?))
    }

    /// The part of it whose scenarios' names begin with one of `names`.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn only(seed: u64, scale: f64, names: &[String]) -> Result<Self, Fault> {
        let mut scenarios = scenarios::all()?;
        scenarios.retain(|it| names.iter().any(|name| it.key().starts_with(name.as_str())));
        Ok(Self::of(seed, scale, scenarios))
    }

    /// The same for scenarios of the caller's choice.
    pub fn of(seed: u64, scale: f64, scenarios: Vec<Box<dyn Scenario>>) -> Self {
        let mut units = Vec::new();
        for (scenario, it) in scenarios.iter().enumerate() {
            let runs = scaled(it.runs(), scale);
            let chunk = (UNIT_US / it.cost_us().max(1)).clamp(1, runs);
            let mut from = 0;
            while from < runs {
                let to = runs.min(from + chunk);
                units.push((order(from, runs), Unit { scenario, from, to }));
                from = to;
            }
        }
        // The first unit of every scenario comes first, and then all advance alike: what is stopped early has something
        // of each.
        units.sort_by_key(|(order, unit)| (*order, unit.scenario));
        Self { seed, scenarios, units: units.into_iter().map(|(_, unit)| unit).collect() }
    }

    /// The seed.
    pub const fn seed(&self) -> u64 {
        self.seed
    }

    /// Number of units of work.
    pub fn units(&self) -> usize {
        self.units.len()
    }

    /// Rough cost of a unit in microseconds; 0 if there is no such unit.
    pub fn cost_us(&self, unit: usize) -> u64 {
        let cost = |unit: &Unit| (unit.to - unit.from) * self.scenarios[unit.scenario].cost_us();
        self.units.get(unit).map_or(0, cost)
    }

    /// Runs planned, of all scenarios together.
    pub fn runs(&self) -> u64 {
        self.units.iter().map(|unit| unit.to - unit.from).sum()
    }

    /// Works off one unit (by number); nothing if there is no such unit.
    ///
    /// # Errors
    /// If statistics or engine refuse what a player did: a fault of this crate.
    pub fn run(&self, unit: usize) -> Result<Option<Done>, Fault> {
        let Some(&Unit { scenario, from, to }) = self.units.get(unit) else { return Ok(None) };
        let it = &self.scenarios[scenario];
        let purpose = purpose(&it.key());
        let mut tally = Tally::default();
        for run in from..to {
            let mut stream = Stream::new(self.seed, purpose, run);
            it.run(&mut stream, &mut Record::new(&mut tally))?;
        }
        Ok(Some(Done { scenario, runs: to - from, tally }))
    }

    /// The figures of what has been done so far, in the order of the scenarios.
    pub fn figures(&self, results: &Results) -> Vec<Figure> {
        let empty = Tally::default();
        self.scenarios
            .iter()
            .enumerate()
            .flat_map(|(i, it)| it.figures(results.tallies.get(i).unwrap_or(&empty)))
            .collect()
    }
}

/// The sum of units.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Results {
    tallies: Vec<Tally>,
    runs: u64,
}

impl Results {
    /// Adds what a unit found.
    pub fn add(&mut self, done: &Done) {
        if self.tallies.len() <= done.scenario {
            self.tallies.resize(done.scenario + 1, Tally::default());
        }
        if let Some(tally) = self.tallies.get_mut(done.scenario) {
            tally.merge(&done.tally);
        }
        self.runs += done.runs;
    }

    /// Runs done, of all scenarios together.
    pub const fn runs(&self) -> u64 {
        self.runs
    }
}

fn scaled(runs: u64, scale: f64) -> u64 {
    let wanted = (crate::tally::wide(runs) * scale.clamp(0.0, 1e6)).round();
    // Not negative, and below 2⁵³.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let wanted = wanted as u64;
    wanted.max(FEWEST)
}

/// How far through its scenario a unit begins, in millionths.
fn order(from: u64, runs: u64) -> u64 {
    from * 1_000_000 / runs.max(1)
}

/// FNV-1a, 64 bits (Fowler, Noll & Vo), of the scenario's name.
fn purpose(key: &str) -> u64 {
    key.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

#[cfg(test)]
mod tests {
    use super::purpose;

    #[test]
    fn names_are_hashed_as_published() {
        // Test vectors of the FNV reference code: "" and "a".
        assert_eq!(purpose(""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(purpose("a"), 0xaf63_dc4c_8601_ec8c);
    }
}
