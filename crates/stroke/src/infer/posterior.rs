//! Possible strokes and how likely each is after what was seen.

use std::borrow::Cow;

use longrail_math::fx;
use serde::Serialize;

use super::axis::{Axis, Parameter};
use super::likely::Likely;
use super::offset::{self, Offset};
use super::outcome::{Seen, Tally};
use super::prior::{LAPSES, Prior};
use super::response::{Axes, Response};
use super::state::{self, State};
use super::surface::Surface;
use crate::error::{StrokeError, check};

/// Random walk of ln σ (study, 4.1): standard deviation of a session's step, and of a day's.
const DRIFT_PER_SESSION: f64 = 0.04;
const DRIFT_PER_ROOT_DAY: f64 = 0.012;

/// How often axes are placed anew before what there is is taken. Four are usual.
const ROUNDS: u32 = 12;

/// Before that, rounds on axes with half the points.
const COARSE_ROUNDS: u32 = 3;

/// Steps between the chances of a prediction.
pub(super) const BINS: usize = 2000;

/// A stroke as far as it is known.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Inferred {
    /// Natural logarithm of the spread of aim in degrees.
    pub ln_spread: Parameter,
    /// Bias of aim in degrees, positive to the left.
    pub bias_deg: Parameter,
    /// Natural logarithm of the spread of speed as a share of it.
    pub ln_speed_spread: Parameter,
    /// Mean chance of a lapse.
    pub lapse: f64,
    /// Whether no side of a miss was recorded: the spread then contains the bias, and no bias is claimed.
    pub effective_only: bool,
}

/// A rung with attempts: its surface, what it says on the present axes, and the attempts of the present session.
#[derive(Clone, Debug)]
struct Rung {
    surface: Surface,
    /// Which offset its attempts have, if any.
    offset: Option<usize>,
    tally: Tally,
    /// One response, or one for each value of the offset; empty until asked for.
    responses: Vec<Response>,
}

impl Rung {
    fn prepare(&mut self, axes: &Axes, offsets: &[Offset]) {
        if self.responses.is_empty() {
            self.responses = match self.offset {
                None => vec![Response::new(&self.surface, axes, 0.0)],
                Some(offset) => shifted(&self.surface, axes, &offsets[offset]),
            };
        }
    }
}

/// Responses for each value of an offset.
fn shifted(surface: &Surface, axes: &Axes, offset: &Offset) -> Vec<Response> {
    offset::values().iter().map(|(z, _)| Response::new(surface, axes, z * offset.sd)).collect()
}

/// Weights over possible strokes. The grid is placed where the weights are, and anew when they narrow or wander: then the
/// attempts of the present session are multiplied in again; earlier sessions are in the weights from which it started.
#[derive(Clone, Debug)]
pub struct Posterior {
    prior: Prior,
    lapses: [f64; LAPSES],
    offsets: Vec<Offset>,
    rungs: Vec<Rung>,
    /// Before the present session, if it is not the first.
    start: Option<State>,
    now: State,
    sides: bool,
}

impl Posterior {
    /// Before the first attempt.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] with the field of the prior that is wrong.
    pub fn new(prior: Prior) -> Result<Self, StrokeError> {
        prior.check()?;
        let axes = [
            Axis::around(fx::ln(prior.spread_deg), prior.ln_sd),
            Axis::around(0.0, prior.bias_sd_deg),
            Axis::idle(fx::ln(prior.speed_spread)),
        ];
        let now = State::of_ln(axes, &State::ln_prior(&prior, &axes), Vec::new());
        let lapses = prior.lapses.map(|(lapse, _)| lapse);
        Ok(Self { prior, lapses, offsets: Vec::new(), rungs: Vec::new(), start: None, now, sides: false })
    }

    /// Begins a session so many days after the last one: ln σ has drifted since, by sd √(.04² + .012²·days) (study, 4.1).
    /// Before the first attempt nothing drifts.
    ///
    /// # Errors
    /// [`StrokeError::OutOfRange`] if `days` is not 0 to 36,500.
    pub fn session(&mut self, days: f64) -> Result<(), StrokeError> {
        check("days since the last session", days, (0.0, 36_500.0), "days")?;
        if self.rungs.is_empty() {
            return Ok(());
        }
        let sd =
            (DRIFT_PER_SESSION * DRIFT_PER_SESSION + DRIFT_PER_ROOT_DAY * DRIFT_PER_ROOT_DAY * days).sqrt();
        let drifted = self.now.drifted(sd, &self.prior);
        for rung in &mut self.rungs {
            // Responses take much room: only those of the last session are kept, if they still are what they were.
            if drifted.axes != self.now.axes || rung.tally == Tally::default() {
                rung.responses.clear();
            }
            rung.tally = Tally::default();
        }
        self.start = Some(drifted.clone());
        self.now = drifted;
        Ok(())
    }

    /// Takes in attempts at one rung; their order does not matter.
    pub fn take(&mut self, surface: &Surface, tally: &Tally) {
        self.take_all([(surface, tally, None)]);
    }

    /// Takes in attempts at many rungs, each with the offset under which they were made, if any: less work than one after
    /// the other.
    pub fn take_all<'a>(
        &mut self,
        attempts: impl IntoIterator<Item = (&'a Surface, &'a Tally, Option<&'a Offset>)>,
    ) {
        self.add(attempts);
        // After some sessions the axes may suit as they are.
        if self.start.is_some() && self.now.placed() == self.now.axes {
            self.place(self.now.axes);
            if self.now.placed() == self.now.axes {
                return;
            }
        }
        // First where the weights are, then the weights.
        let mut axes = self.now.placed();
        for _ in 0..COARSE_ROUNDS {
            self.place(axes.map(|axis| axis.coarse()));
            axes = self.now.placed();
        }
        self.place(axes);
        self.settle();
    }

    /// Takes in the attempts of a session that another one follows, before which nothing is asked: on axes with half as many
    /// points, which is an eighth of the work. [`Self::session`] and [`Self::take_all`] go on from there.
    pub fn pass<'a>(
        &mut self,
        attempts: impl IntoIterator<Item = (&'a Surface, &'a Tally, Option<&'a Offset>)>,
    ) {
        self.add(attempts);
        self.place(self.now.axes);
        for _ in 0..ROUNDS {
            if self.now.is_carried() {
                return;
            }
            self.place(self.now.placed().map(|axis| axis.coarse()));
        }
    }

    /// Notes attempts.
    fn add<'a>(&mut self, attempts: impl IntoIterator<Item = (&'a Surface, &'a Tally, Option<&'a Offset>)>) {
        for (surface, tally, offset) in attempts {
            let rung = self.rung(surface, offset);
            self.rungs[rung].tally.merge(tally);
            self.sides |= tally.has_sides();
        }
    }

    /// Takes in one attempt. At a rung that had attempts before in this session it costs one pass over the grid, unless the
    /// grid is placed anew.
    pub fn attempt(&mut self, surface: &Surface, offset: Option<&Offset>, seen: Seen) {
        let rung = self.rung(surface, offset);
        let rung = &mut self.rungs[rung];
        rung.tally.add(seen);
        self.sides |= matches!(seen, Seen::Left | Seen::Right);
        rung.prepare(&self.now.axes, &self.offsets);
        let weights = &mut self.now.weights;
        match rung.offset {
            None => {
                let scale = 1.0 / self.now.sum;
                let sums = rung
                    .responses
                    .iter()
                    .map(|response| response.multiply(seen, &self.lapses, scale, weights));
                self.now.sum = sums.sum();
            }
            Some(offset) => {
                let values = &mut self.now.offsets[offset];
                for (response, chances) in rung.responses.iter().zip(values.iter_mut()) {
                    response.multiply(seen, &self.lapses, 1.0, chances);
                }
                for (k, weight) in weights.iter_mut().enumerate() {
                    let sum: f64 = values.iter().map(|chances| chances[k]).sum();
                    for chances in values.iter_mut() {
                        chances[k] /= sum;
                    }
                    *weight *= sum;
                }
                self.now.normalise();
            }
        }
        self.settle();
    }

    /// The rung of this surface under this offset, a new one if need be.
    fn rung(&mut self, surface: &Surface, offset: Option<&Offset>) -> usize {
        let offset = offset.map(|offset| {
            self.offsets.iter().position(|known| known == offset).unwrap_or_else(|| {
                self.offsets.push(offset.clone());
                self.now.offsets.push(State::unknown_offset(self.now.weights.len()));
                if let Some(start) = &mut self.start {
                    start.offsets.push(State::unknown_offset(start.weights.len()));
                }
                self.offsets.len() - 1
            })
        });
        let known = self.rungs.iter().position(|rung| rung.offset == offset && rung.surface == *surface);
        known.unwrap_or_else(|| {
            self.rungs.push(Rung {
                surface: surface.clone(),
                offset,
                tally: Tally::default(),
                responses: Vec::new(),
            });
            if self.now.axes[2].is_idle() && surface.tells_speed() {
                self.place(self.with_speed());
            }
            self.rungs.len() - 1
        })
    }

    /// The present axes with that of speed at work.
    fn with_speed(&self) -> Axes {
        let [spread, bias, _] = self.now.axes;
        [spread, bias, Axis::around(fx::ln(self.prior.speed_spread), self.prior.speed_ln_sd)]
    }

    /// Places the axes anew until they suit.
    fn settle(&mut self) {
        for _ in 0..ROUNDS {
            let axes = self.now.placed();
            if axes == self.now.axes {
                return;
            }
            self.place(axes);
        }
    }

    /// The weights on these axes, from the start of the session and its attempts.
    fn place(&mut self, axes: Axes) {
        if axes != self.now.axes {
            self.rungs.iter_mut().for_each(|rung| rung.responses.clear());
        }
        for rung in self.rungs.iter_mut().filter(|rung| rung.tally != Tally::default()) {
            rung.prepare(&axes, &self.offsets);
        }
        let mut offsets = match &self.start {
            None => vec![State::unknown_offset(state::points(&axes) * LAPSES); self.offsets.len()],
            Some(start) => start.offsets_on(&axes),
        };
        let mut likely = self.likely(&axes, None, 0);
        for (number, values) in offsets.iter_mut().enumerate() {
            if self.tried(Some(number)).next().is_some() {
                let by_value = std::array::from_fn(|value| self.likely(&axes, Some(number), value));
                likely.take_offset(values, by_value);
            }
        }
        // Where the axes stay, products do.
        let start = self.start.as_ref();
        let same = start.filter(|start| start.axes == axes).and_then(|start| likely.times(&start.weights));
        self.now = match (same, start) {
            (Some(weights), _) => State::of(axes, weights, offsets),
            (None, None) => State::of_ln(axes, &likely.added(State::ln_prior(&self.prior, &axes)), offsets),
            (None, Some(start)) => {
                State::of_ln(axes, &likely.added(start.ln_on(&axes, &self.prior)), offsets)
            }
        };
    }

    /// Rungs with this offset, or none, that have attempts in the present session.
    fn tried(&self, offset: Option<usize>) -> impl Iterator<Item = &Rung> {
        self.rungs.iter().filter(move |rung| rung.offset == offset && rung.tally != Tally::default())
    }

    /// How likely their attempts are on these axes, for the value of the offset with this number.
    fn likely(&self, axes: &Axes, offset: Option<usize>, value: usize) -> Likely {
        let mut likely = Likely::new(state::points(axes) * LAPSES);
        for rung in self.tried(offset) {
            if let Some(response) = rung.responses.get(value) {
                likely.take(response, &rung.tally, &self.lapses);
            }
        }
        likely
    }

    /// What is known now.
    pub fn inferred(&self) -> Inferred {
        let marginals = self.now.marginals();
        let [spreads, biases, speeds] = &marginals.axes;
        let axes = &self.now.axes;
        let ln_spread = axes[0].parameter(spreads, self.prior.ln_sd);
        let mut bias_deg = axes[1].parameter(biases, self.prior.bias_sd_deg);
        bias_deg.shown &= self.sides;
        let ln_speed_spread = if axes[2].is_idle() {
            // Nothing was learnt: the prior, and its tenths.
            let (mean, sd) = (fx::ln(self.prior.speed_spread), self.prior.speed_ln_sd);
            let tenth = longrail_stats::special::normal_quantile(0.9) * sd;
            Parameter { mean, sd, low: mean - tenth, high: mean + tenth, shown: false }
        } else {
            axes[2].parameter(speeds, self.prior.speed_ln_sd)
        };
        let lapses = self.lapses.iter().zip(marginals.lapses);
        let lapse = lapses.map(|(lapse, weight)| lapse * weight).sum::<f64>() / self.now.sum;
        Inferred { ln_spread, bias_deg, ln_speed_spread, lapse, effective_only: !self.sides }
    }

    /// Mean and 80 % range of the chance of `seen` at another rung.
    pub fn predicted(&self, surface: &Surface, seen: Seen) -> Parameter {
        self.predicted_under(surface, seen, None)
    }

    /// The same where ln σ has an offset: on another table, or for another family of shots. Without attempts there it is a
    /// prediction and not a measurement; attempts there replace it.
    pub fn predicted_under(&self, surface: &Surface, seen: Seen, offset: Option<&Offset>) -> Parameter {
        // An offset of which nothing is known blurs ln σ.
        let state = self.state_for(surface.tells_speed(), self.unknown(offset));
        let state = state.as_ref();
        let mut bins = vec![0.0; BINS + 1];
        for (more, weights) in self.by_value(state, offset) {
            let response = Response::new(surface, &state.axes, more);
            for (chance, weight) in response.chances(seen, &self.lapses).zip(weights.iter()) {
                bins[bin(chance)] += weight;
            }
        }
        read(&bins)
    }
}

/// What weights on evenly spaced chances say.
pub(super) fn read(bins: &[f64]) -> Parameter {
    Axis::between(0.0, 1.0, BINS + 1).parameter(bins, f64::INFINITY)
}

impl Posterior {
    /// The weights, with the spread of speed at work if it is needed, and ln σ blurred by a standard deviation if any.
    pub(super) fn state_for(&self, speed: bool, blur: Option<f64>) -> Cow<'_, State> {
        let idle = self.now.axes[2].is_idle() && speed;
        if !idle && blur.is_none() {
            return Cow::Borrowed(&self.now);
        }
        let axes = if idle { self.with_speed() } else { self.now.axes };
        Cow::Owned(self.now.on(&axes, &self.prior).drifted(blur.unwrap_or(0.0), &self.prior))
    }

    /// By how much ln σ is larger, and the weights: once where there is no offset, or nothing is known of it, and else for each of
    /// its values.
    pub(super) fn by_value<'a>(
        &self,
        state: &'a State,
        offset: Option<&Offset>,
    ) -> Vec<(f64, Cow<'a, [f64]>)> {
        let known = offset.and_then(|offset| self.offsets.iter().position(|known| known == offset));
        match known.and_then(|known| Some((self.offsets.get(known)?, state.offsets.get(known)?))) {
            None => vec![(0.0, Cow::Borrowed(state.weights.as_slice()))],
            Some((offset, values)) => {
                let times = |chances: &Vec<f64>| {
                    state.weights.iter().zip(chances).map(|(weight, chance)| weight * chance).collect()
                };
                let shifts = offset::values().map(|(z, _)| z * offset.sd);
                shifts.into_iter().zip(values.iter().map(times).map(Cow::Owned)).collect()
            }
        }
    }

    pub(super) fn prior(&self) -> &Prior {
        &self.prior
    }

    pub(super) fn lapses(&self) -> &[f64; LAPSES] {
        &self.lapses
    }

    /// The standard deviation of an offset of which nothing is known yet.
    pub(super) fn unknown(&self, offset: Option<&Offset>) -> Option<f64> {
        offset.filter(|offset| !self.offsets.contains(offset)).map(|offset| offset.sd)
    }
}

/// The nearest of the chances that a prediction tells apart.
pub(super) fn bin(chance: f64) -> usize {
    // A chance, 0 to 1, times a small number.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let bin = (chance.clamp(0.0, 1.0) * crate::whole(BINS)).round() as usize;
    bin
}
