//! Where a newcomer starts: a few blocks of attempts, chosen so that they tell most about the stroke.
//!
//! Each next position is the one whose outcome is expected to tell most about the spread of aim: the mutual information of
//! the two (Kontsevich & Tyler 1999, the psi method, for one parameter of interest; study of progression, 3.5). Every ladder
//! has its turn before one comes again, since families of shots differ.

use longrail_math::fx;
use serde::Serialize;

use super::axis::{Axis, Parameter};
use super::offset::Offset;
use super::outcome::Seen;
use super::posterior::{BINS, Posterior, bin, read};
use super::response::{Response, made};
use super::surface::Surface;
use crate::curve::{Crossing, crossing};
use crate::whole;

/// Attempts in a block.
pub const BLOCK: u32 = 5;

/// Positions at most: six blocks are thirty attempts.
pub const POSITIONS: usize = 6;

/// Outcomes that exclude each other, where the side of a miss and the cue ball's end are seen, and where they are not.
const ALL_SEEN: [Seen; 6] = [Seen::Made, Seen::Left, Seen::Right, Seen::Short, Seen::Long, Seen::Off];
const MADE_OR_NOT: [Seen; 2] = [Seen::Made, Seen::Failed];

/// Places told apart from one rung to the next.
const PLACES: usize = 500;

/// Strokes less likely than this are left out: some ten thousand of them come to nothing that shows.
const LEAST_SEEN: f64 = 1e-12;

/// A ladder on which a player may be placed.
#[derive(Clone, Copy, Debug)]
pub struct Ladder<'a> {
    /// What each rung tells, from easy to hard; `None` where no hit makes it.
    pub rungs: &'a [Option<Surface>],
    /// Its family of shots, or the table, if σ there is not the one asked for.
    pub family: Option<&'a Offset>,
}

/// A rung of one of several ladders.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Position {
    /// Which ladder, counted from 0.
    pub ladder: usize,
    /// Which rung, counted from 0.
    pub rung: usize,
}

/// Where on a ladder the chance passes a target, counted in rungs from 0: −0.5 stands for "easier than the first", the last
/// plus a half for "harder than the last".
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Start {
    /// One time in ten it is easier than this.
    pub low: f64,
    /// The middle.
    pub middle: f64,
    /// One time in ten it is harder than this.
    pub high: f64,
}

impl Posterior {
    /// What one attempt is expected to tell about the spread of aim, in nats: the mutual information of its outcome and ln σ.
    /// `sides` says whether the side of a miss and the cue ball's end will be recorded.
    pub fn information(&self, surface: &Surface, sides: bool) -> f64 {
        let state = self.state_for(surface.tells_speed(), None);
        // Half the points tell information well enough.
        let state = state.on(&state.axes.map(|axis| axis.coarse()), self.prior());
        let response = Response::new(surface, &state.axes, 0.0);
        let outcomes: &[Seen] = if sides { &ALL_SEEN } else { &MADE_OR_NOT };
        let rows = state.axes[0].points();
        let row = state.weights.len() / rows;
        let by_spread: Vec<f64> =
            state.weights.chunks_exact(row).map(|weights| weights.iter().sum()).collect();
        let mut told = 0.0;
        for &seen in outcomes {
            let mut joint = vec![0.0; rows];
            for (k, chance) in response.chances(seen, self.lapses()).enumerate() {
                joint[k / row] += state.weights[k] * chance;
            }
            let chance: f64 = joint.iter().sum();
            for (joint, weight) in joint.iter().zip(&by_spread) {
                if *joint > 0.0 && *weight > 0.0 {
                    told += joint * fx::ln(joint / (weight * chance));
                }
            }
        }
        told
    }

    /// The position for the next block of [`BLOCK`] attempts, after blocks at `shot`; none after [`POSITIONS`] blocks, or where
    /// nothing is left to choose.
    pub fn next_position(&self, ladders: &[Ladder<'_>], shot: &[Position], sides: bool) -> Option<Position> {
        if shot.len() >= POSITIONS {
            return None;
        }
        let visits = |ladder: usize| shot.iter().filter(|position| position.ladder == ladder).count();
        let free = |position: &Position| {
            !shot.contains(position) && ladders[position.ladder].rungs[position.rung].is_some()
        };
        let of = |ladder: usize| (0..ladders[ladder].rungs.len()).map(move |rung| Position { ladder, rung });
        let fewest = (0..ladders.len())
            .filter(|&ladder| of(ladder).any(|position| free(&position)))
            .map(visits)
            .min()?;
        let mut best: Option<(f64, Position)> = None;
        for position in
            (0..ladders.len()).filter(|&ladder| visits(ladder) == fewest).flat_map(of).filter(free)
        {
            let Some(surface) = &ladders[position.ladder].rungs[position.rung] else { continue };
            let told = self.information(surface, sides);
            if best.is_none_or(|(most, _)| told > most) {
                best = Some((told, position));
            }
        }
        best.map(|(_, position)| position)
    }

    /// Where on a ladder the chance passes `target`, as a range that holds four times in five. A family of which nothing is
    /// known yet widens it.
    pub fn start(&self, ladder: &Ladder<'_>, target: f64) -> Start {
        self.standing(ladder, target).1
    }

    /// The chance now on every rung, none where no hit makes it, and where it passes `target`: less work than to ask for one
    /// after the other.
    pub fn standing(&self, ladder: &Ladder<'_>, target: f64) -> (Vec<Option<Parameter>>, Start) {
        let speed = ladder.rungs.iter().flatten().any(Surface::tells_speed);
        let state = self.state_for(speed, self.unknown(ladder.family));
        let state = state.as_ref();
        let mut chances: Vec<Option<Vec<f64>>> =
            ladder.rungs.iter().map(|surface| surface.as_ref().map(|_| vec![0.0; BINS + 1])).collect();
        // Places from half a rung before the first to half a rung beyond the last.
        let places = Axis::between(-0.5, whole(chances.len()) - 0.5, PLACES * chances.len() + 1);
        let mut passed = vec![0.0; places.points()];
        let mut column = vec![0.0; chances.len()];
        for (more, weights) in self.by_value(state, ladder.family) {
            let made: Vec<Option<Vec<f64>>> = ladder
                .rungs
                .iter()
                .map(|surface| Some(made(surface.as_ref()?, &state.axes, more, self.lapses())))
                .collect();
            for (k, weight) in weights.iter().enumerate().filter(|(_, weight)| **weight > LEAST_SEEN) {
                for ((chance, rung), bins) in column.iter_mut().zip(&made).zip(&mut chances) {
                    *chance = rung.as_ref().map_or(0.0, |rung| rung[k]);
                    if let Some(bins) = bins {
                        bins[bin(*chance)] += weight;
                    }
                }
                let place = match crossing(&column, target) {
                    Crossing::Before => -0.5,
                    Crossing::At(rung) => rung,
                    Crossing::Beyond => whole(made.len()) - 0.5,
                };
                // Within the axis.
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
                let place = places.place(place).round() as usize;
                if let Some(passed) = passed.get_mut(place) {
                    *passed += weight;
                }
            }
        }
        let sum: f64 = passed.iter().sum();
        let quantile = |share: f64| {
            let mut below = 0.0;
            let reached = |(_, weight): &(f64, &f64)| {
                below += *weight / sum;
                below >= share
            };
            places.values().zip(&passed).find(reached).map_or(0.0, |(place, _)| place)
        };
        let start = Start { low: quantile(0.1), middle: quantile(0.5), high: quantile(0.9) };
        (chances.iter().map(|bins| bins.as_deref().map(read)).collect(), start)
    }
}
